"""What is wished by key about whose turn it is, before and between sets (`tui.session.control.TurnControl`)."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from analysis.training.corrections import Because
from analysis.training.pointing import reps_dropped, set_counted
from analysis.training.verdict import SetVerdict
from tui.session.messages import Stage
from tui.training.in_turn import InTurn, Turn
from tui.training.live import LiveRun
from tui.training.turns import Turns
from tui.training.two_people import parting
from tui.training.worn import Worn


class TurnWishes:
    """The wishes about a shared bar."""

    def __init__(self, run: LiveRun) -> None:
        self._run, self._bar = run, run.bar

    def one_later(self) -> None:
        """Let who is next and the one after them change places."""
        self._change(lambda turns: turns.one_later(), lambda first, then: f"{first} is next, then {then}")

    def skip(self) -> None:
        """Let who is next sit out once."""
        before = self._bar.route.turns.first
        self._change(lambda turns: turns.passed(again=True), lambda now, _: f"{before} sits out once: {now} is next")

    def call(self, name: str) -> None:
        """Let somebody be next, with all sets done, too."""
        if name not in self._bar.people or self._bar.people[name].session.board.ended:
            self._bar.remark(f"{name}: {self._bar.refused.get(name, 'the session is closed')}")
            return
        self._bar.extra.add(name)
        self._change(lambda turns: turns.called(name), lambda first, _: f"{first} is next")

    def go_home(self, name: str) -> None:
        """Close the session of somebody who goes; the others go on."""
        if self._is_between:
            self._run.attempt(lambda: self._run.leave(name))

    def give_last_set(self, name: str) -> None:
        """Take the last set for another's; who it was taken for is next again."""
        self._run.attempt(lambda: self._give(name))

    def part_set(self) -> None:
        """Take the reps after the long break in a set for those of who came next: both sets by their counts."""
        self._run.attempt(self._part)

    def take_back(self) -> None:
        """Leave the set with whom it was first taken for, after all."""
        self._run.attempt(self._take_back)

    def _give(self, name: str) -> None:
        route, turn = self._bar.route, self._turn
        if isinstance(route, Worn):
            self._tell_for(route, name)
            return
        if not self._is_between or not isinstance(route, InTurn) or turn is None:
            return
        if not route.may_have(turn, name):
            self._bar.remark(f"{name} has begun since: give the set in the check of the session (rungwise correct)")
            return
        self._bar.people[turn.name].session.by_key.drop_last(f"it was {name}'s set: left out", Because.SOMEBODY_ELSE)
        route.hand_over(turn, name)
        route.change(turn.before.called(turn.name).without(name).joined(name))
        self._bar.concerned = name
        self._bar.remark(f"{name}: the last set is theirs; {turn.name} is next")

    def _tell_for(self, route: Worn, name: str) -> None:
        """Take the last set for that of another, who had the wrong sensor on.

        It joins the other's session by its count alone: in that recording nothing was measured of it.
        """
        if not self._is_between or name not in route.takers:
            return
        wearer, other = self._bar.people[route.last], self._bar.people[name]
        done = wearer.session.board.all_sets[-1]
        if not other.tell_set(
            _much(done.verdict), wearer.host_s(done.end_s), f"told: done with {wearer.name}'s sensor"
        ):
            self._bar.remark(f"{name}'s sensor was not seen yet: give the set once it is there")
            return
        wearer.session.by_key.drop_last(f"it was {name}'s set: left out", Because.SOMEBODY_ELSE)
        route.given = (wearer.name, name)
        self._bar.concerned = name
        self._bar.remark(f"{name}: the last set is theirs, its reps alone: their own sensor measured nothing of it")

    def _part(self) -> None:
        """Leave the reps out where they were counted, and count them where they belong: that motion was not theirs."""
        route = self._bar.route
        found = parting(self._bar.people, route.turns.first)
        if not self._is_between or not isinstance(route, InTurn) or found is None:
            return
        person, other = self._bar.people[found.name], self._bar.people[found.other]
        how, began = f"counted with {found.name}'s set", found.goes_on
        if began:
            whole = set_counted(began, began.verdict.count + found.count)
            other.session.by_key.say_of_last(whole, f"{found.count} reps more: {how}", Because.SOMEBODY_ELSE)
        elif not other.tell_set(found.count, person.host_s(found.done.end_s), f"told: {how}"):
            return
        gone = reps_dropped(found.done, found.between.after)
        person.session.by_key.say_of_last(gone, f"{found.words}: left out", Because.SOMEBODY_ELSE)
        route.parted, route.given, route.turn = (found.name, found.other), None, None
        self._bar.concerned = found.name
        self._bar.remark(f"{found.words}, by their count alone; u: as it was")

    def _take_back(self) -> None:
        route = self._bar.route
        both = route.given if isinstance(route, Worn) else route.parted if isinstance(route, InTurn) else None
        if both and self._is_between:
            for one in both:
                self._bar.people[one].session.by_key.take_back()
                self._bar.people[one].session.renew_next()
            self._bar.concerned = both[0]
            if isinstance(route, Worn):
                route.given = None
            elif isinstance(route, InTurn):
                route.parted = None
            return
        given: Turn | None = route.given if isinstance(route, InTurn) else None
        if not self._is_between or given is None or not isinstance(route, InTurn):
            return
        if self._bar.people[given.name].is_busy:
            self._bar.remark(f"{given.name}: one moment: the set is still being read")
            return
        self._bar.people[given.name].session.by_key.drop_last()
        self._bar.people[given.taken_for].session.by_key.take_back()
        for one in (given.name, given.taken_for):
            self._bar.people[one].session.renew_next()
        route.given, route.turn = None, replace(given, name=given.taken_for, taken_for="")
        route.change(given.before.called(given.taken_for).passed(again=not self._is_done(given.taken_for)))
        self._bar.concerned = given.taken_for

    @property
    def _turn(self) -> Turn | None:
        return self._bar.route.turn if isinstance(self._bar.route, InTurn) else None

    @property
    def _is_between(self) -> bool:
        on = self._bar.on
        return on is not None and on.session.board.stage is not Stage.SET

    def _is_done(self, name: str) -> bool:
        return self._bar.people[name].session.board.stage is Stage.DONE

    def _change(self, changed: Callable[[Turns], Turns], words: Callable[[str, str], str]) -> None:
        """Take another order, and tell who is next now and after that: the table alone shows it to nobody afar."""
        if not self._is_between:
            return
        self._run.attempt(lambda: self._bar.route.change(changed(self._bar.route.turns)))
        first, *others = (*self._bar.route.turns.order, "")
        self._bar.remark(words(first, others[0] if others else ""))


def _much(done: SetVerdict) -> int:
    """Return how much a set was, as it is told: its reps, or the whole seconds of a hold."""
    return round(done.tut_s) if done.held and done.tut_s is not None else done.count
