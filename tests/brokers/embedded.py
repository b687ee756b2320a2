"""The embedded broker, `rungwise hub`, in a process of its own."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from functools import cache
from pathlib import Path

from tests.brokers.certificates import Pair
from tests.brokers.process import HOST, BrokerProcess, free_port
from tui.home import Home
from tui.hub.accounts import Account, hashed, save
from tui.hub.command import accounts_file

_PROGRAM = "from tui.cli import main; main()"
_READS = {"rack-3": ("board-3",)}
"""Who reads which gateways, as in the package's rules for mosquitto."""


def embedded(folder: Path, *options: str) -> BrokerProcess:
    """Return it as it is for anybody on this machine; not started yet."""
    return _hub(folder, list(options), secure=False)


def guarded(folder: Path, certificate: Pair | None, accounts: Mapping[str, str], *options: str) -> BrokerProcess:
    """Return it with accounts (name: password), and with TLS where there is a certificate; not started yet."""
    keep_accounts(folder, accounts)
    tls = ["--cert", str(certificate.cert), "--key", str(certificate.key)] if certificate else []
    return _hub(folder, [*tls, *options], secure=certificate is not None)


def keep_accounts(folder: Path, accounts: Mapping[str, str]) -> None:
    """Put these accounts in the place of all others; `coach` is one."""
    made = {
        name: Account(name, _kept(password), coach=name == "coach", gateways=_READS.get(name, ()))
        for name, password in accounts.items()
    }
    save(accounts_file(Home(folder)), made)


@cache
def _kept(password: str) -> str:
    """Return its hash; many accounts of a test may have one password, and a hash takes a while."""
    return hashed(password)


def _hub(folder: Path, options: list[str], *, secure: bool) -> BrokerProcess:
    port = free_port()
    command = [sys.executable, "-c", _PROGRAM, "--home", str(folder), "hub", "--listen", f"{HOST}:{port}", *options]
    return BrokerProcess(command, port, folder / "hub.log", secure=secure)
