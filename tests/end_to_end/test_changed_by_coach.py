"""A coach changes what is asked in mid-session: live, log, recording and the others on the bar agree about it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from types import SimpleNamespace
from typing import Any

from shared_bar import Bar, script_of, sent_by
from virtual_session import Gym, arrivals

from analysis.training.standing import standing
from analysis.training.verdict import Outcome
from sensor.recording import Recording
from sensor.virtual.motion import TraineeFeed
from tests.brokers.coach import note, target
from tui.session.messages import Snapshot, Stage
from tui.session.stored import prescription_from_json
from tui.share.faults import Faults
from tui.share.sharing import Tap
from tui.share.words import Words
from tui.training.person import Person


@dataclass
class Station:
    """A station without a broker: what it was told to answer."""

    words: Words = field(default_factory=Words)
    faults: Faults = field(default_factory=Faults)
    said: dict[str, str] = field(default_factory=dict)
    link: str = ""

    def saw(self, shown: Snapshot) -> None: ...

    def drawn(self, words: frozenset[str]) -> None:
        self.said |= {one.word: one.state for one in self.words.drawn(words)}

    def answer(self, word: str, state: str, text: str = "") -> None:
        self.words.answer(word, state, text)
        self.said[word] = state


def tapped(gym: Gym, people: dict[str, Person]) -> tuple[Station, Tap]:
    station = Station()
    run = SimpleNamespace(bar=SimpleNamespace(people=people), is_stopping=True)
    tap: Any = Tap(gym.book, station, run, watched=False)  # type: ignore[arg-type]
    return station, tap


def until_rest(gym: Gym, session: Any, sent: Iterator[Any]) -> None:
    for arrival in sent:
        gym.give(session, arrival)
        if session.board.stage is Stage.REST:
            return


def test_live_log_and_recording_agree(gym: Gym) -> None:
    people: dict[str, Person] = {}
    station, tap = tapped(gym, people)
    session = gym.opening().open_session("", tap)
    people["Mara Lindt"] = Person("Mara Lindt", session, gym.clock)
    session.begin()
    sent = arrivals(TraineeFeed())
    until_rest(gym, session, sent)
    said = target("mara lindt", reps=7, rest_s=14.0)
    station.words.take(said)
    session.tick()
    assert station.said == {said["word"]: "shown"}
    assert "Coach: from the next set on 7 reps, rest 14 s." in gym.book.text
    session.tick()
    shown = gym.book.snapshots[-1]
    assert (shown.prescription.reps, shown.prescription.rest_s) == (7, 14.0)
    (broken_off,) = gym.records()  # as a power cut would leave it
    assert [one.word for one in broken_off.prescription.changes] == [said["word"]]
    for arrival in sent:
        gym.give(session, arrival)
    live = [one.verdict.target_reps for one in session.board.sets]
    session.end()
    (record,) = gym.records()
    assert live == [one.verdict.target_reps for one in record.sets] == [5, 7, 7]
    assert [one.verdict.target_rest_s for one in record.sets] == [20.0, 14.0, 14.0]
    assert record.outcome is Outcome.MISSED
    assert standing(record).outcome is Outcome.NOT_MEASURABLE
    with Recording.open(gym.recordings()[0]) as recording:
        assert prescription_from_json(recording.meta["prescription"]) == record.prescription
    assert not list(station.faults)


def test_what_cannot_be_changed_is_answered_and_changes_nothing(gym: Gym) -> None:
    people: dict[str, Person] = {}
    station, tap = tapped(gym, people)
    session = gym.opening().open_session("", tap)
    people["Mara Lindt"] = Person("Mara Lindt", session, gym.clock)
    session.board.ask_anew(session.board.prescription.as_test())
    said = target(reps=7)
    station.words.take(said)
    session.begin()
    assert station.said == {said["word"]: "refused"}
    assert session.board.prescription.changes == ()


def test_on_a_shared_bar_each_word_finds_whom_it_is_for(gym: Gym) -> None:
    shared = Bar(gym, names=("Mara Lindt", "Jonas Reiter"))
    station, tap = tapped(gym, shared.bar.people)
    shared.bar._feed = tap
    said, changed = note("Shoulders down first.", "Jonas Reiter"), target("Jonas Reiter", rest_s=33.0)
    station.words.take(said)
    station.words.take(changed)
    shared.give(sent_by(script_of(5, 5, rest_s=25.0)), until=lambda: shared.bar.route.on != "Mara Lindt")
    seen = [one for one in gym.book.snapshots if one.coach]
    assert {one.trainee for one in seen} <= {"Jonas Reiter"}
    shared.bar.tick()
    assert station.said == {said["word"]: "shown", changed["word"]: "shown"}
    rests = {name: one.session.board.prescription.at(0.0).rest_s for name, one in shared.bar.people.items()}
    assert rests["Jonas Reiter"] == 33.0
    assert rests["Mara Lindt"] != 33.0
    shared.bar.end()
