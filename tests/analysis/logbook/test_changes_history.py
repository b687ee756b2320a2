"""The figure of truth: after any history, told in any way, the coach's logbook is the station's.

No message of a network is trusted here: changes come in any batches, in any order, many times, or are lost and sent
again; stations and coaches are closed and opened anew, epochs begin anew, people are forgotten.
"""

from __future__ import annotations

import random
import tempfile
from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import Any
from uuid import UUID

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from analysis.logbook.book import Logbook, LogbookError
from analysis.logbook.changes import Change
from analysis.logbook.entries import RunKind, Trainee
from analysis.training.corrections import Act, Because, By, Correction, Given
from analysis.training.plan import default_plan
from analysis.training.progression import next_session
from analysis.training.statements import Pain
from tests.analysis.logbook.keeping import answer, begin
from tests.analysis.logbook.telling import changes_of, plain_dump
from tests.analysis.logbook.test_logbook_exchange import DAY, US
from tests.analysis.logbook.test_logbook_outlines import session

CHANCE = st.integers(0, 2**32).map(random.Random)
NAMES = ("Ines", "Jonas Reiter", "Änne Żółć", "Mara Lindt")


class Telling(RuleBasedStateMachine):
    """A station that writes, a network that does what it likes, a coach that takes in."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = tempfile.TemporaryDirectory()
        self.station = Logbook.open(Path(self.folder.name) / "station.sqlite")
        self.coach = Logbook.open(Path(self.folder.name) / "coach.sqlite")
        self.sent: list[tuple[str, Change]] = []
        self.count = 0
        self.runs: dict[UUID, list[int]] = {}
        self.through = 0

    def teardown(self) -> None:
        self.all_arrives()
        self.station.close()
        self.coach.close()
        self.folder.cleanup()

    def uuid(self) -> UUID:
        self.count += 1
        return UUID(int=self.count)

    def pick(self, chance: random.Random, things: Any) -> Any:
        return chance.choice(sorted(things, key=str))

    @property
    def people(self) -> list[UUID]:
        return [one.id for one in self.station.trainees()]

    @property
    def sessions(self) -> list[UUID]:
        return [one for one in self.runs if self.station.session_found(one) is not None]

    @initialize()
    def first(self) -> None:
        self.add_trainee(NAMES[0])

    @rule(name=st.sampled_from(NAMES))
    def add_trainee(self, name: str) -> None:
        with suppress(LogbookError):
            self.station.keep_trainee(Trainee(self.uuid(), name))

    @precondition(lambda self: self.people)
    @rule(number=st.integers(0, 9), chance=CHANCE)
    def begin_session(self, number: int, chance: random.Random) -> None:
        record = replace(session(number), session_id=self.uuid())
        begin(self.station, record, self.pick(chance, self.people))
        self.runs[record.session_id] = []

    @precondition(lambda self: self.sessions)
    @rule(
        kind=st.sampled_from([RunKind.LIVE, RunKind.REFINED, RunKind.PART, RunKind.REANALYSIS]),
        sets=st.integers(0, 3),
        chance=CHANCE,
    )
    def analyse(self, kind: RunKind, sets: int, chance: random.Random) -> None:
        one = self.pick(chance, self.sessions)
        record = replace(session(chance.randrange(10)), session_id=one)
        whose = [None, *self.people]
        done = tuple(replace(each, trainee=chance.choice(whose)) for each in record.sets[:sets])
        self.runs[one].append(answer(self.station, record, done, kind))

    @precondition(lambda self: self.sessions)
    @rule(what=st.sampled_from(["finish", "reopen", "rpe", "clock", "mount"]), chance=CHANCE)
    def change(self, what: str, chance: random.Random) -> None:
        one = self.pick(chance, self.sessions)
        record = self.station.session_found(one)
        assert record is not None
        acts: dict[str, Callable[[], object]] = {
            "finish": lambda: self.station.finish_session(one, record.started_utc_us + 9, record.verdict),
            "reopen": lambda: self.station.reopen_session(one),
            "rpe": lambda: self.station.note_session(one, rpe=chance.randrange(11), note=f"Regen {self.count}"),
            "mount": lambda: self.station.note_mount(one, record.mount, None, record.prescription),
            "clock": lambda: [
                self.station.note_clock(run, clock_ratio=1 + chance.random() / 1e3, clock_sd_ppm=5.0)
                for run in self.runs[one][-1:]
            ],
        }
        acts[what]()

    @precondition(lambda self: self.sessions)
    @rule(kind=st.sampled_from([Act.DROP, Act.COUNT, Act.GIVE, Act.UNDO]), chance=CHANCE)
    def correct(self, kind: Act, chance: random.Random) -> None:
        one = self.pick(chance, self.sessions)
        record = self.station.session_found(one)
        assert record is not None
        said = self.station.corrections(one)
        spans = [(each.start_s, each.end_s) for each in (*record.sets, *record.others)] or [(1.0, 2.0)]
        start_s, end_s = chance.choice(spans)
        value = {
            Act.DROP: None,
            Act.COUNT: {"count": 3, "seen": 5},
            Act.GIVE: Given(trainee=self.pick(chance, self.people), prescription=record.prescription),
            Act.UNDO: str(chance.choice(said).id) if said else str(self.uuid()),
        }[kind]
        made = Correction(
            id=self.uuid(),
            session_id=one,
            start_s=start_s,
            end_s=end_s,
            kind=kind,
            value=value,
            reason=Because.OTHER,
            who=chance.choice(NAMES),
            made_utc_us=US + chance.randrange(4),
            role=By.COACH,
        )
        self.station.add_correction(made)

    @precondition(lambda self: self.people)
    @rule(what=st.sampled_from(["say", "propose", "plan"]), chance=CHANCE)
    def say(self, what: str, chance: random.Random) -> None:
        who = self.pick(chance, self.people)
        if what == "say":
            pain = Pain(said_utc_us=US + chance.randrange(4), day=DAY, now=chance.randrange(4))
            self.station.say(who, pain, statement_id=self.uuid())
        elif what == "plan":
            self.station.note_plan(who, f"number = {chance.randrange(3)}", noted_utc_us=US + self.count)
        else:
            proposal = next_session(self.station.history(who), default_plan(), DAY)
            after = self.pick(chance, self.sessions) if self.sessions else None
            self.station.record_next(who, proposal, made_utc_us=US + chance.randrange(3), after_session=after)

    @precondition(lambda self: len(self.people) > 1)
    @rule(chance=CHANCE)
    def forget(self, chance: random.Random) -> None:
        if chance.random() < 0.3:
            self.station.forget(self.pick(chance, self.people))

    @rule()
    def new_epoch(self) -> None:
        self.station.new_epoch()
        self.through = 0

    @rule(which=st.sampled_from(["station", "coach"]))
    def restart(self, which: str) -> None:
        book = getattr(self, which)
        book.close()
        setattr(self, which, Logbook.open(book.path))

    @rule(most=st.integers(1, 40), chance=CHANCE)
    def some_arrive(self, most: int, chance: random.Random) -> None:
        """Send a window; what of it and of all that was ever sent arrives now, and in which order, is up to chance."""
        stream = self.station.stream()
        now = [(stream.epoch, one) for one in changes_of(self.station, self.through)[:most]]
        self.sent += now
        came = [one for one in now if chance.random() < 0.8] + chance.choices(self.sent, k=8 * bool(self.sent))
        chance.shuffle(came)
        for epoch in sorted({epoch for epoch, _ in came}):
            changes = [one for of, one in came if of == epoch]
            taken = self.coach.apply(stream.station, epoch, changes, called="rack-3")
            if epoch == stream.epoch:
                assert taken.through >= self.through
                self.through = taken.through

    @rule()
    def all_arrives(self) -> None:
        stream = self.station.stream()
        while self.through < stream.last:
            window = changes_of(self.station, self.through)[:32]
            taken = self.coach.apply(stream.station, stream.epoch, window, called="rack-3")
            assert taken.through > self.through
            self.through = taken.through
        assert plain_dump(self.coach, self.people) == plain_dump(self.station, self.people)
        assert self.coach.histories().keys() == self.station.histories().keys()
        assert self.coach.stream().last == 0

    @invariant()
    def nothing_is_there_twice_or_in_part(self) -> None:
        there = {one["uuid"]: one for one in plain_dump(self.coach)["sessions"]}
        assert len(there) == len(plain_dump(self.coach)["sessions"])
        ours = {one["uuid"]: one for one in plain_dump(self.station)["sessions"]}
        for uuid in there.keys() & ours.keys():
            assert len(there[uuid]["runs"]) <= len(ours[uuid]["runs"])
            for here, told in zip(ours[uuid]["runs"], there[uuid]["runs"], strict=False):
                if self.through_is_current:
                    assert all(one in here["sets"] for one in told["sets"])

    @property
    def through_is_current(self) -> bool:
        """Whether nobody was forgotten at the station whom the coach still knows."""
        return {one.id for one in self.coach.trainees()} <= set(self.people)


Telling.TestCase.settings = settings(
    max_examples=12, stateful_step_count=30, deadline=None, suppress_health_check=list(HealthCheck)
)
TestTelling = Telling.TestCase
