"""What can be corrected, by the names of `rungwise correct`'s options: words, keys, and what needs no reason."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

KINDS = ("full", "partial", "one-and-a-half")
SETS = {"counts": "exercise", "warm-up": "warm-up", "other-exercise": "partner"}
"""What a set may be relabelled as, and how the log calls it."""
UNREASONED = {"undo": "mistaken", "confirm": "other", "analyse_again": "other", "give": "somebody-else"}
"""What needs no reason, and the one it gets."""


@dataclass(frozen=True, slots=True)
class Fix:
    """One thing to correct from the screen.

    Attributes
    ----------
    key, words
        Its key, and what it says; `{rep}`, `{next}` and `{set}` stand for what is marked.
    act
        Name of the option.
    """

    key: str
    words: str
    act: str


BEFORE, AFTER = "b", "a"
"""Keys of a rep added before, and after, the marked one."""
OF_REP = (
    Fix(AFTER, "a rep is missing after rep {rep}", "add_rep"),
    Fix(BEFORE, "a rep is missing before rep {rep}", "add_rep"),
    Fix("d", "rep {rep} was no rep", "drop_rep"),
    Fix("m", "reps {rep} and {next} were one", "merge"),
    Fix("s", "rep {rep} was two", "split"),
    Fix("t", "rep {rep} was of another kind", "kind"),
)
OF_SET = (
    Fix("n", "set {set}: another number of reps", "count"),
    Fix("w", "set {set}: another load", "load"),
)
OF_ANY_SET = (
    Fix("l", "set {set}: a warm-up, another exercise, or one that counts", "relabel"),
    Fix("p", "set {set} was another person's", "give"),
    Fix("x", "set {set} does not count", "drop_set"),
)
ALL_LOADS = Fix("v", "another load in all sets", "load")
CONFIRM = Fix("c", "confirm, as the coach, what the trainee corrected", "confirm")


def meant(act: str, given: Any) -> Any:
    """Return what was given with an act as the rules have it: a kind of rep, a kind of set, or itself."""
    from analysis.motion.results import RepKind
    from analysis.training.superset import SetKind

    match act:
        case "kind":
            return RepKind.ONE_AND_HALF if given == "one-and-a-half" else RepKind(given)
        case "relabel":
            return SetKind(SETS[given])
        case _:
            return given
