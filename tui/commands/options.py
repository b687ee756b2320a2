"""What the commands of the command line have in common."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import Any

import click

from tui.home import Home


class Number(click.FloatRange):
    """A range that `nan` is outside of; who is outside is told the range."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:
        """Return the number, or fail."""
        number = float(click.FLOAT.convert(value, param, ctx))
        if self.min is not None and self.max is not None and not self.min <= number <= self.max:
            self.fail(f"{value} is not allowed; give a number from {self.min:g} to {self.max:g}.", param, ctx)
        return number


class Numbers(click.ParamType[tuple[float, ...]]):
    """Numbers with commas between them: "15,15,12".

    Parameters
    ----------
    low, high
        What each may be.
    whole
        Whether only whole ones are allowed.
    """

    name = "numbers"

    def __init__(self, low: float, high: float, *, whole: bool = False) -> None:
        self._low, self._high, self._whole = low, high, whole

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> tuple[float, ...]:
        """Return the numbers, or fail."""
        if isinstance(value, tuple):
            return value
        return tuple(self._one(part.strip(), param, ctx) for part in str(value).split(","))

    def _one(self, part: str, param: click.Parameter | None, ctx: click.Context | None) -> float:
        try:
            number = int(part) if self._whole else float(part)
        except ValueError:
            number = float("nan")
        if not self._low <= number <= self._high:
            kind = "whole numbers" if self._whole else "numbers"
            allowed = f"{kind} from {self._low:g} to {self._high:g}, with commas between them"
            self.fail(f"{part!r} is not allowed; give {allowed}.", param, ctx)
        return number


class Day(click.ParamType[datetime]):
    """A day of the calendar, "2026-03-02"."""

    name = "YYYY-MM-DD"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> datetime:
        """Return its midnight, of no zone, or fail."""
        if isinstance(value, datetime):
            return value
        try:
            return datetime.strptime(str(value), "%Y-%m-%d")
        except ValueError:
            return self.fail(f"{value!r} is no day; give YYYY-MM-DD, for example 2026-03-02.", param, ctx)


class RepName(click.ParamType[tuple[str, int, int]]):
    """A rep of the log, by the first letters of its session, number of its set, number in the set: "6f1f3b1e/1/4"."""

    name = "session/set/rep"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> tuple[str, int, int]:
        """Return the three, or fail."""
        if isinstance(value, tuple):
            return value
        letters, *numbers = str(value).split("/")
        if letters and len(numbers) == 2 and all(one.isascii() and one.isdigit() for one in numbers):
            return letters, int(numbers[0]), int(numbers[1])
        return self.fail(f"{value!r} names no rep; give SESSION/SET/REP, for example 6f1f3b1e/1/4.", param, ctx)


headless_option = click.option("--headless", is_flag=True, help="Print text instead of opening the dashboard.")

trainee_argument = click.argument("trainee", required=False)
trainee_option = click.option("--trainee", "named", metavar="NAME", help="The trainee, if not named before.")


def one_name(trainee: str | None, named: str | None) -> str | None:
    """Return the trainee who was named one way or the other; None where nobody was."""
    if trainee and named and trainee != named:
        raise click.UsageError(f"{trainee} and --trainee {named} are two people: name one")
    return trainee or named


virtual_option = click.option(
    "--virtual", is_flag=True, help="Take a virtual sensor on a virtual table: no hardware needed."
)


def folder_of(home: Path | None, virtual: bool) -> Path:
    """Return where to keep things: what is learnt of the virtual sensor stays beside the demonstration's own log."""
    return home or (Home.demo() if virtual else Home.default()).folder


MOUNTS = ("body", "limb", "moving-bar", "fixed-bar", "suspension")
PLACES = ("belt", "chest", "upper-back")

mount_help = (
    "Where the sensor sits: body (belt, vest, chest or back strap), limb (wrist or ankle), moving-bar (the bar "
    "travels), fixed-bar (the bar stays), suspension (strap, ring, towel or rope)."
)


speed_option = click.option(
    "--speed",
    type=Number(min=0.01, max=1e6),
    default=1.0,
    show_default=True,
    help="Seconds of the session in one real second.",
)
