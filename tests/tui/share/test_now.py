"""What a station tells of the moment is as its schema has it (JSON Schema 2020-12), and told no oftener than needed."""

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from analysis.motion.events import Phase
from analysis.training.verdict import Outcome
from sensor.source import LinkState
from tests.tui.screen_feed import FULL, GOOD, HILLS, PRESCRIPTION, TARGET, set_verdict
from tui.session.messages import Hill, Link, Snapshot, Stage
from tui.share.checked import check, schema_of
from tui.share.envelope import Event, from_bytes, to_bytes
from tui.share.now import GOES_ON_S, MOST_GAP_S, RATE_PER_S, Felt, Pace, now_of
from tui.share.topics import Kind
from tui.views.turn_view import TurnRow, TurnsView

SET = Snapshot(
    trainee="Mara Lindt",
    stage=Stage.SET,
    prescription=PRESCRIPTION,
    link=GOOD,
    set_number=2,
    count=7,
    phase=Phase.DOWN,
    phase_s=1.2,
    phase_target_s=2.0,
    hills=HILLS,
    target=TARGET,
    closed=(set_verdict(),),
)
REST = replace(SET, stage=Stage.REST, phase=Phase.AWAY, phase_s=0.0, rest_left_s=62.0, hills=FULL)
ANY_S = st.floats(-1e9, 1e9) | st.none()


def test_a_set_as_it_is_told() -> None:
    told = now_of(SET, Felt(3))
    assert (told["trainee"], told["stage"], told["reps"], told["sets"]) == ("Mara Lindt", "set", 10, 3)
    assert (told["set_number"], told["count"], told["phase"], told["phase_s"]) == (2, 7, "down", 1.2)
    assert (told["pain"], told["stop"], told["link"]["battery"]) == (3, "", 82)
    assert told["closed"] == [{"count": 10, "asked": 10, "outcome": "missed", "remark": ""}]
    assert len(told["hills"]) == 7
    check(told, schema_of(Kind.NOW))


def test_nothing_is_asked_of_a_recording() -> None:
    told = now_of(replace(SET, prescription=replace(PRESCRIPTION, sets=0, reps=0)))
    assert (told["asked"], told["reps"], told["sets"]) == ("", None, None)
    check(told, schema_of(Kind.NOW))


def test_who_shares_the_bar_is_told_in_their_order() -> None:
    view = TurnsView(rows=(TurnRow(name="Jonas Reiter"), TurnRow(name="Mara Lindt")))
    assert now_of(replace(REST, turns=view))["turns"] == ["Jonas Reiter", "Mara Lindt"]


@settings(max_examples=20)  # 350 hills are held against the schema each time
@given(
    st.text(max_size=500),
    st.lists(
        st.builds(Hill, up_s=ANY_S, top_s=ANY_S, down_s=ANY_S, bottom_s=ANY_S, height=st.floats(-1, 99)), max_size=5
    ),
    st.sampled_from(LinkState),
    st.integers(-5, 200) | st.none(),
    st.floats(-1, 2),
    st.integers(-(10**6), 10**6),
    ANY_S,
)
def test_whatever_is_shown_keeps_to_the_schema(
    text: str, hills: list[Hill], state: LinkState, battery: int | None, loss: float, number: int, seconds: float | None
) -> None:
    link = Link(state=state, sensor=text, battery=battery, loss=loss, missing_s=seconds or 0.0)
    closed = (replace(set_verdict(remark=text), target_reps=0),) * 250
    shown = replace(
        SET,
        trainee=text,
        cue=text,
        link=link,
        hills=tuple(hills) * 70,
        count=number,
        set_number=number,
        rest_left_s=seconds,
        closed=closed,
        turns=TurnsView(rows=(TurnRow(name=text),) * 50),
    )
    event = Event(
        source="/station/rack-3/2f1c1e0a-7a55-4d0f-9b0e-0d4f6c1a9e11",
        id="n-1",
        kind=Kind.NOW,
        data=now_of(shown, Felt(10, text)),
        at_utc_us=0,
    )
    assert from_bytes(to_bytes(event), Kind.NOW) == event  # the way in holds it against the schema


def _told(shown: Snapshot, times_s: list[float]) -> list[float]:
    """Return when it is told, while nothing but the clocks goes on."""
    pace, told = Pace(), []
    for at_s in times_s:
        left_s = None if shown.rest_left_s is None else shown.rest_left_s - at_s
        if pace.wants(now_of(replace(shown, elapsed_s=at_s, rest_left_s=left_s)), at_s):
            told.append(at_s)
    return told


def test_a_rest_is_told_each_five_seconds() -> None:
    told = _told(REST, [0.05 * step for step in range(400)])
    assert told == pytest.approx([0.0, 5.0, 10.0, 15.0], abs=0.1)


def test_a_phase_that_goes_on_is_told_five_times_a_second_at_most() -> None:
    pace, told = Pace(), 0
    for step in range(200):
        told += pace.wants(now_of(replace(SET, phase_s=0.02 * step)), 0.02 * step)
    assert 17 <= told <= 4.0 / GOES_ON_S + 1  # in four seconds


@pytest.mark.parametrize(
    "change",
    [
        {"count": 8},
        {"stage": Stage.DONE},
        {"phase": Phase.BOTTOM},
        {"cue": "longer"},
        {"link": replace(GOOD, state=LinkState.LOST)},
        {"rest_left_s": 30.0},
        {"rest_left_s": None},
    ],
)
def test_a_change_is_told_at_once(change: dict[str, Any]) -> None:
    pace = Pace()
    assert pace.wants(now_of(REST), 0.0)
    assert not pace.wants(now_of(replace(REST, rest_left_s=61.99)), 0.01)
    assert pace.wants(now_of(replace(REST, **change)), 0.02)


@given(st.lists(st.tuples(st.floats(0.001, 3.0), st.integers(0, 3)), max_size=60))
def test_it_is_never_told_oftener_and_the_last_is_told_in_time(steps: list[tuple[float, int]]) -> None:
    pace, now_s, told = Pace(), 0.0, []
    for step_s, count in steps:
        now_s += step_s
        if pace.wants(now_of(replace(REST, count=count)), now_s):
            told.append((now_s, count))
        assert now_s - told[-1][0] < MOST_GAP_S
        if told[-1][1] != count:
            assert pace.wait_s(now_s) > 0.0
            assert now_s - told[-1][0] < 1 / RATE_PER_S + 1e-9
    times_s = [at_s for at_s, _ in told]
    assert all(sum(at_s <= one_s < at_s + 1.0 for one_s in times_s) <= 10 for at_s in times_s)


def test_what_may_be_lost_is_told_again() -> None:
    pace = Pace()
    assert pace.wants(now_of(REST), 0.0)
    pace.forget()
    assert pace.wants(now_of(REST), 0.01)


def test_outcomes_are_told_in_the_words_of_the_verdicts() -> None:
    hills = tuple(replace(HILLS[0], outcome=one) for one in (*Outcome, None))
    assert [one["outcome"] for one in now_of(replace(SET, hills=hills))["hills"]] == [*Outcome, None]
