"""The boot id in flash; runs on MicroPython and CPython.

A counter in a file: its low byte differs from the boot id before, as packet.md asks. The first one is random, so that
two boards do not begin alike. One write at each start and each change of rate or range: flash lasts.
"""

import os

MODULUS = 1 << 32


def next_boot_id(path: str) -> int:
    """Return the boot id that follows the one kept; `keep` it before use."""
    try:
        with open(path, "rb") as file:
            before = file.read(4)
    except OSError:
        before = b""
    if len(before) != 4:
        before = os.urandom(4)
    return (int.from_bytes(before, "little") + 1) % MODULUS


def keep(path: str, boot_id: int) -> None:
    """Write a boot id to flash."""
    with open(path, "wb") as file:
        file.write(boot_id.to_bytes(4, "little"))
