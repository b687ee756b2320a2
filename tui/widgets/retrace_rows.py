"""Raw, live and refined answer as three thin rows one under the other, so that one sees why a rep was counted; pure."""

from __future__ import annotations

from collections.abc import Sequence

from analysis.motion.events import Phase
from analysis.motion.trace import Way
from tui.retrace.live import Live, LiveState
from tui.retrace.view import RetraceView, SeenRep
from tui.widgets.canvas import Canvas, Ink
from tui.widgets.retrace_scale import Scale

UP, TOP, DOWN, BOTTOM = "╱", "▔", "╲", "▁"
HALF_WAY = "∨"
"""Within a one-and-a-half rep: part of the way down and up again; when each of the two began is not kept."""
FAR = "▪"
"""A rep of less than `_LEAST` cells."""
_LEAST = 3
_GLYPHS = {Phase.UP: UP, Phase.TOP: TOP, Phase.DOWN: DOWN, Phase.BOTTOM: BOTTOM}
_STATES = {LiveState.WITHDRAWN: "×", LiveState.PROVISIONAL: "?"}
SEEN_WHOLE = "≡"
"""When a set was told as seen whole."""


def draw_raw(canvas: Canvas, ways: Sequence[Way], scale: Scale, row: int) -> None:
    """Draw the ways up and down that the reps were read from."""
    for way in ways:
        for column in scale.columns(way.start_s, way.end_s):
            canvas.put(column, row, UP if way.up else DOWN, Ink.HILL)


def draw_live(canvas: Canvas, live: Live, at_s: float, scale: Scale, row: int) -> None:
    """Draw what had been told live by a moment: counted reps with their number, × taken back, ? no end told.

    What moves since the last one is drawn as far as its phases had been told.
    """
    for step, start_s, end_s in live.moving_at(at_s):
        if (end_s - start_s) * scale.cells_per_s >= 1:
            _phases(canvas, [(step, start_s)], end_s, scale, row, Ink.MUTED)
    told = (one.by(at_s) for one in live.reps if one.end_s > scale.from_s and one.start_s < scale.to_s)
    for one in (one for one in told if one is not None):
        stops = [(Phase.UP, one.start_s), (Phase.TOP, one.top_s), (Phase.DOWN, one.down_s)]
        known = [(step, at_s) for step, at_s in stops if at_s is not None]
        counted = one.state is LiveState.COUNTED
        if _is_far(canvas, one.start_s, one.end_s, _STATES.get(one.state, FAR), scale, row):
            continue
        _phases(canvas, known, one.end_s, scale, row, Ink.HILL if counted else Ink.MUTED)
        sign = _STATES.get(one.state, str(one.count))
        _label(canvas, sign, one.start_s, one.end_s, scale, row, Ink.STRONG if counted else Ink.ATTENTION)
    for refined_s in live.refined_s:
        if refined_s <= at_s and scale.has(refined_s):
            canvas.put(scale.kept(refined_s), row, SEEN_WHOLE, Ink.MUTED)


def live_name(live: Live, at_s: float) -> str:
    """Name the row, with the count as it was told at a moment: "live 3", "live 3, 4?" once the next top is told."""
    told = live.count_at(at_s)
    if told is None:
        return "live"
    return f"live {told.count}{f', {told.count + 1}?' if told.top_told else ''}"


def draw_refined(canvas: Canvas, view: RetraceView, scale: Scale, row: int) -> None:
    """Draw the reps as they answer now: each with its number within the set, ½ a partial one."""
    for rep in (rep for rep in view.reps if rep.until_s > scale.from_s and rep.start_s < scale.to_s):
        if _is_far(canvas, rep.start_s, rep.end_s, FAR if rep.hill.counted else "½", scale, row):
            continue
        known = [(edge.phase, edge.at_s) for edge in rep.edges]
        _phases(canvas, known, max(rep.end_s, rep.until_s), scale, row, Ink.HILL)
        for column in scale.columns(*rep.half_way_s) if rep.half_way_s else ():
            canvas.put(column, row, HALF_WAY, Ink.HILL)
        _label(canvas, _number(rep), rep.start_s, rep.end_s, scale, row, Ink.STRONG)


def _is_far(canvas: Canvas, start_s: float, end_s: float, sign: str, scale: Scale, row: int) -> bool:
    """Draw what is too narrow for phases as one sign; tell whether it was."""
    if (end_s - start_s) * scale.cells_per_s >= _LEAST:
        return False
    for column in scale.columns(start_s, end_s)[:1]:
        canvas.put(column, row, sign, Ink.HILL if sign == FAR else Ink.ATTENTION)
    return True


def _number(rep: SeenRep) -> str:
    return str(rep.number) if rep.hill.counted else "½"


def _phases(
    canvas: Canvas, known: Sequence[tuple[Phase, float]], end_s: float, scale: Scale, row: int, ink: Ink
) -> None:
    ends = [at_s for _, at_s in known[1:]] + [end_s]
    for (step, at_s), until_s in zip(known, ends, strict=True):
        if until_s > at_s:
            for column in scale.columns(at_s, until_s):
                canvas.put(column, row, _GLYPHS[step], ink)


def _label(canvas: Canvas, text: str, start_s: float, end_s: float, scale: Scale, row: int, ink: Ink) -> None:
    cells = scale.columns(start_s, end_s)
    if len(cells) > len(text):
        canvas.write(cells[0] + (len(cells) - len(text)) // 2, row, text, ink)
