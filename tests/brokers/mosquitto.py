"""Debian's mosquitto with the configuration that the package holds, on a free port of this machine."""

from __future__ import annotations

import getpass
import re
import shutil
import subprocess
from collections.abc import Mapping
from pathlib import Path

from tests.brokers.certificates import Pair
from tests.brokers.process import HOST, BrokerProcess, free_port

PACKAGED = Path(__file__).parents[2] / "tui" / "hub" / "mosquitto"
"""Configuration and rules; their `coach`, `rack-3` and `board-3` are there for the tests too."""
PASSWORDS = {"coach": "seven-goats", "rack-3": "blue-kettle", "rack-4": "cold-lantern", "board-3": "slow-barrow"}
"""Accounts of the tests and their passwords."""
MISSING = "mosquitto is not installed (Debian, Ubuntu: apt install mosquitto)"
_PLACES = "/usr/local/sbin:/usr/sbin:/usr/local/bin:/usr/bin:/opt/homebrew/sbin:/opt/homebrew/bin"
_DEBIAN = """\
persistence true
persistence_location {folder}/
log_dest stderr
user {user}
include_dir {folder}/conf.d
"""
"""Debian's /etc/mosquitto/mosquitto.conf (2.0.11-1+deb11u1), with other places and our own user."""


def program(name: str = "mosquitto") -> str | None:
    """Return where mosquitto, or a program that comes with it, is; Debian has it where only administrators look."""
    return shutil.which(name) or shutil.which(name, path=_PLACES)


def plain(folder: Path) -> BrokerProcess:
    """Return mosquitto as it is for anybody on this machine; not started yet."""
    lines = "allow_anonymous true\nset_tcp_nodelay true\nmax_inflight_messages 100\nautosave_interval 1\n"
    port = free_port()
    return _broker(folder, port, f"listener {port} {HOST}\n{lines}", secure=False)


def guarded(
    folder: Path,
    certificate: Pair | None = None,
    *,
    accounts: Mapping[str, str] = PASSWORDS,
    gym: str = "",
    saves_every_s: int = 30,
) -> BrokerProcess:
    """Return mosquitto as a gym has it, without TLS where there is no certificate; not started yet."""
    passwords, acl, port = folder / "passwords", folder / "acl", free_port()
    _keep(passwords, "".join(f"{name}:{word}\n" for name, word in accounts.items()))
    hashing = program("mosquitto_passwd")
    assert hashing is not None, MISSING
    subprocess.run([hashing, "-U", str(passwords)], check=True, capture_output=True)
    rules = (PACKAGED / "rungwise.acl").read_text()
    _keep(acl, rules.replace(" rungwise/", f" {gym}/rungwise/") if gym else rules)
    elsewhere = {
        "listener 8883": f"listener {port} {HOST}",
        "/etc/mosquitto/certs/rungwise.pem": str(certificate and certificate.cert),
        "/etc/mosquitto/certs/rungwise-key.pem": str(certificate and certificate.key),
        "/etc/mosquitto/rungwise.passwords": str(passwords),
        "/etc/mosquitto/rungwise.acl": str(acl),
        "autosave_interval 30": f"autosave_interval {saves_every_s}",
    }
    config = (PACKAGED / "rungwise.conf").read_text()
    for packaged, ours in elsewhere.items():
        assert config.count(packaged) == 1, packaged
        config = config.replace(packaged, ours)
    if certificate is None:
        config = re.sub(r"(?m)^(certfile|keyfile|tls_version) .*\n", "", config)
    return _broker(folder, port, config, secure=certificate is not None)


def _keep(path: Path, text: str) -> None:
    path.write_text(text)
    path.chmod(0o600)


def _broker(folder: Path, port: int, config: str, *, secure: bool) -> BrokerProcess:
    """Return a broker that keeps what it holds in `folder`, and so over a kill where it had saved it."""
    (folder / "conf.d").mkdir(exist_ok=True)
    (folder / "conf.d" / "rungwise.conf").write_text(config)
    main = folder / "mosquitto.conf"
    main.write_text(_DEBIAN.format(folder=folder, user=getpass.getuser()))
    mosquitto = program()
    assert mosquitto is not None, MISSING
    return BrokerProcess([mosquitto, "-c", str(main)], port, folder / "mosquitto.log", secure=secure)
