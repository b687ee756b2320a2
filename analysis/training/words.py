"""Small pieces of language: days, lists, seconds, names of phases and of reasons."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from analysis.motion.results import Why

PHASE_WORDS = {
    "up": "pull",
    "top": "top hold",
    "down": "lowering",
    "half": "half-way pause",
    "bottom": "pause at the bottom",
    "start": "shoulders",
    "lean": "trunk",
    "range": "range",
}
"""What a phase, or what is judged beside the phases, is called in a sentence."""

PHASES = ("up", "top", "down", "half", "bottom")
"""The phases of a rep."""

FAULT_WORDS = {
    ("up", -1): "too quick",
    ("up", 1): "too slow",
    ("top", -1): "too short",
    ("top", 1): "too long",
    ("down", -1): "too quick",
    ("down", 1): "too slow",
    ("half", -1): "too short",
    ("half", 1): "too long",
    ("bottom", -1): "too short",
    ("bottom", 1): "too long",
    ("start", 1): "not set before the pull",
    ("lean", 1): "leaning too far",
    ("range", -1): "too short",
}
"""What is off, by phase and direction."""

WHY_WORDS = {
    Why.GAP: "packets were lost",
    Why.SLIPPED: "the clip moved",
    Why.TOO_STIFF: "this bar is too stiff for this clip",
    Why.SIGN_UNRESOLVED: "up and down look alike from here",
    Why.SWINGING: "the sensor was swinging",
    Why.NO_SET: "another count is nearly as likely",
    Why.BLURRED: "its moment is not sure enough",
}
"""Why something is not measurable."""


def listing(items: Sequence[object]) -> str:
    """Join as one says it: "4", "4 and 5", "4, 5 and 9"."""
    words = [str(item) for item in items]
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def day(when: date) -> str:
    """Name a day: "Thu 5 March 2026"."""
    return f"{when:%a} {when.day} {when:%B %Y}"


def sentence(text: str) -> str:
    """Begin with a capital, end with a full stop."""
    return f"{text[:1].upper()}{text[1:].rstrip('.')}."


def which_reps(numbers: Sequence[int], total: int) -> str:
    """Say which reps: a few by number, a tail by where it begins, many by how many."""
    if len(numbers) == total and total > 1:
        return "in every rep"
    if len(numbers) >= 3 and list(numbers) == list(range(numbers[0], total + 1)):
        return f"from rep {numbers[0]} on"
    if len(numbers) <= 4:
        return f"in {'rep' if len(numbers) == 1 else 'reps'} {listing(numbers)}"
    return f"in {len(numbers)} of {total} reps"
