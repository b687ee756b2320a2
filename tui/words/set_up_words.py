"""What stood around the trainee, in words."""

from __future__ import annotations

from collections.abc import Sequence

from analysis.training.figures import hand_share
from analysis.training.records import SessionRecord
from analysis.training.setup import UNSAID, SetUp
from tui.trouble import Trouble


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
    """Return the set-up of the last session on a rung of which it was said; unsaid where there is none."""
    return next((one.set_up for one in reversed(done) if one.rung == rung and one.set_up != UNSAID), UNSAID)
