"""What a station tells of the moment: a snapshot as the data of `now`, and when it is worth telling; pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from tui.session.messages import Hill, Link, Snapshot
from tui.views.turn_view import TurnsView
from tui.words import format as words

MOST_HILLS, MOST_SETS, MOST_TURNS = 300, 200, 40
"""As the schema of `now` has it; of more, the newest are told."""
SHORT, LONG, MOST_NUMBER, MOST_S = 80, 400, 10_000, 1_000_000.0
AT_ONCE, RATE_PER_S = 3.0, 7.0
"""So many changes may follow each other at once, and so many a second in the long run: never more than ten a second."""
GOES_ON_S = 0.2
"""A phase that only goes on is told no oftener, so that a rep need not wait for its turn."""
MOST_GAP_S = 5.0
"""It is told at least so often: who listens knows from silence that something is wrong."""
JUMP_S = 0.5
"""A rest clock that departs from the time that passed by more was set anew."""
_RUNS_ON = frozenset({"elapsed_s", "rest_left_s", "phase_s"})
"""Who listens lets these go on by time alone; a phase is told as it goes on all the same, since it is drawn."""


@dataclass(frozen=True, slots=True)
class Felt:
    """What somebody said of themselves today.

    Attributes
    ----------
    pain
        Worst so far, 0 to 10; None where nobody asked or answered.
    stop
        Why nothing more is trained today, in words; empty: nothing is against it.
    """

    pain: int | None = None
    stop: str = ""


UNASKED = Felt()


def now_of(shown: Snapshot, felt: Felt = UNASKED) -> dict[str, Any]:
    """Return a snapshot as the data of `now` (schema `now.1.json`)."""
    asked = shown.prescription
    return {
        "trainee": _cut(shown.trainee, 200),
        "stage": shown.stage.value,
        "rung": _cut(asked.exercise.name, 200),
        "asked": _cut(words.prescription_line(asked), LONG) if asked.sets else "",
        "reps": _number(asked.reps) if asked.sets and asked.hold_s is None else None,
        "sets": _number(asked.sets) if asked.sets else None,
        "set_number": _number(shown.set_number),
        "warm_up": _number(shown.warm_up),
        "count": _number(shown.count),
        "provisional": shown.provisional,
        "phase": shown.phase.value,
        "phase_s": _seconds(shown.phase_s),
        "phase_target_s": _seconds_or_none(shown.phase_target_s),
        "rest_left_s": _seconds_or_none(shown.rest_left_s),
        "cue": _cut(shown.cue, SHORT),
        "ended": shown.ended,
        "elapsed_s": _seconds(shown.elapsed_s),
        "hills": [_hill(one) for one in shown.hills[-MOST_HILLS:]],
        "target": _hill(shown.target),
        "closed": [
            {
                "count": _number(one.count),
                "asked": _number(one.target_reps) if one.target_reps else None,
                "outcome": one.outcome.value,
                "remark": _cut(one.remark, LONG),
            }
            for one in shown.closed[-MOST_SETS:]
        ],
        "pain": felt.pain,
        "stop": _cut(felt.stop, LONG),
        "link": _link(shown.link),
        "turns": _turns(shown.turns),
    }


class Pace:
    """Says when what a station shows is worth telling; its times are of a clock that only goes forward, s."""

    def __init__(self) -> None:
        self._told: Mapping[str, Any] | None = None
        self._told_s = float("-inf")
        self._left = AT_ONCE

    def wait_s(self, now_s: float) -> float:
        """Return how long nothing may be told again, s."""
        return max(0.0, 1.0 - self._allowance(now_s)) / RATE_PER_S

    def wants(self, data: Mapping[str, Any], now_s: float) -> bool:
        """Whether this is to be told now: it is new, or it was silent for long. What is wanted counts as told."""
        left = self._allowance(now_s)
        if left < 1.0 or not self._is_news(data, now_s):
            return False
        self._told, self._told_s, self._left = data, now_s, left - 1.0
        return True

    def forget(self) -> None:
        """Take what was told for lost: the next is told whatever it is."""
        self._told = None

    def _allowance(self, now_s: float) -> float:
        return min(AT_ONCE, self._left + RATE_PER_S * (now_s - self._told_s))

    def _is_news(self, data: Mapping[str, Any], now_s: float) -> bool:
        if self._told is None or now_s - self._told_s >= MOST_GAP_S:
            return True
        before, passed_s = self._told, now_s - self._told_s
        if any(data[key] != before[key] for key in data if key not in _RUNS_ON):
            return True
        if data["phase_s"] != before["phase_s"] and passed_s >= GOES_ON_S:
            return True
        left_s, left_before_s = data["rest_left_s"], before["rest_left_s"]
        if left_s is None or left_before_s is None:
            return left_s is not left_before_s
        return bool(abs(left_before_s - left_s - passed_s) > JUMP_S)


def _link(link: Link) -> dict[str, Any]:
    return {
        "state": link.state.value[:20],
        "sensor": _cut(link.sensor, SHORT),
        "battery": None if link.battery is None else min(100, max(0, link.battery)),
        "loss": min(1.0, max(0.0, round(link.loss, 4))),
        "missing_s": _seconds(link.missing_s),
        "lost_s": _seconds(link.lost_s),
    }


def _hill(one: Hill) -> dict[str, Any]:
    return {
        "up_s": _seconds_or_none(one.up_s),
        "top_s": _seconds_or_none(one.top_s),
        "down_s": _seconds_or_none(one.down_s),
        "bottom_s": _seconds_or_none(one.bottom_s),
        "height": min(10.0, max(0.0, round(one.height, 3))),
        "two_summits": one.two_summits,
        "counted": one.counted,
        "provisional": one.provisional,
        "outcome": one.outcome.value if one.outcome else None,
    }


def _turns(view: TurnsView | None) -> list[str]:
    """Return who shares the bar: whose turn it is first."""
    return [_cut(row.name, 200) for row in view.rows[:MOST_TURNS]] if view else []


def _number(value: int) -> int:
    return min(MOST_NUMBER, max(0, value))


def _seconds(value: float) -> float:
    return round(min(MOST_S, max(-MOST_S, value)), 2)


def _seconds_or_none(value: float | None) -> float | None:
    return None if value is None else _seconds(value)


def _cut(text: str, most: int) -> str:
    return text if len(text) <= most else f"{text[: most - 1]}…"
