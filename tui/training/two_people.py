"""Whether a set on a shared bar may be two people's: who stops short of the number is counted on with the next one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from statistics import median

from analysis.training.records import SetRecord
from tui.training.person import Person

CHANGE_S = 3.5
"""So much longer than usual it is from rep to rep where two people change: simulated changes 4 s apart were read so.

Who rests so long may be one person: so did the virtual trainee in 5 of 44 sets drawn wide on belts and moving bars.
"""


@dataclass(frozen=True, slots=True)
class Break:
    """The longest time from one rep of a set to the next.

    Attributes
    ----------
    reps
        How many that count had begun before it.
    lasts_s
        From the begin of the one rep to that of the next.
    """

    reps: int
    lasts_s: float


def long_break(done: SetRecord) -> Break | None:
    """Return where two people may have changed in a set; None where nothing looks like it.

    Begins are compared, since letting go and taking hold may have been read into the reps beside them.
    """
    periods = [after.start_s - before.start_s for before, after in pairwise(done.reps)]
    if len(periods) < 2:
        return None
    longest = max(periods)
    place = periods.index(longest)
    if longest - median(periods[:place] + periods[place + 1 :]) < CHANGE_S:
        return None
    return Break(sum(rep.counts for rep in done.reps[: place + 1]), longest)


def doubts(people: Mapping[str, Person]) -> tuple[str, ...]:
    """Return, of each whose last set may have been two people's, where in it, in words."""
    found = ((name, person.session.board) for name, person in people.items())
    last = ((name, board.all_sets[-1]) for name, board in found if board.all_sets)
    told = ((name, done.number, long_break(done)) for name, done in last)
    return tuple(_doubt(name, number, between) for name, number, between in told if between)


def _doubt(name: str, number: int, between: Break) -> str:
    where = f"{between.lasts_s:.0f} s from rep {between.reps} to {between.reps + 1}"
    return f"{name}, set {number}: {where}: two people? Mend it in the check."
