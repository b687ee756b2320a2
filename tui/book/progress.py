"""`rungwise log --progress`: how somebody gets on."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack
from dataclasses import asdict
from datetime import date
from pathlib import Path
from typing import Any

import click

from analysis.logbook.book import Logbook
from analysis.logbook.entries import Trainee
from analysis.training.figures import Estimate
from analysis.training.ladder import Method
from analysis.training.progress import SINCE_DAYS, Progress, SessionFigures, Taper, progress
from analysis.training.records import History
from analysis.training.trend import FEWEST, Trend
from tui.book.moments import here_now
from tui.book.show import people_called, person_called
from tui.home import Home
from tui.occasion import Occasion
from tui.rooms import Library, rooms_of
from tui.session.plans import training_for
from tui.trouble import clear_errors
from tui.words.format import UNKNOWN
from tui.words.lines import print_lines

PROGRESS_FORMAT = "rungwise.progress/1"
SHOWN = 12
"""So many sessions are shown, the last ones."""

TESTS = 4
"""So many tests are shown, the last ones."""

_NAMES = {
    "velocity_m_s": ("mean velocity of the way up", "m/s", 3),
    "velocity_loss": ("velocity lost within a set", "", 3),
    "travel_m": ("range", "m", 3),
    "reps": ("reps", "", 1),
}
_DIRECTIONS = {1: "rising", -1: "falling", 0: "no more than scatter"}


def open_ladder(held: ExitStack, home: Home, trainee: str | None) -> Occasion:
    """Make ready the dashboard with somebody's ladder; without a name, of who trained last."""
    logbook = held.enter_context(Logbook.open(home.logbook))
    who = person_called(logbook, trainee).name
    library = Library(home=home, logbook=logbook, who=lambda: who, today=lambda: here_now().date())
    return Occasion(rooms=rooms_of(library), first="d")


def show_progress(folder: Path, *, trainee: str | None, as_json: bool) -> None:
    """Tell how a trainee, or everybody, gets on, as text or JSON."""
    today = here_now().date()
    home = Home(folder)
    with clear_errors(), Logbook.open(home.logbook) as logbook:
        found = [(one, _of(home, logbook, one, today)) for one in people_called(logbook, trainee)]
    for person, how in found:
        if as_json:
            click.echo(json.dumps(progress_document(how, person, today)))
        else:
            print_lines(progress_lines(how, person))
    if not found:
        click.echo("nobody is in the logbook yet: rungwise train or rungwise done adds the first one", err=True)


def _of(home: Home, logbook: Logbook, person: Trainee, today: date) -> Progress:
    history = History(logbook.sessions(person.id, with_reps=True), logbook.statements(person.id))
    return progress(history, training_for(home, person, history), today)


def progress_lines(how: Progress, person: Trainee) -> Iterator[str]:
    """Yield how somebody gets on: place, gains, adherence, trends, the last sessions."""
    if not how.sessions:
        yield f"{person.name} · no session on the ladder yet"
        return
    yield f"{person.name} · {place_words(how)}"
    yield from (f"  {line}" for line in gist_lines(how))
    yield from (f"    {trend_name(name)}: {trend_words(name, found)}" for name, found in how.trends.items() if found)
    yield ""
    yield from _table(how.sessions[-SHOWN:])


def gist_lines(how: Progress) -> Iterator[str]:
    """Yield gains, adherence, the estimate and the tests, and what the trends are taken from."""
    yield f"in {SINCE_DAYS} days: {', '.join(how.gains) or 'nothing harder'}"
    if how.planned:
        yield f"{how.done} of {how.planned} planned sessions done, in the whole weeks so far"
    if how.estimate:
        yield _estimate_words(how.estimate)
    if how.tests:
        yield f"clean-rep tests: {'; '.join(one.words for one in how.tests[-TESTS:])}"
    yield alike_words(how)


def alike_words(how: Progress) -> str:
    """Say how many sessions compare with the last one, itself among them, and whether that is enough for a trend."""
    sessions = f"{how.alike} {'session' if how.alike == 1 else 'sessions'} like the last one"
    few = "" if how.alike >= FEWEST else f"; a trend takes {FEWEST}"
    return f"{sessions} (rung, tempo, grip, load, set-up){few}"


def place_words(how: Progress) -> str:
    """Return the rung, and where on it somebody is against where they would be; of one session at least."""
    last = how.sessions[-1]
    if how.taper is None:
        return f"{last.rung}, {last.method.value}"
    return f"{how.taper.rung}, {_taper_words(how.taper)}"


def _taper_words(taper: Taper) -> str:
    now = f"week {taper.week} of {taper.weeks}, rest {taper.rest_s:g} s"
    if taper.planned_week <= taper.week:
        return now
    rest = "" if taper.planned_rest_s == taper.rest_s else f", rest {taper.planned_rest_s:g} s"
    return f"{now} (with every week met it would be week {taper.planned_week}{rest})"


def _estimate_words(estimate: Estimate) -> str:
    beyond = ", below two and so an extrapolation" if estimate.extrapolated else ""
    return f"estimate, not measured: {estimate.value:.1f} pull-ups in one go ({estimate.source}{beyond})"


def trend_name(name: str) -> str:
    """Return what a trend of `Progress.trends` is a trend of."""
    return _NAMES[name][0]


def trend_words(name: str, found: Trend) -> str:
    """Return the change a week with its uncertainty (half of a 95 % interval), and whether it is one."""
    _, unit, digits = _NAMES[name]
    if found.slope == 0 and found.sd == 0:
        return "the same each time"
    change = f"{found.slope:+.{digits}f} ± {found.margin:.{digits}f}{f' {unit}' if unit else ''} a week"
    return f"{change}, {_DIRECTIONS[found.direction]}"


_COLUMNS: tuple[tuple[str, Callable[[SessionFigures], str]], ...] = (
    ("rest, s", lambda one: f"{_figure(one.rest_s, 0)} of {one.rest_asked_s:g}"),
    ("reps", lambda one: f"{one.reps}"),
    ("kg", lambda one: f"{one.load_kg:+g}" if one.load_kg else UNKNOWN),
    ("tension, s", lambda one: _figure(one.tut_s, 0)),
    ("up, m/s", lambda one: _figure(one.velocity_m_s, 2)),
    ("lost", lambda one: _percent(one.velocity_loss)),
    ("range, m", lambda one: _figure(one.travel_m, 2)),
    ("hands", lambda one: _percent(one.hand_share)),
)
"""Of the sessions: rest taken of that asked, reps, load, time under tension, mean velocity of the way up and what is
lost of it within a set, range, share of body weight on the hands."""


def _table(sessions: Sequence[SessionFigures]) -> Iterator[str]:
    """Yield the sessions, in those columns that hold a figure."""
    cells = [(head, [of(one) for one in sessions]) for head, of in _COLUMNS]
    kept = [(head, max(map(len, (head, *texts))), texts) for head, texts in cells if set(texts) != {UNKNOWN}]
    rungs = [one.rung or UNKNOWN if one.method is Method.OWN else one.method.value for one in sessions]
    wide = max(map(len, rungs))
    yield "  ".join(["  date      ", f"{'rung':{wide}}", *(f"{head:>{width}}" for head, width, _ in kept)])
    for row, one in enumerate(sessions):
        figures = (f"{texts[row]:>{width}}" for _, width, texts in kept)
        yield "  ".join([f"  {one.day}", f"{rungs[row]:{wide}}", *figures, one.outcome.value])


def _percent(share: float | None) -> str:
    return UNKNOWN if share is None else f"{100 * share:.0f} %"


def _figure(value: float | None, digits: int) -> str:
    return UNKNOWN if value is None else f"{value:.{digits}f}"


def progress_document(how: Progress, person: Trainee, today: date) -> dict[str, Any]:
    """Return how somebody gets on as `rungwise.progress/1`.

    A slope is the change a week, its margin half of a 95 % interval.
    """
    return {
        "format": PROGRESS_FORMAT,
        "trainee": person.name,
        "date": today.isoformat(),
        "taper": None if how.taper is None else asdict(how.taper),
        "gains": list(how.gains),
        "done": how.done,
        "planned": how.planned,
        "alike": how.alike,
        "trends": {name: None if one is None else _trend_document(one) for name, one in how.trends.items()},
        "tests": [{**asdict(one), "day": one.day.isoformat()} for one in how.tests],
        "most_pull_ups": None if how.estimate is None else asdict(how.estimate),
        "sessions": [_session_document(one) for one in how.sessions],
    }


def _trend_document(found: Trend) -> dict[str, Any]:
    return {
        "slope": found.slope,
        "sd": found.sd,
        "margin": found.margin,
        "points": found.points,
        "direction": found.direction,
    }


def _session_document(one: SessionFigures) -> dict[str, Any]:
    return {**asdict(one), "day": one.day.isoformat(), "method": one.method.value, "outcome": one.outcome.value}
