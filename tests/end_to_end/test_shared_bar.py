"""Three people in turn on one sensor: each log holds the own sets, and each recording replays to them.

What was done is known from the script of the virtual trainee, who plays all of them.
"""

from __future__ import annotations

import asyncio
from dataclasses import replace
from pathlib import Path

import pytest
from relay import relay
from shared_bar import NAMES, Bar, LaterHand, assert_replays, script_of, sent_by, true_sets
from virtual_session import Gym, Notebook, arrivals

from analysis.logbook.people import name_key
from analysis.motion.mounts import Mount
from analysis.training.corrections import Act, Because
from analysis.training.verdict import Outcome
from sensor.recording import Recording
from sensor.source import Channel, LinkState
from sensor.virtual.motion import FileFeed
from tui.session.messages import Stage
from tui.training.two_people import doubts
from tui.trouble import Trouble

MARA, JONAS, INES = NAMES


def test_each_log_holds_the_own_sets_though_the_next_one_hangs_before_a_set_is_closed(gym: Gym) -> None:
    """With 7 s between two reps the next one hangs some 4 s after the other's last rep."""
    script = script_of(5, 4, 6, 5, 4, 6, rest_s=7.0)
    bar = Bar(gym)
    bar.give(sent_by(script))
    bar.bar.end()
    assert bar.counts() == {MARA: [5, 5], JONAS: [4, 4], INES: [6, 6]}
    true = true_sets(script)
    for place, name in enumerate(NAMES):
        own = bar.records()[name].sets
        assert [one.start_s for one in own] == pytest.approx([start_s for start_s, _ in true[place::3]], abs=0.6)
        rests = [after[0] - before[1] for before, after in zip(true[place::3], true[place + 3 :: 3], strict=False)]
        assert [one.rest_before_s for one in own[1:]] == pytest.approx(rests, abs=0.8)
    for path in gym.recordings():
        with Recording.open(path) as recording:
            who = recording.meta["trainee"]
            data = [one.at_s for one in recording.arrivals() if one.channel is Channel.DATA]
        for name, (start_s, end_s) in zip(NAMES * 2, true, strict=True):
            inside = [at_s for at_s in data if start_s + 3 < at_s < end_s]  # the first rep shows who hangs
            assert bool(inside) == (name == who)  # no recording holds a whole rep of another
    assert_replays(gym)


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


def test_a_set_is_given_to_who_did_it_and_who_it_was_taken_for_is_next(gym: Gym) -> None:
    """Mara was on by the order, and Jonas hung."""
    bar = Bar(gym)
    sent = sent_by(script_of(5, 4, rest_s=30.0))
    bar.give(sent, lambda: bar.bar.route.on == JONAS)
    assert bar.bar.route.takers == (JONAS, INES)
    bar.wishes.give_last_set(JONAS)
    bar.settle()
    assert bar.bar.route.turns.order == (MARA, INES, JONAS)
    assert [one.verdict.count for one in bar.bar.people[JONAS].session.board.sets] == [5]
    assert bar.bar.people[MARA].session.board.sets == ()
    bar.give(sent)
    bar.bar.end()
    assert bar.counts() == {JONAS: [5], MARA: [4]}
    assert_replays(gym)
    (made,) = gym.logbook.corrections(bar.records()[MARA].session_id)
    assert (made.kind, made.reason, made.text) == (
        Act.DROP,
        Because.SOMEBODY_ELSE,
        f"it was {JONAS}'s set: left out by key",
    )


def test_who_stops_short_and_is_followed_at_once_is_asked_about(gym: Gym, tmp_path: Path) -> None:
    """Mara stops two short, and Jonas hangs eight seconds after she let go: his reps are counted on with hers."""
    table = tmp_path / "bar.csv"
    relay(table, (3, 5), (8.0,), mount="moving-bar", seed=1)
    bar = Bar(gym, mount=Mount.MOVING_BAR)
    bar.give(arrivals(FileFeed(table)))
    bar.bar.end()
    asked = doubts(bar.bar.people)
    assert [one.split(":")[0] for one in asked] == [f"{MARA}, set 1"]
    shown = gym.book.snapshots[-1].turns
    assert shown is not None
    assert shown.doubts == asked


def test_at_the_end_the_screen_shows_everybodys_session(gym: Gym) -> None:
    bar = Bar(gym)
    bar.give(sent_by(script_of(5, 4, rest_s=20.0)))
    shown = gym.book.snapshots[-1].turns
    assert shown is not None
    assert shown.ends == ()  # there are sets to do
    bar.wishes.go_home(JONAS)
    bar.bar.end()
    shown = gym.book.snapshots[-1].turns
    assert shown is not None
    assert shown.is_closed
    assert shown.next == ""
    assert shown.doubts == ()
    told = {end.name: (end.done.split(",")[0], end.outcome) for end in shown.ends}
    assert told == {
        MARA: ("1 of 3 sets", Outcome.MISSED),
        JONAS: ("1 of 3 sets", Outcome.MISSED),
        INES: ("no set done", None),
    }
    for end in shown.ends[:2]:
        session = bar.bar.people[end.name].session.board
        assert end.next
        assert f"next: {end.next}" == session.next_text[0]
        assert end.note == session.verdict().summary[-1]


def test_a_set_that_was_given_is_taken_back(gym: Gym) -> None:
    bar = Bar(gym)
    bar.give(sent_by(script_of(5, 4, rest_s=30.0)), lambda: bar.bar.route.on == JONAS)
    bar.wishes.give_last_set(INES)
    bar.settle()
    assert bar.bar.route.is_given
    bar.wishes.take_back()
    assert bar.bar.route.turns.order == (JONAS, INES, MARA)
    assert bar.bar.route.takers == (JONAS,)  # it may still have been his
    bar.bar.end()
    assert {name: counts for name, counts in bar.counts().items() if counts} == {MARA: [5]}
    assert [one.kind for one in gym.logbook.corrections(bar.records()[MARA].session_id)] == [Act.DROP, Act.UNDO]


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


@pytest.mark.parametrize("asks", [False, True])
def test_who_may_not_train_is_told_why_and_does_not_stop_the_others(gym: Gym, asks: bool) -> None:
    gym.home.plans.mkdir(exist_ok=True)
    gym.home.plan(name_key(JONAS)).write_text("no plan at all", encoding="utf-8")
    bar = Bar(gym, asks=asks)
    assert JONAS in bar.bar.refused
    assert f"{JONAS}: {bar.bar.refused[JONAS]}" in gym.book.text
    assert bar.bar.route.turns.order == (MARA, INES)
    bar.give(sent_by(script_of(5, rest_s=20.0)), lambda: bar.bar.route.on == INES)
    bar.bar.end()
    assert bar.counts() == {MARA: [5]}
    assert any(line.startswith(f"{JONAS}: ") for line in bar.bar.closing)


def test_who_was_never_on_the_bar_leaves_nothing_behind(gym: Gym) -> None:
    bar = Bar(gym)
    bar.give(sent_by(script_of(5, rest_s=20.0)), lambda: bar.bar.route.on == JONAS)  # broken off in the middle
    bar.bar.end()
    assert bar.counts() == {MARA: [5]}
    assert len(gym.recordings()) == 1


def test_sessions_that_were_broken_off_are_gone_on_with_each_on_its_own_clock(gym: Gym) -> None:
    """The second process begins its clock anew; the sensor went on meanwhile. Only Mara wants to go on."""
    script = script_of(5, 4, 5, 4, rest_s=20.0)
    sent = sent_by(script)
    first = Bar(gym)
    first.give(sent, lambda: first.bar.route.on == INES)
    first.bar.end()
    cut_s = gym.clock.at_s
    info = next(one for one in sent_by(script) if one.channel is Channel.INFO)
    there = replace(info, channel=Channel.LINK, payload=LinkState.CONNECTED.value.encode(), at_s=0.0)
    later = Gym(gym.home, gym.logbook, LaterHand(cut_s), Notebook())
    second = Bar(later, names=(MARA, JONAS), asks=True)
    asked = second.training.asked
    assert asked is not None
    view = asked.look()
    assert view is not None
    assert view.question is not None
    assert view.question.text.startswith(f"{MARA}: ")
    assert asked.press("y")
    second.give([there, replace(info, at_s=0.0)])
    assert [one.verdict.count for one in second.bar.people[MARA].session.board.sets] == [5]
    second.give(replace(one, at_s=one.at_s - cut_s) for one in sent)
    second.bar.end()
    counts = {
        name: [[one.verdict.count for one in record.sets] for record in gym.logbook.sessions(known.id)]
        for name in (MARA, JONAS)
        if (known := gym.logbook.trainee(name))
    }
    assert counts == {MARA: [[5, 5]], JONAS: [[4], [4]]}
    (mara,) = [one for one in gym.records() if [done.verdict.count for done in one.sets] == [5, 5]]
    true = true_sets(script)
    assert mara.sets[1].rest_before_s == pytest.approx(true[2][0] - true[0][1], abs=0.8)
    assert_replays(gym)


def test_where_nobody_may_train_it_is_said_of_each_and_nothing_breaks(gym: Gym) -> None:
    gym.home.plans.mkdir(exist_ok=True)
    for name in NAMES:
        gym.home.plan(name_key(name)).write_text("no plan at all", encoding="utf-8")
    bar = Bar(gym)
    bar.give(sent_by(script_of(5, rest_s=20.0)), lambda: gym.clock.at_s > 5)
    bar.bar.end()
    assert len(bar.bar.closing) == len(NAMES)
    assert gym.records() == []
    with pytest.raises(Trouble, match=INES):
        asyncio.run(bar.training.drive(gym.book))


def test_on_a_bar_that_travels_who_hangs_four_seconds_later_is_not_counted_on(gym: Gym, tmp_path: Path) -> None:
    """The bar's sensor feels both, and by its motion alone it is one set: ten reps with a pause of six seconds."""
    table = tmp_path / "bar.csv"
    ends_s = relay(table, (5, 5), (4.0,), mount="moving-bar", seed=3)
    bar = Bar(gym, mount=Mount.MOVING_BAR)
    bar.give(arrivals(FileFeed(table)))
    bar.bar.end()
    (hers,), (his,) = bar.records()[MARA].sets, bar.records()[JONAS].sets
    assert hers.verdict.count == 5
    assert hers.end_s == pytest.approx(ends_s[0], abs=0.5)
    assert his.start_s > ends_s[0] + 4.0
    assert his.end_s < ends_s[1] + 1.0
    assert_replays(gym)


def test_a_set_that_was_given_is_taken_back_only_once_it_is_read(gym: Gym) -> None:
    """Else it would count for both: there is nothing yet that could be left out."""
    bar = Bar(gym)
    bar.give(sent_by(script_of(5, 4, rest_s=30.0)), lambda: bar.bar.route.on == JONAS)
    bar.wishes.give_last_set(INES)
    assert bar.bar.is_busy
    bar.wishes.take_back()
    assert f"{INES}: one moment: the set is still being read" in gym.book.text
    bar.settle()
    bar.wishes.take_back()
    bar.bar.end()
    assert {name: counts for name, counts in bar.counts().items() if counts} == {MARA: [5]}


def test_what_a_key_did_to_the_order_is_told(gym: Gym) -> None:
    bar = Bar(gym)
    bar.give(sent_by(script_of(5, rest_s=30.0)), lambda: bar.bar.on is not None)
    bar.wishes.one_later()
    bar.wishes.skip()
    bar.wishes.call(INES)
    told = [one.text for one in gym.book.moments if one.text.split(":")[-1].endswith("is next") or "then" in one.text]
    assert told[-3:] == [f"{JONAS} is next, then {MARA}", f"{JONAS} sits out once: {MARA} is next", f"{INES} is next"]


def test_once_the_sessions_are_closed_a_set_that_is_left_out_is_seen_to_be_and_counts_again_by_u(gym: Gym) -> None:
    """No time passes any more then: the screen stayed as it was, so the key for taking it back was not offered."""
    bar = Bar(gym, names=(MARA, JONAS))
    bar.give(sent_by(script_of(5, 5, rest_s=20.0)), lambda: bar.bar.route.on == JONAS)
    bar.bar.end()
    run = bar.training.run

    def told() -> tuple[str, str]:
        shown = gym.book.snapshots[-1]
        assert shown.turns is not None
        return next(end.done for end in shown.turns.ends if end.name == MARA), shown.undo

    before = told()
    assert before[0].startswith("1 of 3 sets")
    run.drop_last_set()
    assert told() == ("no set done", "count it again")
    run.take_back_set()
    assert told() == before
    assert bar.counts()[MARA] == [5]
