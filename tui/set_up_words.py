"""What stood around the trainee, asked at a terminal and told in words."""

from __future__ import annotations

from collections.abc import Sequence

import click

from analysis.training.records import SessionRecord
from analysis.training.setup import UNSAID, SetUp, Support


def set_up_words(set_up: SetUp) -> str:
    """Return a set-up in words; empty where nothing was said."""
    lengths = (("bar", set_up.bar_cm), ("heels", set_up.heels_cm), ("block", set_up.block_cm))
    said = [f"{name} {value:g} cm" for name, value in lengths if value is not None]
    return ", ".join([*said, *([set_up.support.value] if set_up.support else [])])


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
    return SetUp(bar_cm=bar, heels_cm=heels, block_cm=block, support=Support(support))


def _length(what: str, last_cm: float | None) -> float | None:
    """Ask for a length; 0 where it was not measured."""
    said = click.prompt(f"{what}, cm (0: not measured)", type=click.FloatRange(0, 400), default=last_cm or 0.0)
    return float(said) or None
