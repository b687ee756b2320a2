"""What had been told live by a moment; the moments follow from the made-up session (`retrace_feed`) or the events."""

from __future__ import annotations

import pytest
from retrace_feed import FIRST_S, LIVE, REP_S, SECOND_S, live_phases, live_rep

from analysis.motion.events import (
    BoutClosed,
    BoutOpened,
    BoutRefined,
    EventId,
    Phase,
    PhaseChanged,
    RepConfirmed,
    RepProvisional,
    RepWithdrawn,
)
from analysis.motion.results import Bout, Rep
from tui.retrace.live import Live, LivePhase, LiveState, live_of
from tui.widgets.canvas import Canvas, plain
from tui.widgets.retrace_rows import draw_live, live_name
from tui.widgets.retrace_scale import Scale


def _rep(start_s: float) -> Rep:
    return Rep(start_s=start_s, top_s=start_s + 1, down_s=start_s + 2, end_s=start_s + 4)


def test_what_was_told_live_comes_from_the_events() -> None:
    def said(bout: int, at_s: float) -> dict[str, object]:
        return {"id": EventId(bout, 0), "at_s": at_s, "emitted_s": at_s}

    bout = Bout(number=0, start_s=0.0, end_s=9.0, reps=())
    events = [
        RepProvisional(**said(0, 1.0), count=1, start_s=0.0, top_s=1.0),  # type: ignore[arg-type]
        RepConfirmed(**said(0, 4.5), count=1, rep=_rep(0.0)),  # type: ignore[arg-type]
        RepConfirmed(**said(0, 9.5), count=2, rep=_rep(5.0)),  # type: ignore[arg-type]
        RepProvisional(**said(0, 11.0), count=3, start_s=10.0, top_s=11.0),  # type: ignore[arg-type]
        RepWithdrawn(**said(0, 13.0), count=2, reason="it never came down"),  # type: ignore[arg-type]
        RepWithdrawn(**said(0, 9.0), count=1, reason="a step"),  # type: ignore[arg-type]
        BoutClosed(**said(0, 14.0), bout=bout),  # type: ignore[arg-type]
        RepProvisional(**said(1, 31.0), count=1, start_s=30.0, top_s=31.0),  # type: ignore[arg-type]
        RepWithdrawn(**said(1, 32.0), count=0, reason="it never came down"),  # type: ignore[arg-type]
        RepProvisional(**said(1, 41.0), count=1, start_s=40.0, top_s=41.0),  # type: ignore[arg-type]
    ]
    told = live_of(events).reps
    assert [(one.start_s, one.state) for one in told] == [
        (0.0, LiveState.COUNTED),
        (5.0, LiveState.WITHDRAWN),
        (10.0, LiveState.WITHDRAWN),
        (30.0, LiveState.WITHDRAWN),
        (40.0, LiveState.PROVISIONAL),
    ]
    assert (told[1].why, told[2].why) == ("a step", "it never came down")
    assert [(one.announced_s, one.counted_s, one.withdrawn_s) for one in told] == [
        (1.0, 4.5, None),
        (None, 9.5, 9.0),
        (11.0, None, 13.0),
        (31.0, None, 32.0),
        (41.0, None, None),
    ]


def test_phases_counts_and_refinements_come_with_the_time_at_which_they_were_told() -> None:
    def said(at_s: float, told_s: float) -> dict[str, object]:
        return {"id": EventId(0, 0), "at_s": at_s, "emitted_s": told_s}

    bout = Bout(number=0, start_s=0.0, end_s=9.0, reps=(_rep(0.0),))
    live = live_of(
        [
            BoutOpened(**said(0.0, 0.5)),  # type: ignore[arg-type]
            PhaseChanged(**said(0.0, 0.6), phase=Phase.UP),  # type: ignore[arg-type]
            RepProvisional(**said(1.0, 1.4), count=1, start_s=0.0, top_s=1.0),  # type: ignore[arg-type]
            RepConfirmed(**said(4.0, 4.5), count=1, rep=_rep(0.0)),  # type: ignore[arg-type]
            BoutClosed(**said(9.0, 14.0), bout=bout),  # type: ignore[arg-type]
            BoutRefined(**said(9.0, 15.0), bout=bout, supersedes=(0,)),  # type: ignore[arg-type]
        ]
    )
    assert live.phases == (LivePhase(Phase.UP, 0.0, 0.6),)
    assert live.refined_s == (15.0,)
    names = {0.4: "live", 0.5: "live 0", 1.4: "live 0, 1?", 4.5: "live 1", 13.9: "live 1", 14.0: "live"}
    assert {at_s: live_name(live, at_s) for at_s in names} == names


@pytest.mark.parametrize(
    ("after_s", "state", "end_s"),
    [(1.39, None, None), (1.4, LiveState.PROVISIONAL, 1.0), (4.29, LiveState.PROVISIONAL, 1.0), (4.3, "last", 3.9)],
)
def test_a_rep_is_known_by_what_had_been_told(after_s: float, state: LiveState | str | None, end_s: float) -> None:
    """Its top is told 1.4 s after it began, its end 4.3 s after; until then it ends where its top was."""
    for became, why in ((LiveState.COUNTED, ""), (LiveState.WITHDRAWN, "it never came down")):
        rep = live_rep(3, 20.0, became, why)
        by_then = rep.by(20.0 + after_s)
        if state is None:
            assert by_then is None
            continue
        assert by_then is not None
        assert end_s is not None
        assert by_then.state == (became if state == "last" else state)
        assert by_then.end_s == 20.0 + (end_s if became is LiveState.COUNTED else 1.0)
        assert bool(by_then.why) is (by_then.state is LiveState.WITHDRAWN)


def test_a_rep_that_was_counted_and_then_taken_back_stands_in_between() -> None:
    def said(at_s: float) -> dict[str, object]:
        return {"id": EventId(0, 0), "at_s": at_s, "emitted_s": at_s}

    (rep,) = live_of(
        [
            RepConfirmed(**said(4.5), count=1, rep=_rep(0.0)),  # type: ignore[arg-type]
            RepWithdrawn(**said(7.0), count=0, reason="a step"),  # type: ignore[arg-type]
        ]
    ).reps
    stands, gone = rep.by(6.9), rep.by(7.0)
    assert stands is not None
    assert gone is not None
    assert (stands.state, stands.end_s, stands.why) == (LiveState.COUNTED, 4.0, "")
    assert (gone.state, gone.why) == (LiveState.WITHDRAWN, "a step")


def test_what_moves_now_is_known_as_far_as_it_was_told() -> None:
    """The lowering begins at 2 s and is told a second later: until then the top goes on."""
    start_s = FIRST_S + REP_S
    up, top = (Phase.UP, start_s, start_s + 1.0), (Phase.TOP, start_s + 1.0)
    assert LIVE.moving_at(start_s + 0.1) == ((Phase.BOTTOM, start_s - 0.6, start_s + 0.1),)
    assert LIVE.moving_at(start_s + 2.9)[1:] == (up, (*top, start_s + 2.9))
    down = (Phase.DOWN, start_s + 2.0, start_s + 3.0)
    assert LIVE.moving_at(start_s + 3.0)[1:] == (up, (*top, start_s + 2.0), down)
    assert LIVE.moving_at(start_s + 4.3) == ((Phase.BOTTOM, start_s + 3.9, start_s + 4.3),)


def test_a_phase_told_anew_takes_the_place_of_those_from_its_begin_on() -> None:
    again = Live(phases=(*live_phases(0.0)[:3], LivePhase(Phase.UP, 1.8, 3.2)))
    assert again.moving_at(3.1)[-1] == (Phase.DOWN, 2.0, 3.1)
    assert again.moving_at(4.0) == ((Phase.UP, 0.0, 1.0), (Phase.TOP, 1.0, 1.8), (Phase.UP, 1.8, 4.0))


def drawn(at_s: float) -> str:
    """The row of the first set at ten cells a second, from its first rep on."""
    canvas = Canvas(300, 1)
    draw_live(canvas, LIVE, at_s, Scale(FIRST_S, FIRST_S + 30.0, 300), 0)
    (row,) = plain(canvas.rows())
    return row


def test_the_row_uncovers_itself() -> None:
    """Nothing lies beyond the head but what had been told of it; each rep has its number once it is counted."""
    ends = []
    for tenth in range(260):
        row = drawn(FIRST_S + tenth / 10)
        assert not row[tenth + 1 :].strip(), tenth
        ends.append(len(row.rstrip()))
    assert ends == sorted(ends)
    second = FIRST_S + REP_S
    assert [sign for sign in drawn(second + 4.2) if sign in "1234?"] == ["1", "?"]
    assert [sign for sign in drawn(second + 4.3) if sign in "1234?"] == ["1", "2"]


def test_when_a_set_was_seen_whole_is_shown_once_it_was() -> None:
    whole_s = LIVE.refined_s[0]
    assert "≡" not in drawn(whole_s - 0.1)
    assert drawn(whole_s)[round((whole_s - FIRST_S) * 10)] == "≡"
    assert whole_s < SECOND_S
