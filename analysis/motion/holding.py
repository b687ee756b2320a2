"""The live counterpart of `holds.py`: a hold is told when it has lasted for `shown_s`, and again when it ends.

nothing ──quiet but alive for shown_s, after a movement──► held ──a movement──► a hold of least_s or more, or none
                                                             └──a rep──► none: it belongs to the set
"""

from __future__ import annotations

from dataclasses import dataclass

from analysis.motion.events import Event, EventId, HoldBegan, HoldEnded
from analysis.motion.grid import Stretch
from analysis.motion.holds import Tremble, at_end, is_entered, is_left, quiet_spans, tremble, ways
from analysis.motion.mounts import Mount
from analysis.motion.parameters import Parameters
from analysis.motion.results import Hold

HOLD_BOUT = -2
"""Bout of `HoldBegan` and `HoldEnded`; their ordinal counts them."""


@dataclass(slots=True)
class _Held:
    start_s: float
    last_s: float
    rise_m: float


class HoldTracker:
    """Windows in, events of holds out."""

    def __init__(self, mount: Mount, parameters: Parameters) -> None:
        self._mount = mount
        self._parameters = parameters
        self._held: _Held | None = None
        self._floor_s = float("-inf")
        self._ordinal = 0

    def look(self, window: Stretch, reps_end_s: float | None) -> list[Event]:
        """Look at the last seconds.

        Parameters
        ----------
        reps_end_s
            End of the last rep of the bout in progress; None where it has none yet.
        """
        now_s, p = float(window.t_s[-1]), self._parameters.holds
        if reps_end_s is not None:
            self._floor_s = reps_end_s + p.apart_s
            return self._end(None, now_s, now_s) if self._held else []
        felt = tremble(window, self._parameters.grid.rate_hz, p)
        span = self._last(window, felt)
        if self._held is None:
            return self._begin(window, felt, span)
        if span is not None and float(window.t_s[span.start]) <= self._held.last_s:
            self._held.last_s = float(window.t_s[span.stop - 1])
            if self._goes_on(window, span):
                return []
        return self._over(window, felt, span, now_s)

    def finish(self, now_s: float) -> list[Event]:
        """End what is held: nobody let go."""
        return self._end(None, now_s, now_s) if self._held else []

    def _last(self, window: Stretch, felt: Tremble) -> slice | None:
        rate, p = self._parameters.grid.rate_hz, self._parameters.holds
        return next(quiet_spans(felt, window.hole, self._mount, rate, p, p.shown_s), None)

    def _goes_on(self, window: Stretch, span: slice) -> bool:
        """Whether a span may still be going on: what follows is no longer than a wobble."""
        p, rate = self._parameters.holds, self._parameters.grid.rate_hz
        return bool(len(window) - span.stop < (p.wobble_s + p.over_s) * rate)

    def _begin(self, window: Stretch, felt: Tremble, span: slice | None) -> list[Event]:
        rate, p = self._parameters.grid.rate_hz, self._parameters.holds
        if span is None or span.stop < len(window) or not is_entered(felt, span, rate, p):
            return []
        start_s, now_s = float(window.t_s[span.start]), float(window.t_s[-1])
        if start_s <= self._floor_s:
            return []
        self._held = _Held(start_s, now_s, ways(window, span, self._mount, self._parameters)[0])
        return [HoldBegan(id=self._id(), at_s=start_s, emitted_s=now_s)]

    def _over(self, window: Stretch, felt: Tremble, span: slice | None, now_s: float) -> list[Event]:
        held = self._held
        if held is None or span is None or held.last_s - held.start_s < self._parameters.holds.least_s:
            return self._end(None, now_s, now_s)
        if not is_left(felt, span, self._parameters.grid.rate_hz, self._parameters.holds):
            return self._end(None, now_s, now_s)
        fall_m = ways(window, span, self._mount, self._parameters)[1]
        hold = Hold(held.start_s, held.last_s, at_end(held.rise_m, fall_m, self._parameters))
        return self._end(hold, held.last_s, now_s)

    def _end(self, hold: Hold | None, at_s: float, now_s: float) -> list[Event]:
        self._held = None
        self._floor_s = at_s
        return [HoldEnded(id=self._id(), at_s=at_s, emitted_s=now_s, hold=hold)]

    def _id(self) -> EventId:
        self._ordinal += 1
        return EventId(HOLD_BOUT, self._ordinal - 1)
