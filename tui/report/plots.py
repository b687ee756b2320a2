"""The report's plots, as SVG within the page: no colour, no text from outside, all that differs differs in shape."""

from __future__ import annotations

import io
import re
from collections.abc import Sequence
from datetime import date
from math import nan
from typing import TYPE_CHECKING

from analysis.training.climb import Climb
from analysis.training.records import SetRecord
from analysis.training.verdict import Outcome, PhaseVerdict
from tui.report.markup import Markup
from tui.report.page import phase_head
from tui.trouble import Trouble

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

_MARKERS = {Outcome.MET: "o", Outcome.MISSED: "x", Outcome.UNSURE: "^", Outcome.NOT_MEASURABLE: "d"}
_GREY, _INK = "#5a5a5a", "#1a1a1a"
_WIDTH_IN, _ROW_IN = 4.8, 1.5
_SPLIT = 3
"""Reps of room between two sets."""


def phases_plot(sets: Sequence[SetRecord]) -> Markup:
    """Plot each judged phase of each rep with twice its sigma, its target dotted; nothing where none was judged."""
    verdicts = [one.verdict.reps for one in sets]
    names = list(dict.fromkeys(phase.name for reps in verdicts for rep in reps for phase in rep.phases))
    names = [name for name in names if any(_known(rep.phases, name) for reps in verdicts for rep in reps)]
    if not names:
        return Markup("")
    figure, rows = _figure(len(names))
    for axes, name in zip(rows, names, strict=True):
        at = 1
        for reps in verdicts:
            found = [(at + n, _known(rep.phases, name)) for n, rep in enumerate(reps)]
            _phase(axes, [(x, phase) for x, phase in found if phase])
            at += len(reps) + _SPLIT
        axes.set_ylabel(f"{phase_head(name)}, s")
        axes.set_ylim(bottom=0)
    _number_reps(rows[-1], verdicts)
    return _svg(figure)


def _known(phases: Sequence[PhaseVerdict], name: str) -> PhaseVerdict | None:
    return next((one for one in phases if one.name == name and one.actual_s is not None), None)


def _phase(axes: Axes, found: Sequence[tuple[int, PhaseVerdict]]) -> None:
    points = [(x, one.actual_s, one.sd_s, one.outcome) for x, one in found if one.actual_s is not None]
    _bars(axes, [(x, seconds, sd) for x, seconds, sd, _ in points])
    for outcome, marker in _MARKERS.items():
        some = [(x, seconds) for x, seconds, _, judged in points if judged is outcome]
        _points(axes, some, marker)
    targets = {one.target_s for _, one in found if one.target_s is not None}
    if found and targets:
        axes.hlines(sorted(targets), found[0][0] - 0.4, found[-1][0] + 0.4, colors=_GREY, linestyles="dotted")


def _bars(axes: Axes, points: Sequence[tuple[float, float, float | None]]) -> None:
    """Draw twice each sigma as a bar; all in one line with breaks, which takes a twentieth of as many error bars."""
    xs = [x for at, _, _ in points for x in (at, at, nan)]
    ys = [y for _, value, sd in points for y in (value - 2 * (sd or 0.0), value + 2 * (sd or 0.0), nan)]
    axes.plot(xs, ys, color=_GREY, linewidth=1)


def _points(axes: Axes, points: Sequence[tuple[float, float]], marker: str) -> None:
    axes.plot([x for x, _ in points], [y for _, y in points], marker, color=_INK, markersize=5)


def _number_reps(axes: Axes, sets: Sequence[Sequence[object]]) -> None:
    ticks, names, at = [], [], 1
    for reps in sets:
        shown = [n for n in range(len(reps)) if n == 0 or (n + 1) % 5 == 0]
        ticks += [at + n for n in shown]
        names += [f"{n + 1}" for n in shown]
        at += len(reps) + _SPLIT
    axes.set_xticks(ticks, names)
    axes.set_xlabel("rep, set after set")


def speed_plot(sets: Sequence[SetRecord]) -> Markup:
    """Plot the mean velocity of each counted rep's way up with twice its sigma; nothing where none is known."""
    found, at = [], 1
    for one in sets:
        found += [(at + n, rep) for n, rep in enumerate(one.reps) if rep.counts and rep.mean_velocity_m_s is not None]
        at += len(one.reps) + _SPLIT
    if not found:
        return Markup("")
    figure, (axes,) = _figure(1)
    speeds = [(x, rep.mean_velocity_m_s or 0.0, rep.mean_velocity_sd_m_s) for x, rep in found]
    _bars(axes, speeds)
    _points(axes, [(x, speed) for x, speed, _ in speeds], "o")
    axes.set_ylabel("up, m/s")
    axes.set_ylim(bottom=0)
    _number_reps(axes, [one.reps for one in sets])
    return _svg(figure)


def climb_plot(climb: Climb) -> Markup:
    """Plot a rung's climb: planned dotted, asked as steps, each session by its verdict's marker."""
    figure, (axes,) = _figure(1, height_in=2.2)
    from matplotlib.ticker import MaxNLocator

    weeks = max(len(climb.planned), int(climb.week) + 1)
    planned = [climb.planned[min(week, len(climb.planned) - 1)] for week in range(weeks)]
    axes.step([*range(weeks), weeks], [*planned, planned[-1]], where="post", color=_GREY, linestyle="dotted")
    asked = [*(one.asked for one in climb.done), climb.done[-1].asked]
    axes.step([*(one.week for one in climb.done), climb.week], asked, where="post", color=_INK)
    for one in climb.done:
        _points(axes, [(one.week, one.asked if one.kept is None else one.kept)], _MARKERS[one.outcome])
    axes.set_ylabel("rest, s" if climb.of_rest else "step")
    axes.set_xlabel("weeks on the rung")
    axes.xaxis.set_major_locator(MaxNLocator(integer=True))
    return _svg(figure)


def course_plot(points: Sequence[tuple[date, float, Outcome]], what: str) -> Markup:
    """Plot a figure of session after session, by day and verdict; nothing of fewer than two.

    Parameters
    ----------
    what
        Its name and unit, of the program's own words.
    """
    if len(points) < 2:
        return Markup("")
    figure, (axes,) = _figure(1)
    for outcome, marker in _MARKERS.items():
        _points(axes, [(day.toordinal(), value) for day, value, judged in points if judged is outcome], marker)
    ticks = sorted({points[0][0], points[len(points) // 2][0], points[-1][0]})
    axes.set_xticks([day.toordinal() for day in ticks], [f"{day:%d %b %Y}" for day in ticks])
    axes.set_ylabel(what)
    return _svg(figure)


def _figure(rows: int, height_in: float = _ROW_IN) -> tuple[Figure, list[Axes]]:
    try:
        from matplotlib.figure import Figure
    except ImportError as error:
        raise Trouble("the plots of a report need matplotlib: pip install 'rungwise[report]'") from error
    figure = Figure(figsize=(_WIDTH_IN, height_in * rows + 0.5), layout="constrained")
    found = figure.subplots(rows, 1, sharex=True, squeeze=False)
    for axes in found[:, 0]:
        axes.spines[["top", "right"]].set_visible(False)
    return figure, list(found[:, 0])


_OUTER = re.compile(r"^.*?(?=<svg)|<metadata>.*?</metadata>|<style .*?</style>|<!--.*?-->", re.DOTALL)
_NAMED = re.compile(r' id="[a-z]\w*(\.\w+)?_\d+"')
_LOOKS = re.compile(r'(<use [^>]*?) style="[^"]*"')
"""Each marker's own look, which is that of the one it repeats."""
_DIGITS = re.compile(r"(\d\.\d\d)\d+")
_SIZE = re.compile(r' (?:width|height)="[\d.]+pt"(?=[^>]*viewBox)')


def _svg(figure: Figure) -> Markup:
    """Return the picture as an element of the page: as wide as its place, with no names that another one may have."""
    from matplotlib import rc_context

    text = io.StringIO()
    with rc_context({"svg.fonttype": "none", "svg.hashsalt": "rungwise", "font.family": "sans-serif"}):
        figure.savefig(text, format="svg", metadata={"Date": None, "Creator": None, "Format": None, "Type": None})
    drawn = _SIZE.sub("", _NAMED.sub("", _OUTER.sub("", text.getvalue())))
    return Markup(_DIGITS.sub(r"\1", _LOOKS.sub(r"\1", drawn)).strip())
