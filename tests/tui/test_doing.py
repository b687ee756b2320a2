"""Which phase the screen shows: the events are those of the demonstration's third set, its times rounded."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest
from board_told import ASKED, Told, rep

from analysis.motion.events import EventId, Phase, PhaseChanged, RepProvisional
from analysis.training.prescription import Tempo
from tui.session.board import QUIET_S
from tui.session.doing import BELIEVED_S, phase_after, phase_target_s

Change = tuple[float, Phase, float]
"""When it was told, the phase, when it began."""
LOWERED: list[Change] = [(20.2, Phase.TOP, 20.0), (20.6, Phase.DOWN, 20.2), (22.2, Phase.BOTTOM, 22.0)]


def at(told: Told, changes: Sequence[Change], now_s: float) -> tuple[Phase, float]:
    for emitted_s, phase, at_s in changes:
        told.fold(PhaseChanged(id=EventId(0, 0), at_s=at_s, emitted_s=emitted_s, phase=phase))
    shown = told.shown(now_s)
    return shown.phase, shown.phase_s


@pytest.fixture
def told() -> Told:
    one = Told()
    one.connect()
    one.open(10.0)
    return one


def test_a_phase_is_shown_from_when_it_began(told: Told) -> None:
    assert at(told, LOWERED[:2], 20.6) == (Phase.DOWN, pytest.approx(0.4))


def test_a_lowering_that_was_over_does_not_count_on_while_it_flickers(told: Told) -> None:
    flicker = [(22.4, Phase.DOWN, 20.2), (22.8, Phase.BOTTOM, 22.7), (23.0, Phase.DOWN, 20.2)]
    assert at(told, LOWERED, 22.3)[0] is Phase.BOTTOM
    for change in flicker:
        phase, phase_s = at(told, [change], change[0] + 0.3)
        assert (phase, phase_s < 1.5) == (Phase.BOTTOM, True)


def test_a_lowering_that_paused_and_goes_on_is_counted_from_its_begin(told: Told) -> None:
    goes_on = [*LOWERED, (22.6, Phase.DOWN, 20.2)]
    assert at(told, goes_on, 22.6 + BELIEVED_S - 0.1)[0] is Phase.BOTTOM
    assert at(told, (), 22.6 + BELIEVED_S + 0.1) == (Phase.DOWN, pytest.approx(2.4 + BELIEVED_S + 0.1))
    assert at(told, [(24.0, Phase.BOTTOM, 23.8)], 24.0)[0] is Phase.BOTTOM


def test_the_next_phase_is_shown_at_once_though_it_moves_the_boundary_back(told: Told) -> None:
    assert at(told, [*LOWERED, (22.4, Phase.UP, 21.96)], 22.4)[0] is Phase.UP


def test_after_the_last_rep_asked_for_nothing_is_shown_that_has_not_ended_as_a_rep(told: Told) -> None:
    """Getting off the bar goes up and comes to rest like the begin of one more rep."""
    for count in (1, 2, 3):
        assert at(told, [(20.6, Phase.DOWN, 20.2)], 22.3)[0] is Phase.DOWN
        told.confirm(count, rep(10.0 + 5 * count))
    told.fold(RepProvisional(id=EventId(0, 0), at_s=31.0, emitted_s=31.2, count=4, start_s=30.0, top_s=31.0))
    shown = told.shown(31.3)
    assert (shown.phase, shown.phase_s, shown.phase_target_s) == (Phase.AWAY, 0.0, None)
    assert (shown.count, shown.provisional, len(shown.hills)) == (3, False, 3)
    told.confirm(4, rep(30.0))
    shown = told.shown(35.0)
    assert (shown.count, len(shown.hills)) == (4, 4)


def test_a_phase_does_not_last_on_while_no_sample_comes(told: Told) -> None:
    """The link may be lost for seconds before the radio tells."""
    told.board.heard(20.6)
    assert at(told, LOWERED[:2], 20.6 + QUIET_S - 0.1)[0] is Phase.DOWN
    assert at(told, (), 20.6 + QUIET_S + 0.1) == (Phase.AWAY, 0.0)
    told.board.heard(22.0)
    assert at(told, (), 22.1)[0] is Phase.DOWN


@pytest.mark.parametrize(
    ("tempo", "last", "after"),
    [
        (Tempo(2, 0, 1, 1), False, "top down up up"),
        (Tempo(2, 1, 1, 0), False, "down down bottom up"),
        (Tempo(2, 1, 1, 1), False, "top down bottom up"),
        (Tempo(2, 1, 1, 1), True, "top down away up"),
        (Tempo(0, 0, None, 0), False, "down down up up"),
    ],
)
def test_what_a_tempo_asks_for_next(tempo: Tempo, last: bool, after: str) -> None:
    """After up, top, down and bottom, by the order of a pull-up; a phase of no length is passed over."""
    asked = replace(ASKED, tempo=tempo)
    phases = (Phase.UP, Phase.TOP, Phase.DOWN, Phase.BOTTOM)
    assert " ".join(phase_after(asked, phase, last=last) for phase in phases) == after


@pytest.mark.parametrize("phase", [Phase.AWAY, Phase.HANG])
def test_nothing_is_asked_for_after_what_is_no_phase_of_a_rep(phase: Phase) -> None:
    assert phase_after(ASKED, phase, last=False) is Phase.AWAY


def test_where_a_phase_comes_twice_nobody_is_told_what_is_next() -> None:
    halved = replace(ASKED, half_pause_s=1.0)
    assert phase_after(halved, Phase.DOWN, last=False) is Phase.AWAY


def test_where_a_phase_comes_twice_its_time_is_held_against_nothing() -> None:
    """Half of the way down and the stop after it are no lowering: "met" would be told of what nobody measured."""
    halved = replace(ASKED, half_pause_s=1.0)
    phases = (Phase.UP, Phase.TOP, Phase.DOWN, Phase.BOTTOM)
    assert any(phase_target_s(ASKED, phase) for phase in phases)
    assert [phase_target_s(halved, phase) for phase in phases] == [None] * 4
