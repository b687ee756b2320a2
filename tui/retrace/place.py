"""Where a replay stands and what of it is in sight; each move returns the place after it. Pure: time is given."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from tui.retrace.view import RetraceView, SeenRep

SPEEDS = (0.25, 0.5, 1.0, 2.0, 4.0, 8.0, 16.0)
CLOSEST_S = 1.0
"""Shortest stretch in sight: finer than a sample or two a column there is nothing to see."""
BESIDE = 0.15
"""Share of a set or rep in sight on either side of it."""
_AHEAD = 0.1
"""Share of the window behind the head when it is turned over like a page."""
_SAME_S = 1e-6


@dataclass(frozen=True, slots=True)
class Place:
    """Head, window and pace.

    Attributes
    ----------
    head_s
        The moment that is looked at.
    from_s, to_s
        The stretch in sight; the head is always within.
    speed
        Seconds of the recording a second.
    loop
        Start and end of what is played again and again; None: to the end.
    """

    head_s: float
    from_s: float
    to_s: float
    speed: float = 1.0
    playing: bool = False
    loop: tuple[float, float] | None = None

    @property
    def width_s(self) -> float:
        """Length of what is in sight."""
        return self.to_s - self.from_s


def opened(view: RetraceView, at_s: float | None = None, speed: float = 1.0) -> Place:
    """Return the place to begin at: the whole, its head at the first set; or close to the rep at `at_s`."""
    whole = Place(view.sets[0].start_s if view.sets else view.start_s, view.start_s, view.end_s, speed)
    if at_s is None:
        return whole
    there = moved_to(whole, view, at_s)
    rep = view.rep_at(there.head_s)
    return there if rep is None else _close_to(there, view, rep.start_s, rep.until_s)


def refitted(place: Place, before: RetraceView, view: RetraceView) -> Place:
    """Keep the place when the recording turns out to be of another length; who saw the whole sees the whole again."""
    if place.width_s >= before.duration_s:
        place = replace(place, from_s=view.start_s, to_s=view.end_s)
    width_s = min(place.width_s, view.duration_s)
    head_s = min(max(place.head_s, view.start_s), view.end_s)
    from_s = min(max(place.from_s, view.start_s), view.end_s - width_s)
    return moved_to(replace(place, from_s=from_s, to_s=from_s + width_s), view, head_s)


def moved_to(place: Place, view: RetraceView, at_s: float) -> Place:
    """Put the head at a moment; the window follows by as little as it takes. A loop that is left is over."""
    head_s = min(max(at_s, view.start_s), view.end_s)
    loop = place.loop if place.loop and place.loop[0] <= head_s <= place.loop[1] else None
    from_s = min(max(place.from_s, head_s - place.width_s), head_s)
    return replace(place, head_s=head_s, from_s=from_s, to_s=from_s + place.width_s, loop=loop)


def panned(place: Place, view: RetraceView, share: float) -> Place:
    """Move the window by a share of itself, and the head with it as far as it must."""
    from_s = min(max(place.from_s + share * place.width_s, view.start_s), view.end_s - place.width_s)
    to_s = from_s + place.width_s
    return replace(place, from_s=from_s, to_s=to_s, head_s=min(max(place.head_s, from_s), to_s), loop=None)


def zoomed(place: Place, view: RetraceView, factor: float) -> Place:
    """Show `factor` times as long a stretch, the head at the same place of it."""
    width_s = min(max(place.width_s * factor, min(CLOSEST_S, view.duration_s)), view.duration_s)
    share = (place.head_s - place.from_s) / place.width_s if place.width_s > 0 else 0.0
    return _window(place, view, place.head_s - share * width_s, width_s)


def closer(place: Place, view: RetraceView) -> Place:
    """Go from the whole to the set at the head, from the set to the rep, from the rep to the whole."""
    index = view.set_at(place.head_s)
    if index is None:
        return zoomed(place, view, float("inf"))
    one, rep = view.sets[index], view.rep_at(place.head_s) or _nearest(view.sets[index].reps, place.head_s)
    of_set, of_rep = (one.start_s, one.end_s), (rep.start_s, rep.until_s) if rep else None
    if place.width_s > _width(of_set, view) + _SAME_S:
        return _close_to(moved_to(place, view, _within(place.head_s, of_set)), view, *of_set)
    if of_rep and place.width_s > _width(of_rep, view) + _SAME_S:
        return _close_to(moved_to(place, view, _within(place.head_s, of_rep)), view, *of_rep)
    return zoomed(place, view, float("inf"))


def rep_stepped(place: Place, view: RetraceView, by: int) -> Place:
    """Go to the start of the next rep, or of this one and then of the one before."""
    there = _stepped(place, view, [rep.start_s for rep in view.reps], by)
    rep = view.rep_at(there.head_s)
    if rep and (rep.start_s < there.from_s or rep.until_s > there.to_s) and rep.until_s - rep.start_s < there.width_s:
        return _window(there, view, rep.start_s - _AHEAD * there.width_s, there.width_s)
    return there


def phase_stepped(place: Place, view: RetraceView, by: int) -> Place:
    """Go to the next edge between phases, or to the one before."""
    return _stepped(place, view, [edge.at_s for rep in view.reps for edge in rep.edges], by)


def told_stepped(place: Place, view: RetraceView, by: int) -> Place:
    """Go to the next moment at which something was told live, or to the one before."""
    return _stepped(place, view, tuple(view.live.told_s), by)


def set_stepped(place: Place, view: RetraceView, by: int) -> Place:
    """Go to the start of the next set, or of this one and then of the one before."""
    there = _stepped(place, view, [one.start_s for one in view.sets], by)
    return _window(there, view, there.head_s - _AHEAD * there.width_s, there.width_s)


def note_stepped(place: Place, view: RetraceView, by: int) -> Place:
    """Go to the next mark, after the last one to the first; or to the one before."""
    stops = sorted((note.at_s for note in view.notes), reverse=by < 0)
    beyond = [at_s for at_s in stops if (at_s - place.head_s) * by > _SAME_S]
    return moved_to(place, view, (beyond or stops)[0]) if stops else place


def looped(place: Place, view: RetraceView) -> Place:
    """Play the rep at the head again and again; or, where one is, no longer."""
    rep = view.rep_at(place.head_s)
    if place.loop or rep is None:
        return replace(place, loop=None)
    return replace(place, loop=(rep.start_s, rep.until_s), playing=True)


def faster(place: Place, by: int) -> Place:
    """Go `by` steps up or down the list of speeds from the nearest one."""
    nearest = min(range(len(SPEEDS)), key=lambda index: abs(SPEEDS[index] - place.speed))
    return replace(place, speed=SPEEDS[max(0, min(len(SPEEDS) - 1, nearest + by))])


def played(place: Place, view: RetraceView, real_s: float) -> Place:
    """Let `real_s` seconds pass; at the end it stops, a loop begins anew, and the window turns over as a page does."""
    if not place.playing:
        return place
    head_s = place.head_s + real_s * place.speed
    if place.loop:
        start_s, end_s = place.loop
        head_s = start_s + (head_s - start_s) % max(end_s - start_s, _SAME_S)
    ends = head_s >= view.end_s
    there = replace(place, head_s=min(head_s, view.end_s), playing=not ends)
    if there.from_s <= there.head_s <= there.to_s:
        return there
    return _window(there, view, there.head_s - _AHEAD * there.width_s, there.width_s)


def toggled(place: Place, view: RetraceView) -> Place:
    """Play, or hold; from the end, play from the start."""
    if not place.playing and place.head_s >= view.end_s:
        place = moved_to(place, view, view.start_s)
    return replace(place, playing=not place.playing)


def _stepped(place: Place, view: RetraceView, stops: Sequence[float], by: int) -> Place:
    beyond = [stop for stop in stops if (stop > place.head_s + _SAME_S if by > 0 else stop < place.head_s - _SAME_S)]
    if not beyond:
        return place
    return moved_to(place, view, min(beyond) if by > 0 else max(beyond))


def _window(place: Place, view: RetraceView, from_s: float, width_s: float) -> Place:
    from_s = max(view.start_s, min(from_s, view.end_s - width_s))
    return replace(place, from_s=from_s, to_s=from_s + width_s)


def _close_to(place: Place, view: RetraceView, start_s: float, end_s: float) -> Place:
    width_s = _width((start_s, end_s), view)
    return _window(place, view, (start_s + end_s - width_s) / 2, width_s)


def _width(span: tuple[float, float], view: RetraceView) -> float:
    return min(max((span[1] - span[0]) * (1 + 2 * BESIDE), min(CLOSEST_S, view.duration_s)), view.duration_s)


def _within(at_s: float, span: tuple[float, float]) -> float:
    return min(max(at_s, span[0]), span[1])


def _nearest(reps: Sequence[SeenRep], at_s: float) -> SeenRep | None:
    return min(reps, key=lambda rep: abs((rep.start_s + rep.end_s) / 2 - at_s), default=None)
