"""Options that every command with a broker shares: what it is spoken to with."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

if TYPE_CHECKING:
    from sensor.broker_address import Access

_Command = TypeVar("_Command", bound=Callable[..., Any])


def broker_options(command: _Command) -> _Command:
    """Add `--password-file` and `--ca`; pass both to `access_of`."""
    ca = click.option(
        "--ca",
        type=click.Path(exists=True, dir_okay=False, path_type=Path),
        metavar="FILE",
        help="Certificate of the authority that signed the broker's, where it is the gym's own.",
    )
    password = click.option(
        "--password-file",
        type=click.Path(exists=True, dir_okay=False, allow_dash=False, path_type=Path),
        metavar="FILE",
        help="Holds the password of the account at the broker in its first line; or set RUNGWISE_MQTT_PASSWORD.",
    )
    return password(ca(command))


def access_of(password_file: Path | None, ca: Path | None) -> Access:
    """Return what a broker is spoken to with.

    Raises
    ------
    click.UsageError
        When the file cannot be read, or its first line is empty.
    """
    from sensor.broker_address import Access

    return Access(password_of(password_file), ca)


def password_of(file: Path | None) -> str | None:
    """Return the password: the file counts before the environment; None where neither has one.

    Raises
    ------
    click.UsageError
        When the file cannot be read, or its first line is empty.
    """
    from sensor.broker_address import PASSWORD_VARIABLE

    if file is None:
        return os.environ.get(PASSWORD_VARIABLE) or None
    try:
        first = file.read_text(encoding="utf-8").partition("\n")[0].rstrip("\r")
    except (OSError, UnicodeDecodeError):
        raise click.UsageError(f"{file} cannot be read: give a file of text by --password-file") from None
    if not first:
        raise click.UsageError(f"{file} holds no password in its first line")
    return first
