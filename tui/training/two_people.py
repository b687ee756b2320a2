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
    after
        How many reps had begun before it, those that do not count among them.
    reps
        How many of them count.
    lasts_s
        From the begin of the one rep to that of the next.
    """

    after: int
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
    return Break(place + 1, sum(rep.counts for rep in done.reps[: place + 1]), longest)


@dataclass(frozen=True, slots=True)
class Parting:
    """That the reps after a break were another's, who began before the set was closed.

    Attributes
    ----------
    name
        Whose the set was taken for.
    other
        Whose those reps were: who did the set after it, or else is next.
    goes_on
        The set of theirs that they began with those reps; None where no more than these were seen.
    """

    name: str
    done: SetRecord
    between: Break
    other: str
    goes_on: SetRecord | None

    @property
    def count(self) -> int:
        """How many reps those are that count."""
        return sum(rep.counts for rep in self.done.reps[self.between.after :])

    @property
    def reps(self) -> str:
        """Which reps those are, in words."""
        first, last = self.between.reps + 1, self.between.reps + self.count
        return f"rep {first}" if first >= last else f"reps {first} to {last}"

    @property
    def words(self) -> str:
        """What a key would say."""
        return f"{self.reps} {'was' if self.count == 1 else 'were'} {self.other}'s"


def parting(people: Mapping[str, Person], next_one: str) -> Parting | None:
    """Return how the newest set that may be two people's is parted by a key; None where there is none, or no more.

    Parameters
    ----------
    next_one
        Whose turn it is; empty where it is nobody's.
    """
    found = {name: one for name in people if (one := _in_doubt(people[name])) and not people[name].session.board.ended}
    if not found:
        return None
    name = max(found, key=lambda one: people[one].host_s(found[one][0].end_s))
    done, between = found[name]
    end_s = people[name].host_s(done.end_s)
    later = {
        one: last[0]
        for one, person in people.items()
        if one != name and (last := [own for own in person.session.board.all_sets if person.host_s(own.end_s) > end_s])
    }
    other = min(later, key=lambda one: people[one].host_s(later[one].start_s), default=next_one)
    if other in ("", name) or people[other].session.board.ended:
        return None
    goes_on = later.get(other)
    if goes_on is not None and goes_on is not people[other].session.board.all_sets[-1]:
        return None  # they did another one since
    found_so = Parting(name, done, between, other, goes_on)
    return found_so if found_so.count else None  # an attempt alone is counted for nobody


def doubts(people: Mapping[str, Person], parted: Parting | None = None) -> tuple[str, ...]:
    """Return, of each whose last set may have been two people's, where in it, in words; `parted`: what a key mends."""
    found = ((name, _in_doubt(person)) for name, person in people.items())
    return tuple(_doubt(name, *one, parted) for name, one in found if one)


def _in_doubt(person: Person) -> tuple[SetRecord, Break] | None:
    """Return the last set and its break; None of one of whose reps somebody said more: it was looked at."""
    board = person.session.board
    last = next(iter(board.all_sets[-1:]), None)
    as_found = last is not None and last.reps in [one.reps for one in board.measured]
    between = long_break(last) if last and as_found else None
    return (last, between) if last and between else None


def _doubt(name: str, done: SetRecord, between: Break, parted: Parting | None) -> str:
    where = f"{between.lasts_s:.0f} s from rep {between.reps} to {between.reps + 1}"
    mend = f"p: {parted.words}." if parted and parted.name == name else "Mend it in the check."
    return f"{name}, set {done.number}: two people? {mend} {where}."  # what to do first: a low screen has one line
