"""A D-Bus of one's own, in the place of the system's."""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

DAEMON = "dbus-daemon"
ADDRESS_VARIABLE = "DBUS_SYSTEM_BUS_ADDRESS"
MISSING = f"{DAEMON} is not installed (Debian, Ubuntu: apt install dbus-daemon)"
_FORBIDDING = """\
<busconfig>
  <type>system</type>
  <listen>unix:tmpdir=/tmp</listen>
  <auth>EXTERNAL</auth>
  <policy context="default">
    <allow user="*"/>
    <allow own="*"/>
    <allow send_type="method_call"/>
    <allow send_type="signal"/>
    <allow send_requested_reply="true" send_type="method_return"/>
    <allow send_requested_reply="true" send_type="error"/>
    <allow receive_type="method_call"/>
    <allow receive_type="method_return"/>
    <allow receive_type="error"/>
    <allow receive_type="signal"/>
    <deny send_destination="org.bluez"/>
  </policy>
</busconfig>
"""
"""Everything is allowed but to talk to org.bluez: what /etc/dbus-1/system.d/bluetooth.conf says to whom it excludes."""


def has_daemon() -> bool:
    """Return whether a bus can be started here."""
    return shutil.which(DAEMON) is not None


@contextmanager
def private_bus(*options: str) -> Iterator[str]:
    """Run a bus for as long as the block lasts; yield its address."""
    command = [DAEMON, *(options or ["--session"]), "--nofork", "--nopidfile", "--print-address=1"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        try:
            address = process.stdout.readline().strip()
            if not address:
                raise RuntimeError(f"{DAEMON} did not start: {process.communicate()[1]}")
            yield address
        finally:
            process.terminate()


@contextmanager
def forbidding_bus(folder: Path) -> Iterator[str]:
    """Run a bus whose policy lets nobody talk to org.bluez; yield its address."""
    config = folder / "forbidding.conf"
    config.write_text(_FORBIDDING)
    with private_bus(f"--config-file={config}") as address:
        yield address
