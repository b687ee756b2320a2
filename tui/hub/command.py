"""`rungwise hub` and what belongs to it: accounts and certificates."""

from __future__ import annotations

import asyncio
import signal
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from tui.home import Home
from tui.hub.accounts import Account, hashed, load, save
from tui.hub.errors import HubError
from tui.hub.listening import Place, place, why_not
from tui.share.topics import name as topic_name
from tui.words.lines import print_lines

if TYPE_CHECKING:
    import ssl

MISSING = "The hub needs more than is installed: pip install 'rungwise[hub]'"
_OPENLY = (
    "Listening on {place}, others can reach it: that takes accounts and a certificate. Make them by "
    "`rungwise hub account NAME` and `rungwise hub certificate NAME`, with the name or address by which stations reach "
    "this computer."
)


@dataclass(frozen=True, slots=True)
class Wanted:
    """What was said of a hub."""

    listen: str
    cert: Path | None = None
    key: Path | None = None
    gym: str = ""


def accounts_file(home: Home) -> Path:
    """Return where the accounts are kept."""
    return home.hub / "accounts.json"


def run_hub(home: Home, wanted: Wanted) -> None:
    """Run the hub until it is interrupted or ended.

    Raises
    ------
    HubError
        When it cannot run so.
    """
    at = place(wanted.listen)
    gym = topic_name(wanted.gym) if wanted.gym else ""
    accounts = load(accounts_file(home))
    tls, warning = _security(home, wanted, at)
    if not at.is_here_only and not (accounts and tls):
        raise HubError(_OPENLY.format(place=at))
    asyncio.run(_run(home, at, tls, gym, [*warning, _beginning(at, accounts, secure=tls is not None)]))


def keep_account(home: Home, name: str, password: str, *, coach: bool, gateways: Sequence[str]) -> None:
    """Make an account, or put another in its place."""
    account = Account(
        topic_name(name), hashed(password), coach=coach, gateways=tuple(topic_name(one) for one in gateways)
    )
    accounts = load(accounts_file(home))
    was = account.name in accounts
    save(accounts_file(home), {**accounts, account.name: account})
    print_lines([f"{account.name}: {'changed' if was else 'made'}. {_may(account)}"])


def remove_account(home: Home, name: str) -> None:
    """Remove an account; a hub that runs ends its connections within a second or two."""
    accounts = load(accounts_file(home))
    if name not in accounts:
        raise HubError(f"There is no account {name!r}: `rungwise hub account` lists them.")
    save(accounts_file(home), {one: account for one, account in accounts.items() if one != name})
    print_lines([f"{name}: removed."])


def list_accounts(home: Home) -> None:
    """Print who may use the hub."""
    accounts = load(accounts_file(home))
    rows = [f"{one.name}: {_may(one)}" for one in sorted(accounts.values(), key=lambda one: one.name)]
    print_lines(rows or ["No accounts yet: `rungwise hub account NAME` makes one."])


def make_certificate(home: Home, names: Sequence[str]) -> None:
    """Make a certificate for the hub, and an authority if there is none."""
    try:
        from tui.hub import certificate
    except ImportError as error:
        raise HubError(MISSING) from error
    files = certificate.Files(home.hub)
    certificate.make(files, names, datetime.now(UTC))
    print_lines(
        [
            f"Made for {', '.join(names)}, good until {certificate.ends(files.certificate):%Y-%m-%d}: "
            f"{files.certificate}",
            f"Stations and coaches know the hub by {files.authority}: give it to them, for --ca.",
            f"Keep {files.authority_key} to yourself: who has it can pretend to be the hub.",
        ]
    )


def _security(home: Home, wanted: Wanted, at: Place) -> tuple[ssl.SSLContext | None, list[str]]:
    """Return how connections are secured, None for not, and what there is to say of it."""
    if (wanted.cert is None) != (wanted.key is None):
        raise HubError("--cert and --key go together: a certificate and its key.")
    if wanted.cert is None and at.is_here_only:
        return None, []
    try:
        from tui.hub import certificate
    except ImportError as error:
        raise HubError(MISSING) from error
    files = certificate.Files(home.hub)
    cert, key = (wanted.cert, wanted.key) if wanted.cert and wanted.key else (files.certificate, files.key)
    if wanted.cert is None and not cert.exists():
        return None, []
    ends, now = certificate.ends(cert), datetime.now(UTC)
    if ends <= now:
        raise HubError(f"{cert} ended on {ends:%Y-%m-%d}: `rungwise hub certificate NAME` makes another.")
    warning = [f"{cert} ends on {ends:%Y-%m-%d}."] if ends - now < certificate.SOON else []
    return certificate.context(cert, key), warning


def _beginning(at: Place, accounts: dict[str, Account], *, secure: bool) -> str:
    who = f"{len(accounts)} accounts" if accounts else "no accounts"
    reach = "this computer only" if at.is_here_only else "whoever reaches it"
    return f"Listening on {at} for {reach}: {who}, {'TLS' if secure else 'no TLS'}. Ctrl+C ends it."


async def _run(home: Home, at: Place, tls: ssl.SSLContext | None, gym: str, first: list[str]) -> None:
    try:
        from tui.hub.serving import Hub
    except ImportError as error:
        raise HubError(MISSING) from error
    hub = Hub(accounts_file(home), gym=gym, say=lambda sentence: print_lines([sentence]))
    try:
        await hub.start(at.host, at.port, tls)
    except OSError as error:
        raise HubError(why_not(error, at)) from error
    print_lines(first)
    try:
        await _until_asked_to_end()
    finally:
        await hub.stop()


async def _until_asked_to_end() -> None:
    asked = asyncio.Event()
    # Windows has no such handlers; there Ctrl+C cancels.
    with suppress(NotImplementedError):
        for one in (signal.SIGINT, signal.SIGTERM):
            asyncio.get_running_loop().add_signal_handler(one, asked.set)
    await asked.wait()


def _may(account: Account) -> str:
    if account.coach:
        return "A coach: hears every station and gateway, and has a word to each station."
    gateways = f" It reads the gateways {', '.join(account.gateways)}." if account.gateways else ""
    return f"A station or gateway: writes and reads what is its own.{gateways}"
