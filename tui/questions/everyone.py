"""The questions to everybody on a shared bar: each person's own, one at a time, none in the way of who hangs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from tui.mending.going_on import BrokenOff
from tui.questions.asking import Asking
from tui.questions.interview import AskView
from tui.session.messages import Stage
from tui.session.plans import Plan
from tui.training.live import LiveRun


class Attending:
    """One person's session on a shared bar, as their questions see it (`tui.session.control.Attended`)."""

    def __init__(self, run: LiveRun, name: str) -> None:
        self._run, self._bar = run, run.bar
        self.trainee = name

    @property
    def stage(self) -> Stage | None:
        """Where it stands; None where there is none."""
        person = self._bar.people.get(self.trainee)
        return person.stage if person else None

    @property
    def has_sets(self) -> bool:
        """Whether a set was done that counts."""
        person = self._bar.people.get(self.trainee)
        return bool(person and person.session.board.sets)

    def renew(self) -> None:
        """Begin anew with what is asked now, unless something was done."""
        self._bar.renew(self.trainee)

    def renew_next(self) -> None:
        """Work out the next session again, where it is worked out already."""
        person = self._bar.people.get(self.trainee)
        if person:
            person.session.renew_next()

    def join(self, broken: BrokenOff, plan: Plan) -> None:
        """Let what was done since join a session that was broken off, which is gone on with as planned."""
        self._run.join(broken, plan, self.trainee)

    def end_session(self) -> None:
        """No more sets today."""
        self._bar.leave(self.trainee)


class Everyone:
    """The questions to everybody (`tui.session.control.Asked`).

    Parameters
    ----------
    asking
        By name, in the order of the first round.
    run
        Everybody's sessions.
    """

    def __init__(self, asking: Mapping[str, Asking], run: LiveRun) -> None:
        self._asking, self._bar = asking, run.bar
        self._asked = ""
        for name, one in asking.items():
            one.attend(Attending(run, name))

    @property
    def wants_answers(self) -> bool:
        """Whether somebody has not looked here yet after their last set."""
        return any(one.wants_answers for one in self._asking.values())

    def look(self) -> AskView | None:
        """Return what to ask now: of whoever is next first, and nothing while somebody is in a set."""
        views = {name: one.look() for name, one in self._asking.items()}
        on = self._bar.on
        self._asked = "" if on and on.stage is Stage.SET else self._first(views)
        view = views.get(self._asked)
        return _named(self._asked, view) if view else None

    def _first(self, views: Mapping[str, AskView | None]) -> str:
        """Return who is asked: who is on, or next, then the others as their turns come."""
        names = dict.fromkeys((self._bar.route.on, *self._bar.route.turns.order, *views))
        return next((name for name in names if (view := views.get(name)) and view.question), "")

    def press(self, key: str, character: str = "") -> bool:
        """Take one key for whoever is asked (`Asking.press`)."""
        if self.look() is None:
            return False
        name, one = self._asked, self._asking[self._asked]
        taken = one.press(key, character)
        if one.is_refused and name not in self._bar.refused:
            self._bar.refused[name] = one.follows[0]
            self._bar.remark(f"{name}: {one.follows[0]}")
        return taken

    def leave(self) -> None:
        """Keep what was answered of questions that are left in the middle."""
        for one in self._asking.values():
            one.leave()


def _named(name: str, view: AskView) -> AskView:
    """Return a question with the name of who is asked."""
    question = replace(view.question, text=f"{name}: {view.question.text}") if view.question else None
    return replace(view, question=question)
