"""Three people in turn on one sensor: each log holds the own sets, and each recording replays to them.

What was done is known from the script of the virtual trainee, who plays all of them.
"""

from __future__ import annotations

import pytest
from shared_bar import NAMES, Bar, assert_replays, script_of, sent_by, true_sets
from virtual_session import Gym

from analysis.logbook.people import name_key
from analysis.training.corrections import Act
from sensor.recording import Recording
from sensor.source import Channel
from tui.messages import Stage

MARA, JONAS, INES = NAMES


@pytest.mark.parametrize("rest_s", [7.0, 20.0])
def test_each_log_holds_the_own_sets_whoever_drops_in_when(gym: Gym, rest_s: float) -> None:
    """With 7 s between two reps the next one hangs some 4 s after the other's last rep: before that set is closed."""
    script = script_of(5, 4, 6, 5, 4, 6, 5, 5, 5, rest_s=rest_s)
    bar = Bar(gym)
    bar.give(sent_by(script))
    bar.bar.end()
    assert bar.counts() == {MARA: [5, 5, 5], JONAS: [4, 4, 5], INES: [6, 6, 5]}
    true = true_sets(script)
    for place, name in enumerate(NAMES):
        own = bar.records()[name].sets
        assert [one.start_s for one in own] == pytest.approx([start_s for start_s, _ in true[place::3]], abs=0.6)
        rests = [after[0] - before[1] for before, after in zip(true[place::3], true[place + 3 :: 3], strict=False)]
        assert [one.rest_before_s for one in own[1:]] == pytest.approx(rests, abs=0.8)
    assert_replays(gym)


def test_no_recording_holds_a_whole_rep_of_another(gym: Gym) -> None:
    script = script_of(5, 5, 5, rest_s=20.0)
    bar = Bar(gym)
    bar.give(sent_by(script))
    bar.bar.end()
    for path in gym.recordings():
        with Recording.open(path) as recording:
            who = recording.meta["trainee"]
            data = [one.at_s for one in recording.arrivals() if one.channel is Channel.DATA]
        for name, (start_s, end_s) in zip(NAMES, true_sets(script), strict=True):
            inside = [at_s for at_s in data if start_s + 3 < at_s < end_s]  # the first rep shows who hangs
            assert bool(inside) == (name == who)


def test_who_is_next_is_told_and_their_own_rest_goes_on(gym: Gym) -> None:
    bar = Bar(gym)
    sent = sent_by(script_of(5, 5, 5, rest_s=20.0))
    bar.give(sent, lambda: bar.bar.route.on == JONAS)
    shown = gym.book.snapshots[-1]
    bar.bar.tick()
    shown = gym.book.snapshots[-1]
    assert shown.trainee == JONAS
    assert shown.turns is not None
    assert shown.turns.next == JONAS
    assert [row.name for row in shown.turns.rows] == [JONAS, INES, MARA]
    mara = shown.turns.rows[-1]
    assert (mara.done, mara.asked) == (1, 3)
    assert mara.rest_left_s is not None
    assert 20.0 - 9.5 < mara.rest_left_s < 20.0 - 7.0  # eight seconds after the last rep, her rest is 20 s
    bar.give(sent, lambda: bar.bar.people[JONAS].session.board.stage is Stage.SET)
    assert gym.book.snapshots[-1].turns is not None


@pytest.mark.parametrize("undone", [False, True])
def test_a_set_is_given_to_who_did_it_and_taken_back(gym: Gym, undone: bool) -> None:
    """Mara was on by the order, and Jonas hung."""
    bar = Bar(gym)
    sent = sent_by(script_of(5, 4, 6, rest_s=30.0))
    bar.give(sent, lambda: bar.bar.route.on == JONAS)
    assert bar.bar.route.takers == (JONAS, INES)
    bar.wishes.give_last_set(JONAS)
    bar.settle()
    assert bar.bar.route.turns.order == (MARA, INES, JONAS)
    assert [one.count for one in (bar.bar.people[JONAS].session.board.sets[0].verdict,)] == [5]
    assert bar.bar.people[MARA].session.board.sets == ()
    if undone:
        assert bar.bar.route.is_given
        bar.wishes.take_back()
        assert bar.bar.route.turns.order == (JONAS, INES, MARA)
    bar.give(sent)
    bar.bar.end()
    first, second, third = (MARA, JONAS, INES) if undone else (JONAS, MARA, INES)
    assert {name: counts for name, counts in bar.counts().items() if counts} == {
        first: [5],
        second: [4],
        third: [6],
    }
    assert_replays(gym)
    mara = bar.records()[MARA]
    acts = [one.kind for one in gym.logbook.corrections(mara.session_id)]
    assert acts == ([Act.DROP, Act.UNDO] if undone else [Act.DROP])


def test_the_order_is_changed_between_sets(gym: Gym) -> None:
    bar = Bar(gym)
    sent = sent_by(script_of(5, 4, 6, rest_s=30.0))
    bar.wishes.one_later()  # Jonas, Mara, Ines
    bar.give(sent, lambda: bar.bar.people[JONAS].session.board.stage is Stage.SET)
    bar.wishes.skip()  # in a set nothing changes
    bar.give(sent, lambda: bar.bar.route.on != JONAS)
    assert bar.bar.route.turns.order == (MARA, INES, JONAS)
    bar.wishes.skip()
    bar.wishes.call(MARA)
    bar.wishes.skip()
    bar.give(sent, lambda: bool(bar.bar.people[INES].session.board.sets))
    bar.wishes.go_home(JONAS)
    bar.give(sent)
    bar.bar.end()
    assert bar.counts() == {JONAS: [5], INES: [4], MARA: [6]}
    assert bar.records()[JONAS].ended_utc_us is not None
    assert_replays(gym)


def test_who_may_not_train_is_told_why_and_does_not_stop_the_others(gym: Gym) -> None:
    gym.home.plans.mkdir(exist_ok=True)
    gym.home.plan(name_key(JONAS)).write_text("no plan at all", encoding="utf-8")
    bar = Bar(gym)
    assert JONAS in bar.bar.refused
    assert f"{JONAS}: {bar.bar.refused[JONAS]}" in gym.book.text
    bar.give(sent_by(script_of(5, 4, rest_s=20.0)))
    bar.bar.end()
    assert bar.counts() == {MARA: [5], INES: [4]}
    assert any(line.startswith(f"{JONAS}: ") for line in bar.bar.closing)


def test_who_was_never_on_the_bar_leaves_nothing_behind(gym: Gym) -> None:
    bar = Bar(gym)
    bar.give(sent_by(script_of(5, rest_s=20.0)))
    bar.bar.end()
    assert bar.counts() == {MARA: [5]}
    assert len(gym.recordings()) == 1
