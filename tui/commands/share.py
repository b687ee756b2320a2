"""`--share` of a session, and `rungwise share`: what is in the log goes to the coach."""

from __future__ import annotations

import socket
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from tui.commands.broker import access_of, broker_options
from tui.home import Home

if TYPE_CHECKING:
    from tui.wanted import Share

_Command = TypeVar("_Command", bound=Callable[..., Any])
station_option = click.option(
    "--station",
    metavar="NAME",
    help="What this station is called there, and its account: default the name before @, else this computer's.",
)


def share_options(command: _Command) -> _Command:
    """Add `--share`, `--station` and what a broker is spoken to with; pass all to `share_of`."""
    share = click.option(
        "--share",
        metavar="URL",
        help="Let a coach at a distance follow, over this MQTT broker: mqtts://[user@]host[:port][/gym].",
    )
    return share(station_option(broker_options(command)))


def share_of(share: str | None, station: str | None, password_file: Path | None, ca: Path | None) -> Share | None:
    """Return with whom to share; None where no URL (`share`) is given.

    Raises
    ------
    click.UsageError
        When URL or name cannot be used; it says what can.
    """
    if share is None:
        if station:
            raise click.UsageError("--station goes with --share URL")
        return None
    from sensor.broker_address import Address, BrokerError
    from tui.share.topics import TopicError, name
    from tui.wanted import Share

    try:
        address = Address.parse(share)
        return Share(address, access_of(password_file, ca), name(station or _usual_name(address.user)))
    except (BrokerError, TopicError) as error:
        raise click.UsageError(str(error)) from None


def _usual_name(user: str) -> str:
    """Return the name of the account, or this computer's as far as it can stand in a topic."""
    if user:
        return user
    letters = "".join(one if one.isascii() and one.isalnum() else "-" for one in socket.gethostname().lower())
    return letters.partition("-local")[0][:32].strip("-") or "station"


@click.command(epilog="Example: rungwise share mqtts://rack-3@gym.example")
@click.argument("url")
@station_option
@broker_options
@click.pass_context
def share(context: click.Context, url: str, station: str | None, password_file: Path | None, ca: Path | None) -> None:
    """Send what is in the log and did not reach a coach yet.

    URL is the MQTT broker's: mqtts://[user@]host[:port][/gym]. The coach's `rungwise floor` has to run. A session with
    --share sends the same, and what is left of earlier ones.
    """
    from tui.share.rest import send_rest

    home = context.obj
    wanted = share_of(url, station, password_file, ca)
    assert wanted is not None
    context.exit(send_rest(Home(home) if home else Home.default(), wanted))
