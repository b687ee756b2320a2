"""Whose session it is and what is asked: from the log and the ladder."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from analysis.logbook.book import Logbook
from analysis.logbook.entries import Trainee
from analysis.logbook.people import newcomer
from analysis.motion.mounts import Mount, Place
from analysis.training.blocks import hold_steps, rest_taper
from analysis.training.exercises import DEAD_HANG, FEET_ON_FLOOR, HEELS_RAISED, TOP_HOLD
from analysis.training.ladder import Ladder, Method, Rung
from analysis.training.plan import TrainingPlan
from analysis.training.prescription import Exercise, Prescription, Tempo
from analysis.training.progression import NextSession, next_session
from analysis.training.records import History, SessionRecord
from analysis.training.setup import UNSAID, SetUp
from analysis.training.statements import Statement, worn_of
from analysis.training.view import View, reference_of
from tui.book.plan_file import training_plan
from tui.home import Home
from tui.questions.awaited import awaited_lines
from tui.trouble import Trouble

DEMO_TRAINEE = "Mara Lindt"
_DEMO_STEPS = rest_taper(3, 5, Tempo(down_s=2, bottom_s=0, up_s=1, top_s=1), from_s=20, to_s=10)
DEMO_TRAINING = TrainingPlan(
    ladder=Ladder(
        (
            Rung("demo-floor", FEET_ON_FLOOR, _DEMO_STEPS, "3 × 5 with 10 s rest"),
            Rung("demo-heels", HEELS_RAISED, _DEMO_STEPS, "3 × 5 with 10 s rest"),
            Rung("demo-hold", TOP_HOLD, hold_steps(rest_s=20, to_s=15), "3 × 15 s held"),
        )
    ),
    start="demo-floor",
    shoulders_set_from="demo-hold",
)
"""Short enough to watch: sets of five and little rest. For showing, not for training."""


class NoSession(Trouble):
    """Nothing may be trained today; the message says why, and what opens it again."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """Whose session it is, and what is asked.

    Attributes
    ----------
    rung
        Key of the rung; None outside the ladder: nothing follows from such a session.
    demo
        Done by the virtual trainee.
    place
        Where on the body the sensor sits; None where nobody said.
    set_up
        What stands around the trainee.
    why
        What decided it, in words; empty where nothing did.
    reference_m
        Travel of the reference rep of this rung and set-up, metres; None where none is stored.
    """

    trainee: Trainee
    prescription: Prescription
    mount: Mount
    rung: str | None
    training: TrainingPlan
    method: Method = Method.OWN
    cautions: tuple[str, ...] = ()
    demo: bool = False
    place: Place | None = None
    set_up: SetUp = UNSAID
    reference_m: float | None = None
    why: str = ""

    @property
    def view(self) -> View:
        """What the judge sees beside the motion."""
        return View(place=self.place, reference_m=self.reference_m)


def trainee_called(logbook: Logbook, name: str) -> Trainee:
    """Return the trainee of that name, who may be new: nobody is in the log before a session of theirs begins."""
    return logbook.trainee(name) or newcomer(name)


def done_by(logbook: Logbook, trainee: Trainee, *, with_reps: bool = False) -> tuple[SessionRecord, ...]:
    """Return the sessions of a trainee, oldest first; none of a new one."""
    return logbook.sessions(trainee.id, with_reps=with_reps) if logbook.trainee(trainee.name) == trainee else ()


def last_name(logbook: Logbook) -> str:
    """Return who trained last.

    Raises
    ------
    Trouble
        When the logbook holds nobody.
    """
    last = logbook.last_trainee()
    if last is None:
        raise Trouble('nobody is in the logbook yet: say who trains, for example rungwise train "Jonas Reiter"')
    return last.name


def log_of(logbook: Logbook, trainee: Trainee) -> History:
    """Return all that a trainee's next session rests on; nothing of a new one."""
    return logbook.history(trainee.id) if logbook.trainee(trainee.name) == trainee else History()


def training_for(home: Home, trainee: Trainee, log: History) -> TrainingPlan:
    """Return the plan of a trainee, as it is written; the demonstration's for whoever did its sessions last.

    Raises
    ------
    PlanError
        When the trainee's file is no plan.
    """
    return DEMO_TRAINING if log.sessions and log.sessions[-1].demo else training_plan(home, trainee.name)


def proposed(log: History, training: TrainingPlan, today: date, said: Sequence[Statement] = ()) -> NextSession:
    """Work out the next session from what the log holds up to a day and what was `said` since."""
    known = log.until(today)
    return next_session(replace(known, statements=(*known.statements, *said)), training, today)


def todays_plan(
    home: Home,
    logbook: Logbook,
    name: str,
    today: date,
    mount: Mount | None = None,
    place: Place | None = None,
    said: Sequence[Statement] = (),
) -> Plan:
    """Return what the log proposes for today.

    Parameters
    ----------
    mount
        Where the sensor sits, if not where the exercise asks for it.
    place
        Where on the body, if not where it sat last time.
    said
        What was said and is not in the log yet.

    Raises
    ------
    NoSession
        When no session is allowed today; it says why.
    """
    trainee = trainee_called(logbook, name)
    log = log_of(logbook, trainee)
    training = training_for(home, trainee, log)
    proposal = proposed(log, training, today, said)
    if proposal.prescription is None:
        raise NoSession("\n".join([proposal.reasons[0].text, *awaited_lines(proposal, trainee.name)]))
    asked = proposal.prescription.exercise.mount
    mount = mount or worn_of((*log.statements, *said), proposal.rung, asked)
    return Plan(
        trainee=trainee,
        prescription=_worn_at(mount, proposal.prescription),
        mount=mount,
        rung=proposal.rung,
        training=training,
        method=proposal.method,
        cautions=proposal.cautions,
        place=(place or _last_place(log)) if mount is Mount.BODY else None,
        why=proposal.reasons[0].text,
    )


def with_reference(logbook: Logbook, plan: Plan) -> Plan:
    """Return the plan with the reference rep of its rung and set-up, where one is stored."""
    known = logbook.trainee(plan.trainee.name) == plan.trainee
    said = logbook.statements(plan.trainee.id) if known else ()
    found = reference_of(said, plan.rung, plan.set_up)
    return replace(plan, reference_m=None if found is None else found.travel_m)


def _last_place(log: History) -> Place | None:
    """Return where on the body a trainee's sensor sat last time."""
    places = [one.place for one in log.sessions if one.place]
    return places[-1] if places else None


def _worn_at(mount: Mount, prescription: Prescription) -> Prescription:
    """Return the prescription with the sensor where it really is."""
    return replace(prescription, exercise=replace(prescription.exercise, mount=mount))


def worn_at(mount: Mount, plan: Plan) -> Plan:
    """Return a plan with the sensor where it really is."""
    place = plan.place if mount is Mount.BODY else None
    return replace(plan, mount=mount, place=place, prescription=_worn_at(mount, plan.prescription))


def with_hangs(hang_s: float | None, plan: Plan) -> Plan:
    """Return the plan with hangs of so many seconds instead of reps, outside the ladder; None leaves it as it is."""
    if hang_s is None:
        return plan
    hangs = replace(plan.prescription, exercise=DEAD_HANG, reps=1, hold_s=hang_s)
    return replace(plan, prescription=_worn_at(plan.mount, hangs), rung=None, reference_m=None)


def as_test(test: bool, plan: Plan) -> Plan:
    """Return the plan as one set of as many clean full reps as possible, outside the ladder; or as it is."""
    if not test:
        return plan
    return replace(plan, prescription=plan.prescription.as_test(), rung=None)


def in_turn_with(superset: str | None, plan: Plan) -> Plan:
    """Return the plan with another exercise between its sets; None leaves it as it is, and a test is one set alone."""
    if not superset or plan.prescription.is_test:
        return plan
    partner = Exercise("-".join(superset.lower().split()), superset.strip(), plan.mount)
    return replace(plan, prescription=replace(plan.prescription, partner=partner))


def demo_plan(logbook: Logbook, today: date, *, holds: bool = False) -> Plan:
    """Return what the virtual trainee is always asked to do; `holds` at the top instead of reps."""
    trainee = trainee_called(logbook, DEMO_TRAINEE)
    rung = DEMO_TRAINING.ladder.rungs[-1 if holds else 0]
    return Plan(
        trainee=trainee,
        prescription=rung.prescription(0),
        mount=Mount.BODY,
        rung=rung.key,
        training=DEMO_TRAINING,
        cautions=proposed(log_of(logbook, trainee), DEMO_TRAINING, today).cautions,
        demo=True,
        place=Place.BELT,
    )


def recorded_plan(logbook: Logbook, mount: Mount) -> Plan:
    """Return a plan that asks for nothing: nobody prescribed anything to a recording."""
    nothing = Prescription(
        exercise=Exercise("recorded", "recorded motion", mount),
        sets=0,
        reps=0,
        tempo=Tempo(down_s=0, bottom_s=0, up_s=None, top_s=0),
        rest_s=0,
    )
    trainee = trainee_called(logbook, "a recorded person")
    return Plan(trainee=trainee, prescription=nothing, mount=mount, rung=None, training=DEMO_TRAINING, demo=True)
