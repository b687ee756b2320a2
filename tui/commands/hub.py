"""The hub's commands: parses, and hands over."""

from __future__ import annotations

from pathlib import Path

import click

from tui.commands.broker import password_of
from tui.home import Home
from tui.trouble import clear_errors

LISTEN = "127.0.0.1:1883"
"""Where it listens unless told otherwise: for this computer alone."""


@click.group(
    invoke_without_command=True,
    short_help="Run a broker for a home or a small gym.",
    epilog="\b\nExamples:\n  rungwise hub\n  rungwise hub account coach --coach\n  rungwise hub account rack-3\n"
    "  rungwise hub certificate gym.example 192.168.1.20\n  rungwise hub --listen 0.0.0.0:8883",
)
@click.option("--listen", metavar="HOST:PORT", default=LISTEN, show_default=True, help="Where to listen.")
@click.option("--cert", type=click.Path(path_type=Path), help="A certificate of yours (PEM), with --key.")
@click.option("--key", type=click.Path(path_type=Path), help="The key of --cert.")
@click.option("--gym", metavar="NAME", default="", help="Serve this gym's topics only: …/NAME in the address.")
@click.pass_context
def hub(context: click.Context, listen: str, cert: Path | None, key: Path | None, gym: str) -> None:
    """Run a broker (MQTT) through which stations, gateways and coaches hear each other.

    On this computer alone it takes everybody, until there are accounts. To be reached by others it takes accounts and
    a certificate, which the two commands below make.
    """
    if context.invoked_subcommand is not None:
        return
    from tui.hub.command import Wanted, run_hub

    with clear_errors():
        run_hub(_home(context), Wanted(listen=listen, cert=cert, key=key, gym=gym))


@hub.command(
    short_help="Make, change or remove an account; without a name list them.",
    epilog="\b\nExamples:\n  rungwise hub account rack-3\n  rungwise hub account rack-3 --gateway board-3\n"
    "  rungwise hub account anna --coach\n  rungwise hub account rack-3 --remove",
)
@click.argument("name", required=False)
@click.option("--coach", is_flag=True, help="Hears every station and gateway, and has a word to each station.")
@click.option("--gateway", "gateways", multiple=True, metavar="NAME", help="A gateway whose sensors it analyses.")
@click.option("--remove", is_flag=True, help="Remove it.")
@click.option(
    "--password-file",
    type=click.Path(path_type=Path),
    help="Holds the password in its first line, instead of its being asked for; or set RUNGWISE_MQTT_PASSWORD.",
)
@click.pass_context
def account(
    context: click.Context,
    name: str | None,
    coach: bool,
    gateways: tuple[str, ...],
    remove: bool,
    password_file: Path | None,
) -> None:
    """Make or change the account of a station, a gateway or a coach.

    NAME is what the station or gateway is called. The password is asked for twice, and only its hash is kept.
    """
    from tui.hub import command
    from tui.share.topics import name as topic_name

    if name is None and (coach or gateways or remove or password_file):
        raise click.UsageError("say whose account: rungwise hub account NAME")
    if remove and (coach or gateways or password_file):
        raise click.UsageError("--remove goes alone")
    with clear_errors():
        if name is None:
            command.list_accounts(_home(context))
        elif remove:
            command.remove_account(_home(context), name)
        else:
            topic_name(name)
            password = password_of(password_file) or _asked(name)
            command.keep_account(_home(context), name, password, coach=coach, gateways=gateways)


@hub.command(
    short_help="Make a certificate for the hub.", epilog="Example: rungwise hub certificate gym.example 192.168.1.20"
)
@click.argument("names", nargs=-1, required=True, metavar="NAME…")
@click.pass_context
def certificate(context: click.Context, names: tuple[str, ...]) -> None:
    """Make a certificate for the names and addresses by which stations reach the hub.

    The first time an authority is made with it, which stations and coaches are given to know the hub by.
    """
    from tui.hub.command import make_certificate

    with clear_errors():
        make_certificate(_home(context), names)


def _home(context: click.Context) -> Home:
    return Home(context.obj) if context.obj else Home.default()


def _asked(name: str) -> str:
    asked: str = click.prompt(f"Password of {name}", hide_input=True, confirmation_prompt="The same again")
    return asked
