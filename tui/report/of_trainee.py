"""The report of a trainee: where on the ladder, how it goes, the last sessions, and what comes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from analysis.training.progress import Progress, SessionFigures
from analysis.training.words import day as day_words
from tui.book.progress import gist_lines
from tui.report.markup import Markup, bullets, element, section, table, together
from tui.report.of_session import next_section
from tui.report.page import cautions, page, plotted
from tui.report.plots import climb_plot, course_plot
from tui.report.ridge_svg import small_ridges_svg
from tui.views.ladder_view import DayMark, LadderView, RungView, Tread
from tui.views.rows import LogRow
from tui.widgets.labels import done_words
from tui.words import format as words

_WORDS = {Tread.CLIMBED: "climbed", Tread.PASSED: "begun above it", Tread.AHEAD: "still to come"}


def trainee_page(view: LadderView, how: Progress, today: date) -> str:
    """Return the page.

    Parameters
    ----------
    view
        What the ladder's screen shows.
    how
        How the trainee gets on.
    """
    assert view.coming is not None  # of everybody who is in the logbook something is said
    return page(
        view.trainee,
        element("p", f"On {day_words(today)}", cls="quiet"),
        section("Summary", bullets(_summary(view, how))),
        section("Ladder", element("div", _rungs(view.rungs), _climb(view), cls="pair")),
        next_section(view.coming),
        section("Two weeks", bullets(_days(view))),
        _sessions(view.sessions),
        _course(how.sessions),
        cautions(view.coming.cautions),
    )


def _summary(view: LadderView, how: Progress) -> Iterator[str]:
    if not how.sessions:
        yield "No session on the ladder yet."
        return
    yield view.climb_words
    yield from gist_lines(how)
    yield from (f"{one.what}: {one.words}" for one in view.trends)


def _rungs(rungs: Sequence[RungView]) -> Markup:
    """Return the rungs, the highest first, as they stand."""
    rows = [(_step(one), one.name, one.gate or words.UNKNOWN) for one in reversed(rungs)]
    return table(("", "rung", "opens the next one"), rows)


def _step(rung: RungView) -> str:
    return f"● step {rung.step} of {rung.steps}" if rung.tread is Tread.HERE else _WORDS[rung.tread]


def _climb(view: LadderView) -> Markup:
    if view.climb is None:
        return Markup("")
    what = "Rest" if view.climb.of_rest else "Steps"
    caption = (
        f"{what} on {view.climb.rung}: planned dotted, asked as a line. Circle met, cross missed, triangle unsure."
    )
    return plotted(climb_plot(view.climb), caption)


def _days(view: LadderView) -> Iterator[str]:
    coming = [one for one in view.days if one.what]
    for one in coming:
        provided = "" if one.mark is DayMark.NEXT else ", if all before it goes as asked"
        yield f"{day_words(one.day)}: {one.what}{provided}"
    if not coming:
        yield "No session in the coming two weeks."


def _sessions(rows: Sequence[LogRow]) -> Markup:
    heads = ("day", "rung", "asked", "done", "verdict", "hills", "beside")
    return section("Last sessions", table(heads, map(_session, rows))) if rows else Markup("")


def _session(row: LogRow) -> tuple[str, ...]:
    sets = [(one.hills, one.target) for one in row.done if one.hills]
    hills = small_ridges_svg(sets, f"the reps of {len(sets)} sets as small hills") if sets else words.UNKNOWN
    judged = str(row.outcome) if row.outcome else "not judged"
    return (
        f"{row.date:%d %b %Y}",
        row.rung,
        f"{row.asked}, rest {row.rest_s:g} s",
        done_words(row),
        judged,
        hills,
        row.note,
    )


def _course(sessions: Sequence[SessionFigures]) -> Markup:
    speed = [(one.day, one.velocity_m_s, one.outcome) for one in sessions if one.velocity_m_s is not None]
    tension = [(one.day, one.tut_s, one.outcome) for one in sessions if one.tut_s is not None]
    found = together(
        plotted(course_plot(speed, "up, m/s"), "Mean velocity of the way up, session by session."),
        plotted(course_plot(tension, "tension, s"), "Time under tension of all sets, session by session."),
    )
    return section("Session by session", element("div", found, cls="pair")) if found else found
