"""Debian's mosquitto with configurations of ours, on a free port of this machine."""

from __future__ import annotations

import getpass
import shutil
import subprocess
from collections.abc import Mapping
from pathlib import Path

from tests.brokers.certificates import Pair
from tests.brokers.process import HOST, BrokerProcess, free_port

ACL = Path(__file__).parents[2] / "tui" / "hub" / "mosquitto" / "rungwise.acl"
"""The rules that the package holds; its `coach`, `rack-3` and `board-3` are there for the tests too."""
PASSWORDS = {"coach": "seven-goats", "rack-3": "blue-kettle", "rack-4": "cold-lantern", "board-3": "slow-barrow"}
"""Accounts of the tests and their passwords."""
MISSING = "mosquitto is not installed (Debian, Ubuntu: apt install mosquitto)"
_PLACES = "/usr/local/sbin:/usr/sbin:/usr/local/bin:/usr/bin:/opt/homebrew/sbin:/opt/homebrew/bin"


def program(name: str = "mosquitto") -> str | None:
    """Return where mosquitto, or a program that comes with it, is; Debian has it where only administrators look."""
    return shutil.which(name) or shutil.which(name, path=_PLACES)


def plain(folder: Path) -> BrokerProcess:
    """Return mosquitto as it is for anybody on this machine; not started yet."""
    return _broker(folder, ["allow_anonymous true"], secure=False)


def guarded(
    folder: Path, certificate: Pair | None = None, *, acl: Path = ACL, accounts: Mapping[str, str] = PASSWORDS
) -> BrokerProcess:
    """Return mosquitto with accounts and rules, and with TLS where there is a certificate; not started yet."""
    passwords = folder / "passwords"
    passwords.write_text("".join(f"{name}:{word}\n" for name, word in accounts.items()))
    passwords.chmod(0o600)
    hashing = program("mosquitto_passwd")
    assert hashing is not None, MISSING
    subprocess.run([hashing, "-U", str(passwords)], check=True, capture_output=True)
    lines = ["allow_anonymous false", f"password_file {passwords}", f"acl_file {_own_copy(acl, folder)}"]
    if certificate is not None:
        lines += [f"certfile {certificate.cert}", f"keyfile {certificate.key}"]
    return _broker(folder, lines, secure=certificate is not None)


def _own_copy(acl: Path, folder: Path) -> Path:
    copy = folder / "acl"
    copy.write_text(acl.read_text())
    copy.chmod(0o600)
    return copy


def _broker(folder: Path, lines: list[str], *, secure: bool) -> BrokerProcess:
    """Return a broker that keeps what it holds in `folder`, and so over a kill where it had saved it."""
    port = free_port()
    config = folder / "mosquitto.conf"
    first = [
        "per_listener_settings false",
        f"user {getpass.getuser()}",
        "persistence true",
        f"persistence_location {folder}/",
        "autosave_interval 1",
        "max_packet_size 270000",
        "max_inflight_messages 100",
        "max_queued_messages 5000",
        f"listener {port} {HOST}",
    ]
    config.write_text("\n".join(first + lines) + "\n")
    mosquitto = program()
    assert mosquitto is not None, MISSING
    return BrokerProcess([mosquitto, "-c", str(config)], port, folder / "mosquitto.log", secure=secure)
