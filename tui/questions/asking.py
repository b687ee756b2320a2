"""Asks one trainee before the first set and after the last, keeps the answers, and lets the plan follow from them.

No answer is waited for: a set that is done meanwhile counts, and what is still open is asked in the rest or at the end.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from uuid import UUID

from analysis.logbook.book import Logbook
from analysis.motion.mounts import Mount
from analysis.training.pain import stops
from analysis.training.setup import UNSAID, SetUp
from analysis.training.situation import Situation, situation
from analysis.training.statements import Pain, Signs, Statement
from sensor.source import HostClock
from tui.home import Home, day_of
from tui.mending.going_on import BrokenOff, plan_of
from tui.questions import questions
from tui.questions.interview import AskView, Interview, Part, Script
from tui.session.control import Attended
from tui.session.messages import Stage
from tui.session.plans import NoSession, Plan, done_by, log_of, trainee_called, training_for, worn_at
from tui.words.set_up_words import last_set_up

_DURING = (Stage.SET, Stage.REST, Stage.DONE)


class Asking:
    """The questions to one trainee (`tui.session.control.Asked`).

    Parameters
    ----------
    name
        The trainee's.
    plan_for
        Gives today's plan from what was said and is not in the log yet.
    chosen
        Where the sensor sits, where that was named: it stays.
    broken
        A session of today that may be gone on with; None: none.

    Attributes
    ----------
    chosen
        As the parameter; it may be named later, too.
    goes_on
        The session that is gone on with, once the trainee said so.
    is_refused
        Whether nothing may be trained, as it stands.
    follows
        What follows from the answers so far, line by line.
    pain
        The worst that was said today, 0 to 10; None where nothing was.
    """

    def __init__(
        self,
        *,
        home: Home,
        logbook: Logbook,
        clock: HostClock,
        name: str,
        plan_for: Callable[[Sequence[Statement]], Plan],
        chosen: Mount | None = None,
        broken: BrokenOff | None = None,
    ) -> None:
        self.name = name
        self._home, self._logbook, self._clock = home, logbook, clock
        self._plan_for, self.chosen = plan_for, chosen
        self._run: Attended | None = None
        self._held: list[Statement] = []
        self._set_up: SetUp | None = None
        self._opened: Plan | None = None
        self._stopped = self._ending = False
        self.pain: int | None = None
        self._pain = Part("pain", lambda: questions.pain_before(trained=self._trained), self._pain_said)
        self._signs = Part("warning signs", questions.warning_signs, self._signs_said)
        self._around = Part("set-up", self._ask_set_up, self._set_up_said)
        now = self._situation()
        self._trained = bool(now.done)
        signs = (self._signs,) if now.early and self._trained else ()
        parts = (self._pain, *signs, self._around)
        self.goes_on: BrokenOff | None = None
        self._broken = None if self._hurts() else broken
        self._again = Part("go on", self._ask_to_go_on, self._goes_on_said)
        self._interview = Interview((self._again, *parts) if self._broken else parts)
        self.follows = self._refusal()
        self.is_refused = self.follows != ()

    def attend(self, run: Attended) -> None:
        """Let a session follow from the answers."""
        self._run = run

    @property
    def plan(self) -> Plan:
        """Today's plan, as it follows from the answers so far.

        Raises
        ------
        NoSession
            When there is none.
        """
        self._opened = self._planned()
        return self._opened

    @property
    def is_settled(self) -> bool:
        """Whether there is a session, and nothing is open from which its plan could change."""
        before = {self._again, self._pain, self._signs, self._around}
        return not self._stopped and not before & set(self._interview.parts)

    @property
    def wants_answers(self) -> bool:
        """Whether the session should not be left before the person has looked here."""
        return self._ending and self._interview.view is not None

    def look(self) -> AskView | None:
        """Return what to ask or to tell now; None where that is nothing, or waits for the hands."""
        run = self._run
        if run is None or run.trainee != self.name:
            return None
        if run.stage in _DURING:
            self._say_held()
        if run.stage is Stage.DONE and not self._ending:
            self._begin_after(run)
        view = None if run.stage is Stage.SET else self._interview.view
        if view is None and not (self._stopped and run.stage is not Stage.SET):
            return None
        follows = () if run.has_sets and not self._stopped else self.follows  # what was begun stays as it was asked
        return replace(view or AskView(), follows=follows, stopped=self._stopped)

    def press(self, key: str, character: str = "") -> bool:
        """Take one key (`Interview.press`)."""
        return self.look() is not None and self._interview.press(key, character)

    def leave(self) -> None:
        """Keep what was answered of questions that are left in the middle."""
        self._interview.leave()
        self._say_held()

    def _situation(self) -> Situation:
        trainee, today = trainee_called(self._logbook, self.name), day_of(self._clock.utc_us())
        log = log_of(self._logbook, trainee)
        return situation(log, training_for(self._home, trainee, log), today)

    def _planned(self) -> Plan:
        """Put what stands around the trainee into the plan: a support that changes the mount does."""
        if self.goes_on and not self._hurts():
            plan = plan_of(self._home, self._logbook, self.name, self.goes_on)
            return replace(plan, set_up=self._set_up or plan.set_up)
        plan = self._plan_for(self._held)
        around = self._set_up or self._last_set_up(plan)
        mount = plan.mount if self.chosen or around.support is None else around.support.mount(plan.mount)
        return worn_at(mount, replace(plan, set_up=self._set_up or UNSAID))

    def _last_set_up(self, plan: Plan) -> SetUp:
        return UNSAID if plan.rung is None else last_set_up(done_by(self._logbook, plan.trainee), plan.rung)

    def _refusal(self) -> tuple[str, ...]:
        """Return why nothing may be trained; in mid-session only pain or a warning sign is a reason."""
        if self._run and self._run.has_sets and not self._hurts():
            return ()
        try:
            self._planned()
        except NoSession as why:
            return tuple(why.format_message().split("\n"))
        return ()

    def _hurts(self) -> bool:
        pain = self._situation().pain
        return pain.stop is not None or pain.signs is not None

    def _ask_set_up(self) -> Script:
        plan = self._planned()
        number = plan.training.ladder.number(plan.rung) if plan.rung else None
        needs = frozenset() if number is None else plan.training.ladder.rungs[number].needs
        return questions.set_up(self._last_set_up(plan), needs)

    def _ask_to_go_on(self) -> Script:
        assert self._broken is not None
        record = self._broken.record
        return questions.go_on(record.started_utc_us, len(record.sets), record.prescription.sets)

    def _goes_on_said(self, yes: bool) -> None:
        """Go on with the session that was broken off: of what was asked then, pain alone is asked again."""
        if not yes or self._broken is None:
            return
        self.goes_on = self._broken
        pain = Part("pain", questions.pain_after, self._pain_said)
        around = () if self.goes_on.record.set_up != UNSAID else (self._around,)
        self._interview.replace((pain, *around))
        if self._run and self._run.has_sets:  # somebody hung before answering: it was meant for that session
            self._run.join(self._broken, self.plan)
        self._go_on()

    def _pain_said(self, felt: questions.Felt) -> None:
        at_us = self._clock.utc_us()
        self.pain = max(self.pain or 0, felt.now, felt.worst or 0)
        self.say(
            Pain(
                said_utc_us=at_us,
                day=day_of(at_us),
                now=felt.now,
                worst=felt.worst,
                sharp=felt.sharp,
                where=felt.where,
            )
        )
        self._go_on()

    def _signs_said(self, seen: bool) -> None:
        at_us = self._clock.utc_us()
        self.say(Signs(said_utc_us=at_us, day=day_of(at_us), any=seen))
        self._go_on()

    def _set_up_said(self, around: SetUp) -> None:
        self._set_up = around
        session = self._session_id() if self._run and self._run.has_sets else None
        if session:
            self._logbook.note_set_up(session, around)
        self._go_on()

    def _exertion_said(self, rpe: int | None) -> None:
        session = self._session_id()
        if session and rpe is not None:
            self._logbook.note_session(session, rpe=rpe)
        self._go_on()

    def _go_on(self) -> None:
        """Let the session follow from what was said."""
        refusal = self._refusal()
        self.is_refused = refusal != ()
        if refusal:
            self._stop(refusal)
        elif not self._ending:
            plan = self._planned()
            self.follows = (plan.why,) if plan.why else ()
            if self._run and plan != self._opened:
                self._run.renew()
        if self._run and self._ending:
            self._close(self._run)

    def _stop(self, why: tuple[str, ...]) -> None:
        """Nothing more today: say why, close the session, and ask no more than how hard it was."""
        self.follows, self._stopped = why, True
        if not self._ending:
            self._interview.replace(())
        if self._run and self._run.stage is not None:
            self._run.end_session()

    def _begin_after(self, run: Attended) -> None:
        self._ending = True
        open_still = [one for one in self._interview.parts if one in (self._signs, self._around)]
        hard = Part("how hard", questions.exertion, self._exertion_said)
        pain = Part("pain", questions.pain_after, self._pain_said)
        after = [hard] if self._stopped else [hard, pain]
        self._interview.replace([*after, *open_still] if run.has_sets else ())

    def _close(self, run: Attended) -> None:
        """With the last answer the session is over: what comes next is worked out with all that was said."""
        if not self._interview.parts:
            run.end_session()
        run.renew_next()

    def _session_id(self) -> UUID | None:
        done = [one for one in done_by(self._logbook, trainee_called(self._logbook, self.name)) if one.sets]
        return done[-1].session_id if done else None

    def say(self, said: Statement) -> None:
        """Keep a statement at once; a newcomer's once a session of theirs begins, or it forbids one."""
        trainee = self._logbook.trainee(self.name)
        if trainee is None and isinstance(said, Pain) and stops(said):
            # No session begins, and yet a stop must not be forgotten; the session that is open is this person's.
            trainee = self._opened.trainee if self._opened else trainee_called(self._logbook, self.name)
            self._logbook.keep_trainee(trainee)
        if trainee is None:
            self._held.append(said)
        else:
            self._logbook.say(trainee.id, said)

    def _say_held(self) -> None:
        trainee = self._logbook.trainee(self.name) if self._held else None
        while trainee and self._held:
            self._logbook.say(trainee.id, self._held.pop(0))
