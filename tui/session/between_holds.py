"""What is shown between holds: a rest, from the moment at which one lets go.

A hold is told as a set some ten seconds after it, since reps may follow to which it then belongs; and letting go and
steps open bouts as a rep does. Where holds are asked for, neither may take the place of the rest clock.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from analysis.motion.events import Phase
from analysis.training.records import SetRecord
from tui.session.doing import Doing
from tui.session.messages import Offer, Snapshot, Stage
from tui.views.hills import set_hills

TOLD_S = 20.0
"""A hold that is no set by then will not be one: it is told 8 to 12 s after its end (the demonstration's)."""
READY_S = 10.0
"""What begins with so much left of a rest, or less, may well be the next set."""


def between_holds(
    shown: Snapshot, doing: Doing, sets: Sequence[SetRecord], age_s: Callable[[float], float]
) -> Snapshot:
    """Return what is shown, as the rest where it is one, and as the set where a hold goes on that belongs to it.

    Parameters
    ----------
    shown
        As the bouts have it.
    sets
        What is told by now.
    age_s
        Gives the seconds since a moment of the sensor's clock.
    """
    asked, holds = shown.prescription, shown.phase is Phase.HANG
    if asked.hold_s is None or asked.partner:
        return shown
    hold = None if holds else doing.hold
    if hold and age_s(hold.end_s) <= TOLD_S and not any(one.end_s > hold.start_s for one in sets):
        if shown.set_number < asked.sets:
            return _resting(_still(shown), asked.rest_s - age_s(hold.end_s), shown.set_number + 1)
        return replace(_still(shown), stage=Stage.SET, held_s=age_s(hold.start_s) - age_s(hold.end_s))
    since_s, all_done = sets[-1].end_s if sets else None, shown.session_verdict is not None
    rests = since_s is not None and not all_done
    early = rests and asked.rest_s - ((doing.opened_s or 0.0) - (since_s or 0.0)) > READY_S
    if holds and shown.stage in (Stage.READY, Stage.REST) and not early and _is_of_the_bout(doing):
        return replace(shown, stage=Stage.SET, rest_left_s=None, check=None)
    if shown.stage is not Stage.SET or since_s is None:
        return shown
    if all_done and not holds:
        return replace(_still(shown), stage=Stage.DONE, set_number=shown.set_number - 1)
    left_s = asked.rest_s - age_s(since_s)
    shown_still = replace(shown if holds else _still(shown), hills=set_hills(sets[-1]))
    return _resting(shown_still, left_s, shown.set_number) if early else shown


def _is_of_the_bout(doing: Doing) -> bool:
    """Whether a hold goes on that began in the last bout: that is closed as soon as it is seen to hold no rep."""
    return None not in (doing.opened_s, doing.held_since_s) and (doing.held_since_s or 0.0) >= (doing.opened_s or 0.0)


def _resting(shown: Snapshot, left_s: float, set_number: int) -> Snapshot:
    return replace(shown, stage=Stage.REST, rest_left_s=left_s, set_number=set_number)


def _still(shown: Snapshot) -> Snapshot:
    """Nothing is done now that counts; the bout that may be open is what a key would leave out."""
    return replace(
        shown,
        count=0,
        provisional=False,
        phase=Phase.AWAY,
        phase_s=0.0,
        phase_target_s=None,
        then=Phase.AWAY,
        cue="",
        ended=False,
        hills=(),
        offers=shown.offers - {Offer.DROP},
    )
