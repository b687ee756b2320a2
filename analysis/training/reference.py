"""Which rep of a session is taken as one that went all the way."""

from __future__ import annotations

from analysis.training.records import SessionRecord


class NoReferenceError(ValueError):
    """A rep that cannot be the reference; the message says why."""


def reference_travel_m(record: SessionRecord, number: int, rep: int) -> float:
    """Return the travel of a rep in true metres, where it may stand for a whole one.

    Parameters
    ----------
    record
        A session on the ladder, with its reps.
    number, rep
        Number of the set among those that count, and of the rep in it, partial ones included; from 1.

    Raises
    ------
    NoReferenceError
        When there is no such rep, it does not count, or its travel was not measured.
    """
    done = next((one for one in record.sets if one.number == number), None)
    if record.rung is None:
        raise NoReferenceError("the session belongs to no rung of the ladder")
    if done is None:
        raise NoReferenceError(f"there is no set {number}; the session has {len(record.sets)}")
    if not 1 <= rep <= len(done.reps):
        raise NoReferenceError(f"there is no rep {rep} in set {number}; it has {len(done.reps)}")
    if not done.measured:
        raise NoReferenceError(f"set {number} is not to be relied on")
    chosen = done.reps[rep - 1]
    if not chosen.counts:
        raise NoReferenceError(f"rep {rep} of set {number} is a partial one")
    if chosen.travel_m is None:
        raise NoReferenceError(f"the travel of rep {rep} of set {number} was not measured")
    return chosen.travel_m * done.clock_ratio**2
