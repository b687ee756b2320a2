"""The one short word said after a rep, when something is off. No blame, never two at once."""

from __future__ import annotations

from analysis.training.verdict import Outcome, RepVerdict

_CUES = {
    ("down", -1): "slower down",
    ("top", -1): "hold the top",
    ("bottom", -1): "hang first",
    ("half", -1): "stop half-way",
    ("up", -1): "slower up",
    ("up", 1): "quicker up",
    ("bottom", 1): "go on",
    ("down", 1): "quicker down",
    ("top", 1): "lower now",
    ("half", 1): "go on",
}
"""By phase and direction, most useful first: lowering too quick is the usual fault (common practice, no source)."""


def cue_after(verdict: RepVerdict) -> str:
    """Return the cue that a rep's verdict calls for; empty when nothing was missed."""
    off = {(phase.name, phase.direction) for phase in verdict.phases if phase.outcome is Outcome.MISSED}
    return next((cue for key, cue in _CUES.items() if key in off), "")
