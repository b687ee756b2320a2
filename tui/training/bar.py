"""Who trains now: everybody's session on one source, and whose is shown."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from sensor.source import Arrival, Channel, HostClock
from tui.session.control import Feed
from tui.session.messages import Moment, Offer, Snapshot, Stage
from tui.session.sensor_check import wants_check, with_check
from tui.session.session import Session
from tui.training.person import Person
from tui.training.routes import Alone, Route
from tui.training.turn_rows import turns_view
from tui.training.turns import Turns

CATCH_UP_S = 5.0
"""How long a session that is left waits for what a sensor is sending again, session seconds."""

OpenPerson = Callable[[str, Feed], Person]
"""Begins a session for somebody, by name."""
MakeRoute = Callable[[Mapping[str, Person], Turns], Route]
"""Makes what tells whose an arrival is, for those who train now and their order."""
NOT_OTHERS = ("link", "rest")
"""Kinds of moments that matter to who is shown alone."""


class Seat:
    """Somebody's place: takes what their session tells (`tui.session.control.Feed`)."""

    def __init__(self, name: str, show: Callable[[str, Snapshot], None], tell: Callable[[str, Moment], None]) -> None:
        self._name, self._show, self._tell = name, show, tell

    def post_snapshot(self, snapshot: Snapshot) -> None:
        """Pass on what is theirs."""
        self._show(self._name, snapshot)

    def post_moment(self, moment: Moment) -> None:
        """Pass on what just happened."""
        self._tell(self._name, moment)


class Bar:
    """The people who train now.

    Parameters
    ----------
    names
        Whose sessions begin, in the order of their turns.
    clock
        That of the arrivals.
    open_person
        Begins a session.
    refusal
        Says why somebody cannot train (pain, a plan that cannot be read); empty: nothing is against it.
    route
        Tells whose an arrival is, where several train; None: one does, and is told why not by an error.

    Attributes
    ----------
    people
        By name; those whose sessions are closed among them.
    refused
        Why somebody may not train today, by name.
    extra
        Who was called for more sets than were asked for.
    concerned
        Whom a key about the last set concerns while nobody is in one; empty: who is shown.
    """

    def __init__(
        self,
        names: Sequence[str],
        clock: HostClock,
        open_person: OpenPerson,
        refusal: Callable[[str], str],
        route: MakeRoute | None = None,
    ) -> None:
        self._names, self._clock, self._open_person, self._refusal = tuple(names), clock, open_person, refusal
        self.people: dict[str, Person] = {}
        self.refused: dict[str, str] = {}
        self.extra: set[str] = set()
        self.concerned = ""
        self.is_shared = route is not None
        self.route: Route = (route or Alone)(self.people, Turns(() if self.is_shared else self._names))
        self._feed: Feed | None = None
        self._seats: dict[str, Seat] = {}
        self._latest: dict[tuple[str, Channel], Arrival] = {}
        self._leaving: dict[str, float] = {}
        self._held: list[Moment] = []

    @property
    def on(self) -> Person | None:
        """Who is shown; None before anybody began."""
        return self.people.get(self.route.on)

    def _latest_for(self, name: str) -> tuple[Arrival, ...]:
        """Return what the sensors that concern somebody said of themselves last."""
        return tuple(one for one in self._latest.values() if self.route.concerns(name, one.sensor_id))

    def begin(self, feed: Feed) -> None:
        """Begin everybody's session."""
        self._feed = feed
        for name in self._names:
            if self.is_shared:
                self.join(name)
            else:
                self._open(name)

    def join(self, name: str) -> bool:
        """Begin a session for somebody who is not there yet, last in turn; return False where they may not train."""
        why = self._refusal(name)
        if why:
            self.refused[name] = why
            self.remark(f"{name}: {why}")
        else:
            self.refused.pop(name, None)
            self._open(name)
            self.route.change(self.route.turns.joined(name))
        return not why

    def take_over(self, name: str) -> None:
        """Begin a session for somebody who has the bar alone from now on; that of who had it is closed or gave way."""
        self.people.clear()
        self.route.change(Turns((name,)))
        self._open(name)

    def renew(self, name: str) -> None:
        """Begin a session anew with what is asked now; one in which something was done stays as it is."""
        if name in self.refused:
            self.join(name)
            return
        if name not in self.people:  # all this before anybody began
            return
        session = self.people[name].session
        untouched = session.board.stage in (Stage.SEARCHING, Stage.READY) and not session.board.sets
        if untouched and not session.has_past and not session.board.ended:
            session.give_way()
            self.route.renewed(name)
            self._open(name)

    def _open(self, name: str) -> None:
        seat = self._seats[name] = Seat(name, self.show, self.tell)
        self.people[name] = self._open_person(name, seat)
        self.people[name].begin(self._latest_for(name))

    def mend(self, person: Person, mended: Callable[[Session, Feed], Session], name: str = "") -> None:
        """Let another session take the place of somebody's; with a name it is that one's alone from now on."""
        if not name:
            person.go_on_as(mended(person.session, self._seats[person.name]))
            self.route.renewed(person.name)
            return
        seat = Seat(name, self.show, self.tell)
        session = mended(person.session, seat)
        self.people.clear()
        self._seats[name], self.people[name], person.name = seat, person, name
        self.route.change(Turns((name,)))
        person.go_on_as(session)

    def give(self, arrival: Arrival) -> None:
        """Take one arrival."""
        if arrival.channel is not Channel.DATA:
            self._latest[arrival.sensor_id, arrival.channel] = arrival
        self.route.give(arrival, tuple(self._latest.values()))
        self._look()

    def _look(self) -> None:
        last = self.route.last
        self.route.look()
        if self.route.last != last:
            self.concerned = self.route.last
        for name in self.route.turns.order:
            if name != self.route.on and name not in self.extra and self.people[name].session.board.stage is Stage.DONE:
                self.route.change(self.route.turns.without(name))

    @property
    def asked(self) -> Person | None:
        """Whom a key about a set concerns: who is in one, or else who did the last; None before anybody began."""
        return self.on if self._is_in_set else self.people.get(self.concerned) or self.on

    @property
    def is_busy(self) -> bool:
        """Whether arrivals wait in somebody's way."""
        return self.route.is_busy or any(person.is_busy for person in self.people.values())

    def work_off(self) -> None:
        """Take a few of the arrivals that wait."""
        self.route.work_off()
        for person in tuple(self.people.values()):
            if person.is_busy:
                person.work_off()
        self._look()

    def tick(self) -> None:
        """Let time pass for everybody; of who is read again, only the clocks go on until that is done."""
        for person in tuple(self.people.values()):
            picture = person.picture
            if picture:
                self._show(person, picture)
            person.session.tick()
        self._look()
        self._tell_held()
        for name, until_s in tuple(self._leaving.items()):
            if not self.people[name].session.is_catching_up or self._clock.now_s() >= until_s:
                del self._leaving[name]
                self.people[name].session.end()

    def leave(self, name: str) -> None:
        """Close somebody's session, once what is on its way has come; the others go on."""
        self.route.change(self.route.turns.without(name))
        if name in self.people and not self.people[name].session.board.ended:
            self._leaving.setdefault(name, self._clock.now_s() + CATCH_UP_S)

    def is_leaving(self, name: str) -> bool:
        """Whether somebody's session is about to be closed."""
        return name in self._leaving

    @property
    def is_over(self) -> bool:
        """Whether everybody's session is closed."""
        return bool(self.people) and all(person.session.board.ended for person in self.people.values())

    def end(self) -> None:
        """Close every session; what one died of is raised once all are closed."""
        failed: list[Exception] = []
        for person in self.people.values():
            try:
                person.session.end()
            except Exception as error:
                failed.append(error)
        if failed:
            raise failed[0]

    @property
    def closing(self) -> tuple[str, ...]:
        """What everybody's session was and what comes next for them, in words."""
        lines: list[str] = []
        for name, person in self.people.items():
            told = person.session.board.closing if person.session.board.measured else ("no set was done.",)
            lines += [f"{name}: {told[0]}", *(f"  {line}" for line in told[1:])]
        return (*lines, *(f"{name}: {why}" for name, why in self.refused.items()))

    def remark(self, text: str) -> None:
        """Tell something that is about no one session."""
        if self._feed:
            self._feed.post_moment(Moment(at_s=self._elapsed_s, kind="note", text=text))

    @property
    def _elapsed_s(self) -> float:
        return self.on.shown.elapsed_s if self.on and self.on.shown else 0.0

    def show(self, name: str, shown: Snapshot) -> None:
        """Show somebody's newest snapshot, where it is theirs that is shown; once all is over, all of them are."""
        self.people[name].shown = shown
        person = self.on if self.is_shared and self.is_over else self.people[name]
        if person is not None and person.shown is not None:
            self._show(person, person.shown)

    def _show(self, person: Person, shown: Snapshot) -> None:
        if self._feed is None or person.name != self.route.on:
            return
        if self.is_shared:
            shown = self._with_turns(shown)
        felt = self.route.felt if wants_check(shown) else None
        if felt:
            shown = with_check(shown, felt, person.last_set)
        self._feed.post_snapshot(shown)

    def _with_turns(self, shown: Snapshot) -> Snapshot:
        """Add what is shown of everybody, and what can be said of the last set, whosever it is."""
        last = self.asked.shown if self.asked and self.asked.shown else shown
        offers = (shown.offers & {Offer.TELL_SET, Offer.MOUNT}) | (last.offers & {Offer.DROP})
        return replace(
            shown,
            turns=turns_view(self._names, self.people, self.refused, self.route, in_set=self._is_in_set),
            offers=offers,
            undo=last.undo,
        )

    def tell(self, name: str, moment: Moment) -> None:
        """Tell what just happened in a session; what concerns others waits while somebody is in a set."""
        text = moment.text if moment.text.startswith(f"{name}:") else f"{name}: {moment.text}"
        mine = replace(moment, text=text) if self.is_shared else moment
        if name == self.route.on and self._feed:
            self._feed.post_moment(mine)
        elif moment.kind not in NOT_OTHERS:
            self._held.append(mine)
        self._tell_held()

    def _tell_held(self) -> None:
        while self._held and self._feed and not self._is_in_set:
            self._feed.post_moment(self._held.pop(0))

    @property
    def _is_in_set(self) -> bool:
        return self.on is not None and self.on.session.board.stage is Stage.SET
