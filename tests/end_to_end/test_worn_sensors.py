"""Several people at one bar, each with a sensor of their own, and one with another's."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import groupby

import pytest
from shared_bar import NAMES, Bar, assert_replays, script_of, sent_by, true_sets
from virtual_session import Gym

from analysis.training.corrections import Act
from analysis.training.verdict import Outcome
from sensor.recording import Recording
from sensor.source import Arrival, Channel

MARA, JONAS, INES = NAMES
WORN = {"clip-07": MARA, "clip-12": JONAS}
SCRIPT = script_of(5, 4, rest_s=30.0)


def sent_with(sensor_id: str) -> list[Arrival]:
    return [replace(one, sensor_id=sensor_id) for one in sent_by(SCRIPT)]


@pytest.fixture
def bar(gym: Gym) -> Bar:
    return Bar(gym, wearer=WORN.get, names=(MARA, JONAS))


@pytest.fixture
def coming(bar: Bar) -> Iterator[Arrival]:
    """Jonas did the first of the two sets with Mara's sensor, while his lay there; it is over."""
    lies_there = (one for one in sent_with("clip-12") if one.channel is not Channel.DATA)
    coming = iter(sorted((*sent_with("clip-07"), *lies_there), key=lambda one: one.at_s))
    bar.give(coming, lambda: bar.bar.route.last == MARA)
    return coming


def counts_of(bar: Bar, name: str) -> list[int]:
    return [one.verdict.count for one in bar.bar.people[name].session.board.sets]


def test_a_worn_sensor_names_its_wearer_in_any_order_and_at_the_same_time(gym: Gym) -> None:
    """Jonas begins while Mara is in her set; Ines wears one and does nothing."""
    worn = {"clip-07": MARA, "clip-12": JONAS, "clip-31": INES}
    bar = Bar(gym, wearer=worn.get)

    def sent(sensor_id: str, reps: tuple[int, ...], later_s: float, seed: int) -> list[Arrival]:
        made = sent_by(script_of(*reps, rest_s=20.0), seed)
        return [replace(one, sensor_id=sensor_id, at_s=one.at_s + later_s) for one in made]

    both = [*sent("clip-07", (5, 5), 0.0, 1), *sent("clip-12", (4,), 4.0, 2)]
    shown: list[str] = []

    def look() -> bool:
        shown.append(bar.bar.route.on)
        return False

    bar.give(sorted(both, key=lambda one: one.at_s), look)
    bar.bar.end()
    assert bar.counts() == {MARA: [5, 5], JONAS: [4]}
    assert [name for name, _ in groupby(shown)][:2] == [MARA, JONAS]  # who began first is shown to the end
    for path in gym.recordings():
        with Recording.open(path) as recording:
            ids = {one.sensor_id for one in recording.arrivals()}
            assert ids == {sensor for sensor, name in worn.items() if name == recording.meta["trainee"]}
    assert_replays(gym)


def test_a_set_done_with_anothers_sensor_is_given_by_its_count(gym: Gym, bar: Bar, coming: Iterator[Arrival]) -> None:
    assert bar.bar.route.takers == (JONAS,)
    bar.wishes.give_last_set(JONAS)
    assert (counts_of(bar, MARA), counts_of(bar, JONAS)) == ([], [5])
    bar.bar.tick()
    shown = gym.book.snapshots[-1].turns
    assert shown is not None
    assert (shown.is_given, shown.takers) == (True, ())
    rest_s = next(row.rest_left_s for row in shown.rows if row.name == JONAS)
    assert rest_s == pytest.approx(
        20.0 - (gym.clock.at_s - true_sets(SCRIPT)[0][1]), abs=1.0
    )  # from the end of the set
    bar.give(coming)
    bar.bar.end()
    assert bar.counts() == {MARA: [4], JONAS: [5]}
    (told,) = bar.records()[JONAS].sets
    assert told.verdict.tempo_outcome is Outcome.NOT_MEASURABLE
    assert_replays(gym)


def test_a_set_that_was_given_by_its_count_is_taken_back(gym: Gym, bar: Bar, coming: Iterator[Arrival]) -> None:
    bar.wishes.give_last_set(JONAS)
    bar.wishes.take_back()
    assert (counts_of(bar, MARA), counts_of(bar, JONAS)) == ([5], [])
    bar.give(coming)
    bar.bar.end()
    assert bar.counts() == {MARA: [5, 4], JONAS: []}
    acts = [one.kind for one in gym.logbook.corrections(bar.records()[MARA].session_id)]
    assert acts == [Act.DROP, Act.UNDO]


def test_a_set_is_not_given_to_whose_sensor_was_never_there(gym: Gym, bar: Bar) -> None:
    bar.give(sent_with("clip-07"), lambda: bar.bar.route.last == MARA)
    bar.wishes.give_last_set(JONAS)
    assert "not seen yet" in gym.book.text
    assert (counts_of(bar, MARA), counts_of(bar, JONAS)) == ([5], [])
