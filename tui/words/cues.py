"""The one short word said after a rep, when something is off. No blame, never two at once."""

from __future__ import annotations

from analysis.training.ending import Ending
from analysis.training.verdict import Outcome, RepVerdict

Faults = frozenset[tuple[str, int]]
"""What is off, by name and direction."""
NOTHING_OFF: Faults = frozenset()
NO_HANG: Faults = frozenset({("hang", -1)})
"""The reps of the set begin without the hang that was asked for."""
SET_DONE = "set done"
"""Said when a set is over before its number is reached."""
NOT_COUNTED = "not counted"
"""Said of a set that a person left out while it lasts."""
ENDING_WORDS = {
    Ending.ATTEMPT: "the last pull did not get to the top",
    Ending.LOWERINGS: "two lowerings running in less than half of the time asked for",
}
_CUES = {
    ("range", -1): "all the way",
    ("down", -1): "slower down",
    ("top", -1): "hold the top",
    ("hang", -1): "hang first",
    ("start", 1): "shoulders first",
    ("bottom", -1): "pause below",
    ("half", -1): "stop half-way",
    ("up", -1): "slower up",
    ("up", 1): "quicker up",
    ("bottom", 1): "go on",
    ("down", 1): "quicker down",
    ("top", 1): "lower now",
    ("half", 1): "go on",
    ("lean", 1): "more upright",
}
"""By phase and direction, most useful first: lowering too quick is the usual fault (common practice, no source)."""

CUES = tuple(dict.fromkeys(_CUES.values()))
"""All that may be said after a rep."""


def cue_after(verdict: RepVerdict, before: RepVerdict | None = None, whole: Faults = NOTHING_OFF) -> str:
    """Return the cue that a rep calls for; empty when nothing was missed.

    Parameters
    ----------
    verdict
        Of the rep that ended.
    before
        Of the one before it: the pause between the two is judged there.
    whole
        What only the set so far tells.
    """
    off = {(phase.name, phase.direction) for phase in verdict.phases if phase.outcome is Outcome.MISSED}
    off |= {(form.name, form.direction) for form in verdict.form if form.outcome is Outcome.MISSED}
    pauses = [phase for phase in before.phases if phase.name == "bottom"] if before else []
    off |= {(pause.name, pause.direction) for pause in pauses if pause.outcome is Outcome.MISSED}
    return next((cue for key, cue in _CUES.items() if key in off | whole), "")
