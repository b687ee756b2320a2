"""The same drawing as on the screens, in SVG: a rep as a hill over its dotted target, a set as a ridge."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import accumulate

from tui.palette import LIGHT
from tui.report.markup import Markup, element
from tui.session.messages import Hill
from tui.widgets.hill import Outline, duration_s, is_gap, knees, outline
from tui.widgets.ridge import sign_of

_WIDTH, _HEIGHT, _FOOT = 640.0, 90.0, 24.0
_PER_S = 40.0
"""Most units a second: a set of few reps is not drawn wider than life."""
_TOP = 0.98
"""Share of the height that a hill takes, so that its outline is not cut."""
_SMALL_WIDTH, _SMALL_HEIGHT, _APART = 220.0, 16.0, 12.0


def ridge_svg(hills: Sequence[Hill], target: Hill, label: str) -> Markup:
    """Draw a set.

    Parameters
    ----------
    label
        What it shows, for whoever cannot see it.
    """
    spans = [max(duration_s(outline(hill, target)), duration_s(outline(target)), 0.1) for hill in hills]
    per_s = min(_PER_S, _WIDTH / max(sum(spans), 0.1))
    starts = [start * per_s for start in accumulate(spans, initial=0.0)]
    placed = list(zip(hills, starts, strict=False))
    solid, frayed = (_hills(placed, target, per_s, measured=measured) for measured in (True, False))
    dotted = [element("path", d=_path(outline(target), start, per_s, _HEIGHT)) for _, start in placed]
    signs = [_sign(hill, (starts[at] + starts[at + 1]) / 2) for at, hill in enumerate(hills)]
    ground = element("path", d=f"M0 {_HEIGHT:g}H{_short(starts[-1])}")
    box = f"0 0 {_WIDTH:g} {_HEIGHT + _FOOT:g}"
    parts = (
        element("g", solid, cls="hill", fill=LIGHT.primary),
        element("g", frayed, cls="frayed", fill="none", stroke=LIGHT.primary, stroke_dasharray="6 3"),
        element("g", ground, dotted, cls="target", fill="none", stroke=LIGHT.foreground, stroke_dasharray="1.5 3"),
        element("g", signs, fill=LIGHT.foreground, font_size=18, text_anchor="middle"),
    )
    return element("svg", parts, viewBox=box, role="img", aria_label=label)


def _hills(placed: Sequence[tuple[Hill, float]], target: Hill, per_s: float, *, measured: bool) -> Iterator[Markup]:
    """Yield the hills of which every part was measured, or the others."""
    for hill, start in placed:
        pieces = outline(hill, target)
        if not is_gap(hill) and all(piece.measured for piece in pieces) == measured:
            yield element("path", d=_path(pieces, start, per_s, _HEIGHT))


def _path(pieces: Outline, x: float, per_s: float, height: float) -> str:
    points = (f"{_short(x + at_s * per_s)} {_short(height * (1 - _TOP * level))}" for at_s, level in knees(pieces))
    return f"M{'L'.join(points)}"


def _short(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")


def _sign(hill: Hill, x: float) -> Markup:
    sign = sign_of(hill)
    return element("text", sign, x=_short(x), y=_short(_HEIGHT + _FOOT - 5)) if sign else Markup("")


def small_ridges_svg(sets: Sequence[tuple[Sequence[Hill], Hill]], label: str) -> Markup:
    """Draw a session on one line: its sets side by side, a path each."""
    reps = [(hill, target, number) for number, (hills, target) in enumerate(sets) for hill in hills]
    spans = [max(duration_s(outline(hill, target)), 0.1) for hill, target, _ in reps]
    per_s = min(8.0, (_SMALL_WIDTH - _APART * (len(sets) - 1)) / max(sum(spans), 0.1))
    starts = accumulate((span * per_s for span in spans), initial=0.0)
    drawn = [
        _path(outline(hill, target), start + _APART * number, per_s, _SMALL_HEIGHT)
        for (hill, target, number), start in zip(reps, starts, strict=False)
        if not is_gap(hill)
    ]
    box = f"0 0 {_SMALL_WIDTH:g} {_SMALL_HEIGHT:g}"
    hill = element("path", d="".join(drawn), cls="hill", fill=LIGHT.primary)
    return element("svg", hill, viewBox=box, role="img", aria_label=label, cls="small")
