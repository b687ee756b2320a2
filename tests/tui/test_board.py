"""Events made by hand, folded into what a screen shows: no motion core, no clock, no screen."""

from __future__ import annotations

from dataclasses import replace

import pytest
from board_told import ASKED, Told, bout, rep

from analysis.motion.events import (
    EventId,
    Phase,
    PhaseChanged,
    RepConfirmed,
    RepProvisional,
    RepWithdrawn,
    SpanUnmeasurable,
)
from analysis.motion.results import Bout, Unmeasurable, Why
from analysis.training.verdict import Outcome
from sensor.clock import ClockEstimate
from sensor.source import LinkState
from tui.session.messages import Link, Stage
from tui.words.set_news import dropped_line


@pytest.fixture
def told() -> Told:
    one = Told()
    one.connect()
    return one


def test_the_stages_in_their_order() -> None:
    told = Told()
    stages = [told.board.stage]
    told.connect()
    for number, start_s in enumerate((10.0, 90.0)):
        stages.append(told.board.stage)
        told.open(start_s)
        stages.append(told.board.stage)
        told.close(bout(number, start_s))
    stages.append(told.board.stage)
    assert stages == [Stage.SEARCHING, Stage.READY, Stage.SET, Stage.REST, Stage.SET, Stage.DONE]


def test_the_opening_tells_the_prescription_and_every_caution() -> None:
    told = Told()
    texts = told.hear(told.board.opening_moments(0.0))
    assert "Mara Lindt: bar pull-up · 2 × 3" in texts[0]
    assert "up 1 · top 1 · down 2 · bottom 0" in texts[0]
    assert "Pain stops the set." in texts
    assert told.shown(0.0).cautions == ("Pain stops the set.",)


def test_seconds_are_told_from_where_the_sensor_was_met() -> None:
    told = Told()
    told.connect(at_s=25.0)
    told.open(30.0)
    assert told.moments[-1].at_s == 5.0
    assert told.shown(40.0).elapsed_s == 15.0


def test_a_state_of_the_link_is_told_once() -> None:
    told = Told()
    assert len(told.connect()) == 1
    assert told.connect() == []


def test_a_sensor_is_told_once_it_has_said_what_it_is() -> None:
    told = Told()
    assert told.hear(told.board.on_link(Link(state=LinkState.CONNECTED), 0.0)) == []
    assert told.connect() == ["sensor connected at 100 Hz"]


def test_a_bout_without_a_rep_leads_back_to_where_it_came_from(told: Told) -> None:
    assert told.do(bout(0, 5.0, 0)) == ["no set"]
    assert told.board.stage is Stage.READY
    told.do(bout(1, 10.0))
    told.do(bout(2, 50.0, 0))
    assert told.board.stage is Stage.REST
    assert told.shown(50.0).set_number == 2


def test_a_provisional_rep_is_shown_and_not_counted(told: Told) -> None:
    told.open(10.0)
    told.fold(RepProvisional(id=EventId(0, 1), at_s=11.0, emitted_s=11.1, count=1, start_s=10.0, top_s=11.0))
    shown = told.shown(11.2)
    assert (shown.count, shown.provisional) == (0, True)
    assert shown.hills[-1].provisional
    told.withdraw(0, 12.0)
    shown = told.shown(12.0)
    assert (shown.count, shown.provisional, shown.hills) == (0, False, ())


def test_a_withdrawn_rep_takes_the_count_back_and_says_why(told: Told) -> None:
    told.open(10.0)
    told.confirm(1, rep(10.0))
    told.confirm(2, rep(15.0))
    assert told.shown(19.0).count == 2
    assert told.withdraw(1, 20.0) == ["count back to 1: a swing, not a rep"]
    shown = told.shown(20.0)
    assert (shown.count, len(shown.hills)) == (1, 1)


def test_a_withdrawn_rep_takes_its_cue_with_it(told: Told) -> None:
    told.open(10.0)
    told.confirm(1, rep(10.0, down_s=0.5))
    assert told.shown(13.0).cue == "slower down"
    told.withdraw(0, 14.0)
    assert told.shown(14.0).cue == ""


def test_the_phase_and_its_seconds_against_the_target(told: Told) -> None:
    told.open(10.0)
    told.fold(PhaseChanged(id=EventId(0, 1), at_s=12.0, emitted_s=12.1, phase=Phase.DOWN))
    shown = told.shown(13.5)
    assert (shown.phase, shown.phase_s, shown.phase_target_s) == (Phase.DOWN, 1.5, 2.0)
    told.close(bout(0, 10.0))
    shown = told.shown(30.0)
    assert (shown.phase, shown.phase_s, shown.phase_target_s) == (Phase.AWAY, 0.0, None)


def test_a_set_is_judged_when_it_closes_and_names_the_rest(told: Told) -> None:
    texts = told.do(bout(0, 10.0))
    assert texts[:3] == ["set 1: 3 of 3 reps", "  number of reps met", "  tempo met"]
    assert texts[-1] == "rest 60 s, then set 2"
    texts = told.do(bout(1, 90.0, down_s=0.5))
    assert texts[:3] == ["set 2: 3 of 3 reps", "  number of reps met", "  tempo missed"]  # each says what was met
    assert any("owering too quick" in text for text in texts)
    assert not any(text.startswith("rest 60 s, then") for text in texts)  # the last set has none after it


def test_a_wrong_sensor_clock_is_taken_off_before_judging(told: Told) -> None:
    """Lowering 2.0 s on a clock that runs at half speed is 4.0 s; reps of 4 s then last 8 s under tension."""
    half = ClockEstimate(ratio=2.0, offset_s=0.0, sd_ppm=50.0, span_s=100.0)
    told.open(10.0)
    told.close(bout(0, 10.0), half)
    (done,) = told.board.sets
    assert done.verdict.tut_s == pytest.approx(3 * 8.0)
    assert done.clock_ratio == 2.0
    assert told.shown(2.0 * done.end_s + 10.0).rest_left_s == pytest.approx(50.0)


def test_a_corrected_count_is_told_with_what_it_changes(told: Told) -> None:
    told.do(bout(0, 10.0, 4))
    texts = told.refine(bout(0, 10.0, 3), 0)
    assert texts[0] == "count corrected from 4 to 3, now that the whole set was seen"
    assert told.board.sets[0].verdict.count == told.shown(40.0).count == 3


def test_a_refinement_that_agrees_says_nothing_new(told: Told) -> None:
    told.do(bout(0, 10.0))
    assert told.refine(bout(0, 10.0), 0) == []


def test_a_refinement_that_finds_nothing_takes_the_set_away(told: Told) -> None:
    told.do(bout(0, 10.0))
    assert told.refine(bout(0, 10.0, 0), 0) == ["count corrected from 3 to 0, now that the whole set was seen"]
    assert told.board.sets == ()
    shown = told.shown(40.0)
    assert (shown.stage, shown.count, shown.set_number, shown.rest_left_s) == (Stage.READY, 0, 1, None)


def test_a_refinement_may_find_a_set_that_live_never_saw(told: Told) -> None:
    texts = told.refine(bout(0, 10.0))
    assert told.board.stage is Stage.REST
    assert not any("corrected" in text for text in texts)
    assert told.board.sets[0].verdict.count == 3


def test_two_live_bouts_may_turn_out_to_be_one_set(told: Told) -> None:
    told.do(bout(0, 10.0, 1))
    told.do(bout(1, 15.0, 2))
    assert told.board.stage is Stage.DONE
    told.refine(bout(0, 10.0, 3), 0, 1)
    assert [one.verdict.count for one in told.board.sets] == [3]
    assert told.board.stage is Stage.REST


def test_the_rest_counts_down_warns_once_and_ends_once(told: Told) -> None:
    done = bout(0, 10.0)
    told.do(done)
    assert told.shown(done.end_s + 20.0).rest_left_s == pytest.approx(40.0)
    assert told.hear(told.board.tick(done.end_s + 40.0)) == []
    assert told.hear(told.board.tick(done.end_s + 50.0)) == ["10 s of rest left"]
    assert told.hear(told.board.tick(done.end_s + 55.0)) == []
    assert told.hear(told.board.tick(done.end_s + 60.5)) == ["rest over: set 2 of 2"]
    assert told.hear(told.board.tick(done.end_s + 70.0)) == []
    assert told.shown(done.end_s + 70.0).rest_left_s == pytest.approx(-10.0)


def test_a_clock_that_jumps_over_the_warning_tells_the_end_alone(told: Told) -> None:
    done = bout(0, 10.0)
    told.do(done)
    assert told.hear(told.board.tick(done.end_s + 300.0)) == ["rest over: set 2 of 2"]
    assert told.hear(told.board.tick(done.end_s + 301.0)) == []


def test_a_rest_that_something_interrupts_ends_once(told: Told) -> None:
    done = bout(0, 10.0)
    told.do(done)
    assert told.hear(told.board.tick(done.end_s + 60.5)) == ["rest over: set 2 of 2"]
    told.do(bout(1, done.end_s + 61.0, 0))
    assert told.hear(told.board.tick(done.end_s + 65.0)) == []


def test_each_rest_has_an_end_of_its_own() -> None:
    told = Told(replace(ASKED, sets=3))
    told.connect()
    for number, start_s in enumerate((10.0, 90.0)):
        done = bout(number, start_s)
        told.do(done)
        assert told.hear(told.board.tick(done.end_s + 55.0)) == ["5 s of rest left"]
        assert told.hear(told.board.tick(done.end_s + 61.0)) == [f"rest over: set {number + 2} of 3"]


def test_a_dropped_set_frees_its_number_and_stays_dropped_when_refined(told: Told) -> None:
    told.do(bout(0, 10.0))
    record = told.drop_last()
    assert record is not None
    assert dropped_line(record) == "set 1 is not counted; what was measured stays"
    assert told.board.stage is Stage.READY
    told.refine(bout(0, 10.2), 0)
    assert told.board.sets == ()
    told.do(bout(1, 60.0))
    assert [one.number for one in told.board.sets] == [1]


def test_nothing_can_be_dropped_before_a_set_or_in_one(told: Told) -> None:
    assert told.drop_last() is None
    told.do(bout(0, 10.0))
    told.open(90.0)
    assert told.drop_last() is None


def test_an_unmeasurable_stretch_says_how_long_and_why(told: Told) -> None:
    span = Unmeasurable(10.0, 14.0, Why.SLIPPED)
    assert told.fold(SpanUnmeasurable(id=EventId(0, 0), at_s=10.0, emitted_s=14.0, span=span)) == [
        "4.0 s not measurable: the clip moved"
    ]


def test_the_end_tells_verdict_clock_and_what_comes_next(told: Told) -> None:
    told.do(bout(0, 10.0))
    told.do(bout(1, 90.0))
    told.board.ended = True
    told.board.next_text = ("next: from Thursday",)
    texts = told.hear(told.board.closing_moments(120.0))
    assert texts[-1] == "next: from Thursday"
    assert any("ppm" in text for text in texts)
    assert told.shown(120.0).session_verdict is not None
    assert told.board.verdict().outcome is not Outcome.NOT_MEASURABLE


def test_a_session_that_never_met_a_sensor_ends_without_a_word() -> None:
    told = Told()
    told.board.ended = True
    assert told.hear(told.board.closing_moments(30.0)) == []
    assert told.board.stage is Stage.DONE


def test_a_session_without_a_set_says_so(told: Told) -> None:
    assert told.hear(told.board.closing_moments(30.0))[0] == "No set was done."


def test_an_overlooked_rep_takes_its_place_and_the_right_one_is_taken_back(told: Told) -> None:
    told.open(5.0)
    seen = [rep(10.0, down_s=2.0), rep(20.0, down_s=2.5), rep(15.0, down_s=3.0)]  # the last one was overlooked
    for count, one in enumerate(seen, start=1):
        told.fold(RepConfirmed(id=EventId(0, count), at_s=one.end_s, emitted_s=30.0, count=count, rep=one))
    assert [hill.down_s for hill in told.shown(30.0).hills] == [2.0, 3.0, 2.5]
    gone = RepWithdrawn(id=EventId(0, 4), at_s=seen[2].end_s, emitted_s=31.0, count=2, reason="it was no rep")
    assert told.fold(gone) == ["count back to 2: it was no rep"]
    assert [hill.down_s for hill in told.shown(31.0).hills] == [2.0, 2.5]


def test_a_stretch_that_swung_is_told_and_is_no_set(told: Told) -> None:
    told.connect()
    swung = Bout(number=0, start_s=20.0, end_s=31.5, reps=(), measured=False, why=Why.SWINGING)
    assert "11.5 s not measurable: the sensor was swinging" in told.refine(swung)
    assert told.board.sets == ()


@pytest.mark.parametrize(
    "link",
    [Link(state=LinkState.LOST), Link(state=LinkState.STALLED), Link(state=LinkState.CONNECTED, missing_s=4.0)],
)
def test_no_phase_is_shown_while_nobody_knows_it(told: Told, link: Link) -> None:
    told.open(10.0)
    told.fold(PhaseChanged(id=EventId(0, 0), at_s=11.0, emitted_s=11.2, phase=Phase.DOWN))
    assert told.shown(12.0).phase is Phase.DOWN
    told.hear(told.board.on_link(link, 12.0))
    blind = told.shown(16.0)
    assert (blind.stage, blind.phase, blind.phase_s, blind.count) == (Stage.SET, Phase.AWAY, 0.0, 0)
    told.hear(told.board.on_link(Link(state=LinkState.CONNECTED, missing_s=0.1), 16.0))
    assert told.shown(16.0).phase is Phase.DOWN
