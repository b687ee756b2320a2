"""What was told live, and when: a replay at a moment shows no more than had been told by then; pure."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from enum import StrEnum

from analysis.motion.events import (
    BoutClosed,
    BoutOpened,
    BoutRefined,
    Event,
    Phase,
    PhaseChanged,
    RepConfirmed,
    RepProvisional,
    RepWithdrawn,
)

_MOVES = (Phase.UP, Phase.TOP, Phase.DOWN, Phase.BOTTOM)
"""The phases of reps; hanging and being away are none."""


class LiveState(StrEnum):
    """What had become of a rep that was announced live."""

    COUNTED = "counted"
    WITHDRAWN = "withdrawn"
    PROVISIONAL = "provisional"


@dataclass(frozen=True, slots=True, kw_only=True)
class LiveRep:
    """One rep as it was told live.

    Attributes
    ----------
    count
        Its number, as told.
    end_s
        Where it ended; of one that was never counted, its top.
    announced_s, counted_s, withdrawn_s
        When its top was told, when it was counted, when it was taken back; None where that did not happen.
    why
        Of one withdrawn, why.
    """

    count: int
    start_s: float
    top_s: float | None
    down_s: float | None
    end_s: float
    announced_s: float | None = None
    counted_s: float | None = None
    withdrawn_s: float | None = None
    why: str = ""

    @property
    def state(self) -> LiveState:
        """What became of it in the end."""
        if self.withdrawn_s is not None:
            return LiveState.WITHDRAWN
        return LiveState.PROVISIONAL if self.counted_s is None else LiveState.COUNTED

    @property
    def told_s(self) -> float:
        """When that was told."""
        return max(one for one in (self.announced_s, self.counted_s, self.withdrawn_s) if one is not None)

    def by(self, at_s: float) -> LiveRep | None:
        """Return it as it had been told by a moment; None where nothing had been."""
        if self.told_s <= at_s:
            return self
        announced, counted, withdrawn = (
            told_s if _told(told_s, at_s) else None for told_s in (self.announced_s, self.counted_s, self.withdrawn_s)
        )
        if announced is None and counted is None and withdrawn is None:
            return None
        why = "" if withdrawn is None else self.why
        told = replace(self, announced_s=announced, counted_s=counted, withdrawn_s=withdrawn, why=why)
        if counted is None and self.counted_s is not None and self.top_s is not None:
            return replace(told, down_s=None, end_s=self.top_s)
        return told


@dataclass(frozen=True, slots=True)
class LivePhase:
    """A phase that began at `at_s`, told at `told_s`."""

    phase: Phase
    at_s: float
    told_s: float


@dataclass(frozen=True, slots=True)
class LiveCount:
    """The count as it was told from `told_s` on.

    Attributes
    ----------
    count
        Reps counted.
    top_told
        The top of one more had been told.
    going
        A set was going on.
    """

    told_s: float
    count: int
    top_told: bool = False
    going: bool = True


@dataclass(frozen=True, slots=True)
class Live:
    """All that was told live.

    Attributes
    ----------
    reps
        In order of time, as they stood in the end.
    phases, counts
        In the order in which they were told.
    refined_s
        When each set was told as seen whole, in order.
    """

    reps: tuple[LiveRep, ...] = ()
    phases: tuple[LivePhase, ...] = ()
    counts: tuple[LiveCount, ...] = ()
    refined_s: tuple[float, ...] = ()

    @property
    def told_s(self) -> Iterator[float]:
        """The moments at which a top, a rep, its withdrawal or a whole set was told."""
        for one in self.reps:
            yield from (told_s for told_s in (one.announced_s, one.counted_s, one.withdrawn_s) if told_s is not None)
        yield from self.refined_s

    def count_at(self, at_s: float) -> LiveCount | None:
        """Return the count as it stood at a moment; None while no set was going on."""
        told = bisect_right(self.counts, at_s, key=lambda one: one.told_s)
        return self.counts[told - 1] if told and self.counts[told - 1].going else None

    def moving_at(self, at_s: float) -> tuple[tuple[Phase, float, float], ...]:
        """Return the phases since the last rep that was counted by a moment, as told by then: phase, start, end."""
        since_s = next((one.end_s for one in reversed(self.reps) if _told(one.counted_s, at_s)), 0.0)
        found: list[tuple[Phase, float, float]] = []
        end_s = at_s
        for number in range(bisect_right(self.phases, at_s, key=lambda one: one.told_s) - 1, -1, -1):
            one = self.phases[number]
            if one.at_s < end_s:  # else a phase told later began at that moment or before
                found.append((one.phase, max(one.at_s, since_s), end_s))
                end_s = one.at_s
            if end_s <= since_s:
                break
        return tuple(one for one in reversed(found) if one[0] in _MOVES)


def _told(told_s: float | None, at_s: float) -> bool:
    return told_s is not None and told_s <= at_s


def live_of(events: Iterable[Event]) -> Live:
    """Return what was told live."""
    told = tuple(events)
    return Live(
        reps=_reps(told),
        phases=tuple(
            LivePhase(event.phase, event.at_s, event.emitted_s) for event in told if isinstance(event, PhaseChanged)
        ),
        counts=tuple(_counts(told)),
        refined_s=tuple(event.emitted_s for event in told if isinstance(event, BoutRefined)),
    )


def _counts(events: Iterable[Event]) -> Iterator[LiveCount]:
    for event in events:
        match event:
            case BoutOpened():
                yield LiveCount(event.emitted_s, 0)
            case RepProvisional():
                yield LiveCount(event.emitted_s, event.count - 1, top_told=True)
            case RepConfirmed() | RepWithdrawn():
                yield LiveCount(event.emitted_s, event.count)
            case BoutClosed():
                yield LiveCount(event.emitted_s, event.bout.count, going=False)
            case _:
                pass


def _reps(events: Iterable[Event]) -> tuple[LiveRep, ...]:
    """Return the reps that were told, in order of time: counted, withdrawn, and announced without an end."""
    counted: dict[int, list[LiveRep]] = {}
    others: list[LiveRep] = []
    announced: LiveRep | None = None
    for event in events:
        of_bout = counted.setdefault(event.id.bout, [])
        match event:
            case RepProvisional():
                others += [announced] if announced else []
                announced = _announced(event)
            case RepConfirmed():
                of_bout.append(_counted(event, announced))
                announced = None
            case RepWithdrawn() if event.count < len(of_bout):
                ends_s = [abs(one.end_s - event.at_s) for one in of_bout]
                others.append(_withdrawn(of_bout.pop(ends_s.index(min(ends_s))), event))
            case RepWithdrawn() if announced:
                others.append(_withdrawn(announced, event))
                announced = None
            case _:
                pass
    others += [announced] if announced else []
    return tuple(sorted([*(one for those in counted.values() for one in those), *others], key=lambda one: one.start_s))


def _announced(event: RepProvisional) -> LiveRep:
    return LiveRep(
        count=event.count,
        start_s=event.start_s,
        top_s=event.top_s,
        down_s=None,
        end_s=event.top_s,
        announced_s=event.emitted_s,
    )


def _counted(event: RepConfirmed, announced: LiveRep | None) -> LiveRep:
    rep = event.rep
    return LiveRep(
        count=event.count,
        start_s=rep.start_s,
        top_s=rep.top_s,
        down_s=rep.down_s,
        end_s=rep.end_s,
        announced_s=announced.announced_s if announced else None,
        counted_s=event.emitted_s,
    )


def _withdrawn(taken: LiveRep, event: RepWithdrawn) -> LiveRep:
    return replace(taken, withdrawn_s=event.emitted_s, why=event.reason)
