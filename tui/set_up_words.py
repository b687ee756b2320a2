"""What stood around the trainee, asked at a terminal and told in words."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import click

from analysis.training.figures import hand_share
from analysis.training.records import SessionRecord
from analysis.training.setup import UNSAID, SetUp, Support
from tui.trouble import Trouble

NO_SCALE = -1.0


class Reading(click.FloatRange):
    """What a scale shows, kg; `NO_SCALE` where there is none."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:
        """Return the number, or fail with what is allowed."""
        return NO_SCALE if value == NO_SCALE else float(super().convert(value, param, ctx))


def set_up_words(set_up: SetUp) -> str:
    """Return a set-up in words; empty where nothing was said."""
    lengths = (("bar", set_up.bar_cm), ("heels", set_up.heels_cm), ("block", set_up.block_cm))
    said = [f"{name} {value:g} cm" for name, value in lengths if value is not None]
    share = [] if set_up.hand_share is None else [share_words(set_up.hand_share)]
    return ", ".join([*said, *([set_up.support.value] if set_up.support else []), *share])


def share_words(share: float) -> str:
    """Return what the hands carry in words."""
    return f"{100 * share:.0f} % of body weight on the hands"


def weighed_share(scale_kg: float, body_kg: float) -> float:
    """Return the share of body weight on the hands, as it is kept: to a thousandth.

    Raises
    ------
    Trouble
        When the scale shows more than the body weighs.
    """
    try:
        return round(hand_share(scale_kg, body_kg), 3)
    except ValueError as error:
        raise Trouble(
            f"{error}. Weigh the body standing, then the feet while hanging still in the start position"
        ) from None


def last_set_up(done: Sequence[SessionRecord], rung: str) -> SetUp:
    """Return the set-up of the last session on a rung; unsaid where there is none."""
    return next((one.set_up for one in reversed(done) if one.rung == rung), UNSAID)


def ask_set_up(last: SetUp, needs: frozenset[str]) -> SetUp:
    """Ask what stands around the trainee: one key where it is as last time.

    Parameters
    ----------
    last
        The set-up of the last session on this rung.
    needs
        What the rung needs (`Rung.needs`): a length is asked only where there is one.
    """
    if last != UNSAID and click.confirm(f"Set-up as last time: {set_up_words(last)}?", default=True):
        return last
    low = "low-bar" in needs
    bar = _length("Bar over the floor", last.bar_cm) if low else None
    heels = _length("Heels from under the bar", last.heels_cm) if low else None
    block = _length("Block under the heels", last.block_cm) if "block" in needs else None
    support = click.prompt(
        "Support",
        type=click.Choice([one.value for one in Support]),
        default=(last.support or Support.RACK).value,
    )
    return SetUp(
        bar_cm=bar,
        heels_cm=heels,
        block_cm=block,
        support=Support(support),
        hand_share=_share() if low else None,
    )


def _share() -> float | None:
    """Ask what a scale under the feet shows; None where there is no scale. What was weighed is not kept."""
    text = "Scale under the feet, hanging still in the start position, kg (Enter: none)"
    said = click.prompt(text, type=Reading(0, 300), default=NO_SCALE, show_default=False)
    if said == NO_SCALE:
        return None
    body_kg = click.prompt("Body weight, kg (not kept)", type=click.FloatRange(max(said, 20), 400))
    share = weighed_share(said, body_kg)
    click.echo(share_words(share))
    return share


def _length(what: str, last_cm: float | None) -> float | None:
    """Ask for a length; 0 where it was not measured."""
    said = click.prompt(f"{what}, cm (0: not measured)", type=click.FloatRange(0, 400), default=last_cm or 0)
    return float(said) or None
