"""What the check of a session shows, and the corrections made from there."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from analysis.logbook.book import Logbook
from analysis.motion.mounts import Place
from analysis.motion.results import Rep, velocity_loss
from analysis.training.corrections import By, standing_corrections
from analysis.training.pain import worst_pains
from analysis.training.phases import Duration, bottom_pause, half_way, lowering, rise, top_hold
from analysis.training.pointing import PointingError, named_sets
from analysis.training.prescription import Prescription
from analysis.training.records import SessionRecord, SetRecord, Source
from analysis.training.scale import scaled
from analysis.training.superset import SetKind
from analysis.training.verdict import FormVerdict, Outcome, PhaseVerdict, RepVerdict
from tui.book.check_marks import Measured, mark_text, marks_of, of_set
from tui.book.correct import change_lines, undone_lines
from tui.book.corrected import guest_words, listed
from tui.book.correcting import Opened, Teller, Wish, correct, opened
from tui.book.moments import here_now
from tui.book.show import beside_words, person_called, trainee_or_session
from tui.home import Home
from tui.rooms import Library
from tui.trouble import Trouble, clear_errors
from tui.views.check_view import CheckRep, CheckSet, CheckView
from tui.views.hills import set_hills, target_hill
from tui.words import format as words


@dataclass(frozen=True, slots=True)
class Desk:
    """Reads and corrects one session of the logbook (`tui.views.check_view.CheckDesk`).

    Attributes
    ----------
    session
        The first letters of its id, or all of them.
    """

    home: Home
    logbook: Logbook
    session: str

    def _opened(self) -> Opened:
        return opened(self.home, self.logbook, self.session, here_now())

    def read(self) -> CheckView:
        """Return the session as it stands now."""
        return check_of(self._opened())

    def correct(self, wish: Wish, teller: Teller) -> tuple[str, ...]:
        """Correct it as wished, and say what it is then and what follows.

        Raises
        ------
        Trouble
            When it cannot be done; it says why.
        """
        with clear_errors():
            found = self._opened()
            try:
                done = correct(found, wish, teller)
            except PointingError as error:
                raise Trouble(str(error)) from error
            return (*undone_lines(found, done), *change_lines(found, done))


def desk_of(library: Library, named: str | None) -> Desk:
    """Return the desk of a session by the letters of its id, or of somebody's last session.

    Parameters
    ----------
    named
        A trainee's name, or the first letters of a session's id; None or empty: the last session of who is looked at.

    Raises
    ------
    Trouble
        When there is no such session; it says what to do next.
    """
    logbook = library.logbook
    if logbook.last_trainee() is None:
        raise Trouble(f"There is no session to check yet. {_FIRST}")
    trainee = trainee_or_session(logbook, named) if named else person_called(logbook, library.who())
    if trainee is None:
        return Desk(library.home, logbook, named or "")
    done = logbook.sessions(trainee.id)
    if not done:
        raise Trouble(f"{trainee.name} has no session in the log yet. {_FIRST}")
    return Desk(library.home, logbook, str(done[-1].session_id))


_FIRST = "`rungwise train` makes the first one; `rungwise demo` shows how it goes, without a sensor."


def check_of(found: Opened) -> CheckView:
    """Return what is to be seen of a session."""
    stands, record = found.stands, found.record
    made = found.logbook.corrections(record.session_id)
    measured = Measured(found.logbook.session_found(record.session_id), found.people)
    texts = {one.set_name: one.text.strip() for one in listed(record, found.people) if one.rep is None}
    return CheckView(
        session=str(record.session_id),
        trainee=found.trainee.name,
        day=record.day,
        outcome=stands.outcome if stands.sets else None,
        asked=words.prescription_line(record.prescription),
        targets=_targets(record.prescription),
        summary=tuple(stands.verdict.summary),
        notes=tuple(_notes(found, stands)),
        sets=tuple(_set(name, done, texts[name], record, measured) for name, done in named_sets(record)),
        marks=tuple(marks_of(record, made, measured)),
        unconfirmed=any(one.role is By.TRAINEE for one in standing_corrections(made)),
        people=tuple(one.name for one in found.logbook.trainees()),
        recorded=bool(record.recording) and record.source is Source.SENSOR,
    )


def _targets(asked: Prescription) -> dict[str, float]:
    tempo = asked.tempo
    each = {"up": tempo.up_s, "top": tempo.top_s, "down": tempo.down_s, "bottom": tempo.bottom_s}
    return {name: value for name, value in {**each, "half": asked.half_pause_s}.items() if value}


def _notes(found: Opened, stands: SessionRecord) -> Iterator[str]:
    if stands.ended_utc_us is None:
        yield "broken off"
    theirs = found.logbook.sessions(found.trainee.id)
    pains = worst_pains(found.logbook.statements(found.trainee.id), theirs)
    pain = next((pain for one, pain in zip(theirs, pains, strict=True) if one.session_id == stands.session_id), None)
    told = set(guest_words(stands))
    asked = words.prescription_line(stands.prescription)
    yield from (text for text in beside_words(stands, pain) if text not in told and text not in asked)
    yield from (f"{text}: correct it there" for text in told)


def _set(name: str, done: SetRecord, text: str, record: SessionRecord, measured: Measured) -> CheckSet:
    asked = done.given.prescription if done.given and done.given.prescription else record.prescription
    judged = done.kind is SetKind.EXERCISE
    return CheckSet(
        name=name,
        title=text,
        kind=done.kind,
        outcome=done.verdict.outcome if judged else None,
        lines=tuple(_set_words(done)) if judged else (),
        corrected=tuple(of_set(done, record, measured)),
        hills=set_hills(done),
        target=target_hill(asked),
        verdict=done.verdict,
        reps=tuple(_reps(done, record, measured)) if judged else (),
        at_s=done.start_s if done.bouts else None,
    )


def _set_words(done: SetRecord) -> Iterator[str]:
    """Yield what a set was, a few words each; the remark stands in its title."""
    verdict = done.verdict
    own = (line.strip() for line in words.set_lines(done.number, verdict))
    yield from (line for line in list(own)[1:] if line != verdict.remark)
    if verdict.target_tut_s is None and verdict.tut_s and not verdict.held and done.measured:
        yield f"time under tension {verdict.tut_s:.1f} s"
    loss = velocity_loss(done.reps) if done.measured else None
    if loss is not None:
        yield f"velocity {'loss' if loss >= 0 else 'gain'} {abs(100 * loss):.0f} %"


def _reps(done: SetRecord, record: SessionRecord, measured: Measured) -> Iterator[CheckRep]:
    hills = set_hills(done) if done.reps else ()
    scaled_reps: Sequence[Rep] = [scaled(rep, done.clock_ratio) for rep in done.reps]
    after = [*scaled_reps[1:], None][: len(scaled_reps)]
    each = zip(done.reps, scaled_reps, after, done.verdict.reps, hills, strict=True)
    for number, (rep, true, following, verdict, hill) in enumerate(each, start=1):
        yield CheckRep(
            number=number,
            hill=hill,
            kind=rep.kind,
            phases=tuple(_phases(true, following, verdict)),
            verdict=verdict,
            beside=tuple(_beside(true, verdict, record.place)),
            corrected=tuple(
                mark_text(mark.made, record, measured, holds=True, disagrees=mark.disagrees)
                for mark in done.marks
                if mark.is_about(rep)
            ),
            at_s=rep.start_s,
        )


def _phases(rep: Rep, following: Rep | None, verdict: RepVerdict) -> Iterator[PhaseVerdict]:
    """Yield each phase as judged, and those that nobody asked for with what was measured."""
    judged = {one.name: one for one in verdict.phases}
    seen = {"up": rise(rep), "top": top_hold(rep), "down": lowering(rep), "bottom": bottom_pause(rep, following)}
    if rep.half_pause_s is not None:
        seen["half"] = half_way(rep)
    for name, took in seen.items():
        yield judged.get(name) or _unjudged(name, took)


def _unjudged(name: str, took: Duration) -> PhaseVerdict:
    return PhaseVerdict(name, took.actual_s, took.sd_s, None, Outcome.NOT_MEASURABLE)


def _beside(rep: Rep, verdict: RepVerdict, place: Place | None) -> Iterator[str]:
    """Yield what was seen beside the phases: start, range, lean, speed."""
    form = {one.name: one for one in verdict.form}
    if "start" in form or rep.shrug_start_s is not None:
        yield _start_words(rep, form.get("start"))
    yield from (words.form_line(form[name]).strip() for name in ("range", "lean") if name in form)
    if "lean" not in form and rep.lean_deg is not None:
        yield f"{'pelvis' if place is Place.BELT else 'tilt'} {rep.lean_deg:.0f}°"
    speed, sd = rep.mean_velocity_m_s, rep.mean_velocity_sd_m_s
    if speed is not None and sd is not None:
        yield f"{speed:.2f} ± {sd:.2f} m/s up"


def _start_words(rep: Rep, form: FormVerdict | None) -> str:
    seen = "shoulders rise first" if rep.shrug_start_s is not None else "no rise of the shoulders seen"
    return seen if form is None else f"{seen}, {form.outcome.value}"
