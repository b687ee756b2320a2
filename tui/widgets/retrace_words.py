"""What stands in words under a replay: where it is, the rep there, and why it was counted; pure."""

from __future__ import annotations

from tui.retrace.live import LiveRep, LiveState
from tui.retrace.marks import note_near
from tui.retrace.place import Place
from tui.retrace.view import Note, RetraceView, SeenRep
from tui.widgets.canvas import Ink, Row, Rows, fitted, spread
from tui.widgets.labels import clock_words, joined, whole_parts


def place_words(view: RetraceView, place: Place) -> str:
    """Say where the head is: the time, the set, the rep, the phase."""
    time = f"{exact_clock(place.head_s - view.start_s)} of {clock_words(view.duration_s)}"
    return joined(time, where_words(view, place.head_s))


def where_words(view: RetraceView, at_s: float) -> str:
    """Say in which set, rep and phase a moment is."""
    index = view.set_at(at_s)
    if index is None:
        return "before the first set" if view.sets else "no set"
    one = view.sets[index]
    if at_s > one.end_s:
        return f"after set {one.label}"
    if one.held_s is not None:
        return joined(f"set {one.label}", "hold")
    rep = view.rep_at(at_s)
    return joined(f"set {one.label}", f"rep {rep.number}" if rep else "", phase_at(rep, at_s) if rep else "")


def mark_words(view: RetraceView, note: Note) -> str:
    """Say on one line where a mark is, and what was written beside it."""
    where = f"{exact_clock(note.at_s - view.start_s)}  {where_words(view, note.at_s)}"
    return f"{where}  {_said(note)}{f' ({note.who})' if note.who else ''}"


def note_words(note: Note) -> str:
    """Say what a mark says, by whom and when."""
    return f"{_said(note)} ({joined(note.who, note.day)})"


def _said(note: Note) -> str:
    return f"◆ {note.text or 'marked'}"


def exact_clock(seconds: float) -> str:
    """Say a time with tenths."""
    tenths = round(max(0.0, seconds) * 10)
    minutes, rest = divmod(tenths, 600)
    hours, minutes = divmod(minutes, 60)
    clock = f"{hours}:{minutes:02}" if hours else f"{minutes}"
    return f"{clock}:{rest // 10:02}.{rest % 10}"


def phase_at(rep: SeenRep, at_s: float) -> str:
    """Return the phase of a rep at a moment."""
    if rep.half_way_s and rep.half_way_s[0] <= at_s < rep.half_way_s[1]:
        return "half-way down and up"
    begun = [edge.phase for edge in rep.edges if edge.at_s <= at_s]
    return begun[-1].value if begun else ""


def pace_words(place: Place) -> str:
    """Say whether it plays, how fast, and whether over and over."""
    again = ", over and over" if place.loop else ""
    return f"{'playing' if place.playing else 'paused'} at {place.speed:g}×{again}"


def live_words(view: RetraceView, at_s: float) -> str:
    """Say what was told live of the rep at a moment, or of a rep that was none; "later" what had not been told then."""
    rep, index = view.rep_at(at_s), view.set_at(at_s)
    if not view.live.reps or (index is not None and rep and view.sets[index].held_s is not None):
        return ""  # of a hold nothing was told as of a rep
    if rep is not None:
        beside = view.live_beside(rep)
        return "live: not seen; found once the set was seen whole" if beside is None else _told(beside, rep, at_s)
    there = [one for one in view.live.reps if one.start_s <= at_s <= max(one.end_s, one.told_s)]
    return f"live: {_so_far(there[-1], at_s)}{_became(there[-1])}; seen whole, no rep" if there else ""


def _told(one: LiveRep, rep: SeenRep, at_s: float) -> str:
    said = f"live: {_so_far(one, at_s)}{_became(one)}"
    if one.state is not LiveState.COUNTED:
        return f"{said}; found once the set was seen whole"
    moved_s = max(abs(one.start_s - rep.start_s), abs(one.end_s - rep.end_s))
    return f"{said}, {max(0.0, one.told_s - one.end_s):.1f} s after its end{_moved(moved_s)}"


def _moved(by_s: float) -> str:
    return f"; refined by {by_s:.1f} s" if by_s >= _SEEN_S else ""


_SEEN_S = 0.05
"""Less is nothing in tenths of a second."""


def _so_far(one: LiveRep, at_s: float) -> str:
    """Say what had been told of a rep by a moment, where that was not all."""
    if one.told_s <= at_s:
        return ""
    by_then = one.by(at_s)
    if by_then is None:
        return "later "
    return f"{'counted' if by_then.state is LiveState.COUNTED else 'top told'}, later "


def _became(one: LiveRep) -> str:
    match one.state:
        case LiveState.COUNTED:
            return f"counted as {one.count}"
        case LiveState.PROVISIONAL:
            return f"its top was told as {one.count}, its end was not seen"
        case LiveState.WITHDRAWN:
            return f"{one.count} was taken back, {one.why}"


def beside_words(view: RetraceView, at_s: float) -> str:
    """Say what else there is at a moment: a note, or that nothing can be said; else what the set was."""
    note = note_near(view.notes, at_s)
    if note:
        return note_words(note)
    faults = [fault.words for fault in view.faults if fault.start_s <= at_s <= fault.end_s]
    if faults:
        return f"! {faults[0]}"
    index = view.set_at(at_s)
    return "" if index is None else view.sets[index].words


def draw_words(view: RetraceView, place: Place, width: int, compared: str = "") -> Rows:
    """Return four lines: the place and the pace, the rep, what was told live, what else there is.

    `compared` says how the rep differs from another, in the place of what was told live.
    """
    rep = view.rep_at(place.head_s)
    said = (rep.words if rep else "", compared or live_words(view, place.head_s))
    first = spread(((place_words(view, place), Ink.STRONG),), ((pace_words(place), Ink.TEXT),), width)
    beside = _line(beside_words(view, place.head_s), width, Ink.MUTED)
    return (first, *(_line(text, width) for text in said), beside)


def _line(text: str, width: int, ink: Ink = Ink.TEXT) -> Row:
    return fitted(((whole_parts(text, width), ink),), width)
