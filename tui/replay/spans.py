"""The time line of a recording: sets, the rests between them, and the times without a sensor."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise

from analysis.motion.events import BoutClosed, BoutRefined, Event
from analysis.motion.results import Bout
from sensor.clock import ClockEstimate
from sensor.source import Arrival, Channel, LinkState
from tui.session.control import Span, SpanKind

_AWAY = (LinkState.LOST, LinkState.STALLED, LinkState.AWAY)


def spans_of(
    arrivals: Iterable[Arrival], events: Sequence[Event], clock: ClockEstimate, began_s: float
) -> tuple[Span, ...]:
    """Return sets, rests and gaps in the order of time, in seconds since `began_s`."""
    sets = [
        Span(clock.to_host(bout.start_s) - began_s, clock.to_host(bout.end_s) - began_s, SpanKind.SET, str(number))
        for number, bout in enumerate(final_bouts(events), start=1)
    ]
    rests = [Span(one.end_s, after.start_s, SpanKind.REST) for one, after in pairwise(sets)]
    return tuple(sorted([*sets, *rests, *_gaps(arrivals, began_s)], key=lambda span: span.start_s))


def final_bouts(events: Sequence[Event]) -> list[Bout]:
    """Return the bouts with reps as they stood in the end."""
    return [bout for bout in standing_bouts(events) if bout.count]


def standing_bouts(events: Sequence[Event]) -> list[Bout]:
    """Return all bouts as they stood in the end, in order: refined ones, and live ones that nothing replaced."""
    live: dict[int, Bout] = {}
    refined: list[Bout] = []
    for event in events:
        match event:
            case BoutClosed():
                live[event.bout.number] = event.bout
            case BoutRefined():
                for number in event.supersedes:
                    live.pop(number, None)
                refined.append(event.bout)
    return sorted([*live.values(), *refined], key=lambda bout: bout.start_s)


def _gaps(arrivals: Iterable[Arrival], began_s: float) -> Iterator[Span]:
    """Yield the times in which the sensor was away."""
    lost_s: float | None = None
    for arrival in arrivals:
        if arrival.channel is not Channel.LINK:
            continue
        state = LinkState(arrival.payload.decode("ascii"))
        if state in _AWAY and lost_s is None:
            lost_s = arrival.at_s
        elif state is LinkState.CONNECTED and lost_s is not None:
            yield Span(lost_s - began_s, arrival.at_s - began_s, SpanKind.GAP)
            lost_s = None
