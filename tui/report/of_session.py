"""The report of one session: what was asked, what was met and missed, every rep with its uncertainty."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from analysis.motion.results import Rep, RepKind
from analysis.training.decision import ID_LETTERS
from analysis.training.prescription import Prescription
from analysis.training.records import SessionRecord, SetRecord
from analysis.training.statements import Note, Pain
from analysis.training.verdict import Outcome, PhaseVerdict, RepVerdict, SetVerdict
from analysis.training.words import day as day_words
from tui.book.corrected import measured_words
from tui.book.show import beside_words
from tui.report.markup import Markup, bullets, element, section, table, together
from tui.report.page import cautions, page, phase_head, plotted
from tui.report.plots import phases_plot, speed_plot
from tui.report.ridge_svg import ridge_svg
from tui.views.hills import set_hills, target_hill
from tui.views.ladder_view import NextView
from tui.widgets.labels import rep_mark, set_line
from tui.words import format as words

_SIGNS = {Outcome.MET: "", Outcome.MISSED: " ×", Outcome.UNSURE: " ?", Outcome.NOT_MEASURABLE: " –"}


def session_page(
    record: SessionRecord, name: str, pain: Pain | None, coming: NextView, notes: Sequence[Note] = ()
) -> str:
    """Return the page.

    Parameters
    ----------
    record
        With its reps, as corrected.
    name
        Whose session it is.
    pain
        The worst that was said of it.
    coming
        What follows from the log, today.
    notes
        Beside moments of it, those that stand.
    """
    return page(
        f"{name}, {day_words(record.day)}",
        element("p", words.prescription_line(record.prescription)),
        element("p", " · ".join(_beside(record, pain)), cls="quiet"),
        section("Summary", bullets(_summary(record))),
        section("Sets", _sets_table(record.sets)),
        _noted(record, notes),
        *[_set(done, record.prescription.at(done.start_s)) for done in record.sets],
        _plots(record),
        next_section(coming),
        cautions(coming.cautions),
    )


def _beside(record: SessionRecord, pain: Pain | None) -> Iterator[str]:
    yield f"session {str(record.session_id)[:ID_LETTERS]}"
    yield (
        f"sensor on {record.place.value if record.place else record.mount.value}"
        if record.recording
        else "no recording"
    )
    yield from beside_words(record, pain)


def _summary(record: SessionRecord) -> Iterator[str]:
    yield f"The session: {record.outcome.value}." if record.sets else "No set was done."
    yield from record.verdict.summary
    if record.ended_utc_us is None:
        yield "It was broken off; this is what the log holds up to then."


def _noted(record: SessionRecord, notes: Sequence[Note]) -> Markup:
    """Return what was written beside moments; a mark without words says nothing here."""
    lines = [f"{_where(record.sets, one.at_s)}: {one.text} ({one.by})" for one in notes if one.text]
    return section("Noted", bullets(lines)) if lines else Markup("")


def _where(sets: Sequence[SetRecord], at_s: float) -> str:
    """Say in which set and rep a moment of the sensor's clock is."""
    begun = [one for one in sets if one.start_s <= at_s]
    if not begun:
        return "before the first set"
    done = begun[-1]
    if at_s > done.end_s:
        return f"after set {done.number}"
    reps = [number for number, rep in enumerate(done.reps, start=1) if rep.start_s <= at_s]
    return f"set {done.number}, rep {reps[-1]}" if reps else f"set {done.number}"


def _sets_table(sets: Sequence[SetRecord]) -> Markup:
    heads = ("set", "done", "verdict", "tempo", "time under tension, s", "rest before, s", "to mind")
    return table(heads, (_set_row(one) for one in sets))


def _set_row(done: SetRecord) -> tuple[str, ...]:
    verdict, before = done.verdict, measured_words(done)
    asked = "" if verdict.held or not verdict.target_reps else f" of {verdict.target_reps}"
    rest = words.UNKNOWN
    if verdict.rest_before_s is not None:
        rest = f"{verdict.rest_before_s:.0f} of {verdict.target_rest_s:g}, {verdict.rest_outcome.value}"
    return (
        str(done.number),
        f"{words.done(verdict)}{asked}{f', {before}' if before else ''}",
        verdict.outcome.value,
        words.UNKNOWN if verdict.held else verdict.tempo_outcome.value,
        _tension(verdict),
        rest,
        verdict.remark,
    )


def _tension(verdict: SetVerdict) -> str:
    if verdict.tut_s is None:
        return words.UNKNOWN
    sd = "" if verdict.tut_sd_s is None else f" ± {verdict.tut_sd_s:.1f}"
    if verdict.target_tut_s is None:
        return f"{verdict.tut_s:.1f}{sd}"
    of = "; at least" if verdict.tut_is_least else " of"
    return f"{verdict.tut_s:.1f}{sd}{of} {verdict.target_tut_s:g}, {verdict.tut_outcome.value}"


def _set(done: SetRecord, asked: Prescription) -> Markup:
    head = element("h3", set_line(done.number, done.verdict))
    form = bullets(words.form_line(one).strip() for one in done.verdict.form)
    if not set_hills(done):
        return together(head, form, element("p", "no recording of this set", cls="quiet"))
    what = "the hold as a flat top" if done.verdict.held else f"{len(done.reps)} reps as hills"
    label = f"set {done.number}: {what} over the prescribed one"
    ridge = element("figure", ridge_svg(set_hills(done), target_hill(asked), label))
    return together(head, form, ridge, _reps_table(done) if done.reps else Markup(""))


def _reps_table(done: SetRecord) -> Markup:
    verdicts: Sequence[RepVerdict | None] = done.verdict.reps or (None,) * len(done.reps)
    phases = list(dict.fromkeys(one.name for rep in done.verdict.reps for one in rep.phases))
    asked = {one.name: one.target_s for rep in done.verdict.reps for one in rep.phases}
    heads = [f"{phase_head(name)}, s" + ("" if asked[name] is None else f" (asked {asked[name]:g})") for name in phases]
    rows = [
        (str(number), _judged(done, rep, verdict), *_phase_cells(verdict, phases), *_moved_cells(rep))
        for number, (rep, verdict) in enumerate(zip(done.reps, verdicts, strict=True), start=1)
    ]
    return table(("rep", "verdict", *heads, "range, cm", "up, m/s"), rows)


def _phase_cells(verdict: RepVerdict | None, names: Sequence[str]) -> Iterator[str]:
    found = {one.name: one for one in verdict.phases} if verdict else {}
    return (_phase_cell(found.get(name)) for name in names)


def _phase_cell(phase: PhaseVerdict | None) -> str:
    if phase is None or phase.actual_s is None:
        return words.UNKNOWN
    sd = "" if phase.sd_s is None else f" ± {phase.sd_s:.2f}"
    return f"{phase.actual_s:.2f}{sd}{_SIGNS[phase.outcome]}"


def _moved_cells(rep: Rep) -> tuple[str, str]:
    travel = words.UNKNOWN if rep.travel_m is None else f"{100 * rep.travel_m:.0f}"
    if rep.mean_velocity_m_s is None:
        return travel, words.UNKNOWN
    sd = "" if rep.mean_velocity_sd_m_s is None else f" ± {rep.mean_velocity_sd_m_s:.2f}"
    return travel, f"{rep.mean_velocity_m_s:.2f}{sd}"


def _judged(done: SetRecord, rep: Rep, verdict: RepVerdict | None) -> str:
    corrected = ", corrected" if done.is_corrected(rep) else ""
    if rep.kind is RepKind.PARTIAL or verdict is None:
        return ("partial, not counted" if rep.kind is RepKind.PARTIAL else "not judged") + corrected
    mark = rep_mark(verdict)
    return f"{verdict.outcome.value}{f': {mark}' if mark else ''}{corrected}"


def _plots(record: SessionRecord) -> Markup:
    phases = plotted(
        phases_plot(record.sets),
        "Seconds of each phase, rep by rep, with twice their uncertainty; dotted: asked. "
        "Circle met, cross missed, triangle unsure.",
    )
    speed = plotted(speed_plot(record.sets), "Mean velocity of each way up, with twice its uncertainty.")
    found = together(phases, speed)
    return section("Rep by rep", element("div", found, cls="pair")) if found else found


def next_section(coming: NextView) -> Markup:
    """Return what comes next, and the rules that led to it with what they rest on."""
    why = [element("li", one.text, bullets(one.evidence)) for one in coming.reasons]
    asked = bullets((*coming.asked, *([coming.cue] if coming.cue else [])))
    return section("Next session", element("p", coming.head), asked, element("h3", "Why"), element("ul", why))
