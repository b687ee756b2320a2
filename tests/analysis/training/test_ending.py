"""When a set is over before its number: by the rule as the issue states it, figures by hand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest
from builders import make_rep

from analysis.motion.mounts import Mount
from analysis.motion.results import Rep, RepKind
from analysis.training.ending import Ending, ending
from analysis.training.prescription import Exercise, Prescription, Tempo

ASKED = Prescription(
    exercise=Exercise("bar", "bar pull-up", Mount.BODY),
    sets=3,
    reps=8,
    tempo=Tempo(down_s=2.0, bottom_s=0.0, up_s=1.0, top_s=1.0),
    rest_s=90,
)
ATTEMPT = "attempt"
UNREAD = "unread"


def done(*reps: float | str, sd_s: float = 0.02) -> list[Rep]:
    """Return reps by the seconds of their lowering; an attempt, and one whose lowering is not known, by name."""
    made: list[Rep] = []
    for number, one in enumerate(reps):
        kind = RepKind.PARTIAL if one == ATTEMPT else RepKind.FULL
        rep = make_rep(10.0 * number, down_s=one if isinstance(one, float) else 0.3, kind=kind, sd_s=sd_s)
        made.append(replace(rep, down_s=None) if one == UNREAD else rep)
    return made


@pytest.mark.parametrize(
    ("reps", "why"),
    [
        ((), None),
        ((2.0, 2.0, 2.0), None),
        ((2.0, 0.6), None),  # one drop is none running
        ((2.0, 0.6, 0.6), Ending.LOWERINGS),
        ((0.6, 2.0, 0.6), None),  # not running
        ((0.6, UNREAD, 0.6), None),  # what was between is not known
        ((1.1, 1.1), None),  # too quick, yet over half of 2 s
        ((0.6, 0.6, 2.0), Ending.LOWERINGS),  # what follows does not take it back
        ((0.6, ATTEMPT, 0.6), Ending.LOWERINGS),  # reps running: an attempt between them has no lowering
        ((2.0, ATTEMPT), Ending.ATTEMPT),
        ((2.0, ATTEMPT, ATTEMPT), Ending.ATTEMPT),
        ((2.0, ATTEMPT, 2.0), None),  # a whole rep after it: not the end
        ((ATTEMPT,), None),  # before the first rep anything may look like one
    ],
)
def test_what_ends_a_set(reps: Sequence[float | str], why: Ending | None) -> None:
    assert ending(done(*reps), ASKED) is why


def test_a_lowering_that_may_have_been_slow_enough_ends_nothing() -> None:
    """Both ends to .1 s: a lowering of .8 s is 1 s short of half of 2 s by .2 s, less than 2 × .1 × √2 = .28 s."""
    assert ending(done(0.8, 0.8, sd_s=0.1), ASKED) is None
    assert ending(done(0.8, 0.8, sd_s=0.05), ASKED) is Ending.LOWERINGS


def test_the_clock_counts_too() -> None:
    """.8 s by a clock known to 20 % is .8 ± .16 s: 2σ = .32 s, more than the .2 s that are missing."""
    assert ending(done(0.8, 0.8), ASKED, clock_sd=0.2) is None


@pytest.mark.parametrize("down_s", [0.0, 0.5])
def test_without_a_lowering_to_speak_of_nothing_is_dropped(down_s: float) -> None:
    asked = replace(ASKED, tempo=replace(ASKED.tempo, down_s=down_s))
    assert ending(done(0.4, 0.4), asked) is None
