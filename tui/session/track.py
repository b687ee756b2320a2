"""One sensor's way from arrivals to events: assembly, device clock, motion. The only place that knows both sides."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Protocol

from analysis.motion.events import Event
from analysis.motion.in_session import IN_A_SESSION
from analysis.motion.mounts import Mount
from analysis.motion.pipeline import Pipeline
from analysis.motion.samples import Samples
from analysis.motion.touch import Felt, Touch
from analysis.training.prescription import Prescription
from sensor.assembly import Assembler, Block, Item, Lost, Restart
from sensor.calibration import Calibration
from sensor.clock import ClockEstimate, DeviceClock
from sensor.counted import Counted
from sensor.own.fit import Fit
from sensor.postures import Postures, Seen
from sensor.protocol import InfoFlags
from sensor.source import Arrival, Channel, LinkState
from tui.session.messages import Link


class Motion(Protocol):
    """What turns samples into events: the pipeline, or a recording that already holds them."""

    def push_live(self, samples: Samples) -> list[Event]:
        """Take the next samples that came in time; return the events they cause."""
        ...

    def settle(self, samples: Samples) -> list[Event]:
        """Take the next samples of the whole, late ones in their place; return the events they cause."""
        ...

    def part(self) -> list[Event]:
        """End what is open: until the next samples nothing is measured here; return the events this causes."""
        ...

    def finish(self) -> list[Event]:
        """End the stream; return the events this causes."""
        ...


def motion_for(mount: Mount, asked: Prescription, *, live: bool = True) -> Pipeline:
    """Return the pipeline of a session in which `asked` was to be done; not `live`: for the refined answer alone."""
    return Pipeline(mount, parameters=IN_A_SESSION, halved=asked.half_pause_s is not None, live=live)


class Track:
    """Takes arrivals in the order in which they came, and reads the sensor that counts (`sensor.counted`).

    Parameters
    ----------
    motion
        Usually a `Pipeline`.
    calibration_of
        What to apply to the counts of a sensor, by its id; None: nothing is known of any.
    postures
        Finds the still postures, of corrected samples; by default those of a body.

    Attributes
    ----------
    link
        The sensor, in words.
    """

    def __init__(
        self,
        motion: Motion,
        calibration_of: Callable[[str], Calibration] | None = None,
        postures: Postures | None = None,
    ) -> None:
        self._motion = motion
        self._calibration_of = calibration_of or (lambda _: Calibration())
        self._calibration = Calibration()
        self._timely = Counted(self._calibration_of)
        self._whole = Counted(self._calibration_of, patient=True)
        self._device_clock: DeviceClock | None = None
        self._fit = Fit()
        self._touch = Touch()
        self._given_up = 0
        self.link = Link(state=LinkState.SEARCHING)
        self.postures = postures or Postures()

    @property
    def clock(self) -> ClockEstimate:
        """The sensor's clock against the host's, as known so far."""
        return (self._device_clock or self._new_clock()).estimate()

    @property
    def felt(self) -> Felt:
        """What the sensor felt lately."""
        return self._touch.felt

    @property
    def seen(self) -> Seen:
        """The still postures as the sensor read them, not corrected."""
        corrected = self.postures.seen()
        return replace(corrected, readings=self._calibration.force.undo(corrected.readings))

    def push(self, arrival: Arrival) -> list[Event]:
        """Take one arrival; return the events it causes. Another sensor's arrivals cause none.

        Raises
        ------
        DescriptionError
            When the sensor is described, and what it sends is something else.
        """
        before = self._timely.sensor_id
        timely, whole = self._timely.push(arrival), self._whole.push(arrival)
        return self._follow(arrival, before, timely, [*self._live(timely), *self._settle(whole)])

    def _follow(self, arrival: Arrival, before: str, timely: Sequence[Item], events: list[Event]) -> list[Event]:
        """Bring up to date what an arrival changes beside the motion; return all the events that it causes."""
        if self._timely.sensor_id != before:
            events += self._meet(self._timely.sensor_id, before)
        if not self._timely.sensor_id or arrival.sensor_id == self._timely.sensor_id:
            self._note(arrival)
        if self._timely.assembler and self._whole.assembler and arrival.sensor_id == self._timely.sensor_id:
            self._fit.look(self._timely.assembler, timely)
            events += self._motion.part() if arrival.is_lent else []
            self._note_missing(self._whole.assembler)
        return events

    def finish(self) -> list[Event]:
        """End the stream: nothing more will come."""
        last = [*self._live(self._timely.finish()), *self._settle(self._whole.finish())]
        return last + self._motion.finish()

    def _meet(self, sensor_id: str, before: str) -> list[Event]:
        """Begin with a sensor; return the events that it causes to be another than the one `before`."""
        self._calibration = self._calibration_of(sensor_id)
        self.link = replace(self.link, sensor=sensor_id)
        if not before:
            return []
        self._fit, self._given_up, self.postures = Fit(), 0, Postures()
        self.link = replace(self.link, state=LinkState.CONNECTED, missing_s=0.0, battery=None)
        return self._motion.part()

    def _note(self, arrival: Arrival) -> None:
        match arrival.channel:
            case Channel.LINK if arrival.is_away:
                self.link = replace(self.link, state=LinkState.LOST)
            case Channel.LINK if not arrival.is_lent:
                self.link = replace(self.link, state=LinkState(arrival.payload.decode("ascii")))
            case Channel.BATTERY:
                self.link = replace(self.link, battery=arrival.payload[0] if arrival.payload else None)

    def _note_missing(self, whole: Assembler) -> None:
        """Bring up to date what an arrival changes: what is missing, what was given up, what came after all."""
        info, link = whole.info, self.link
        if info is None:
            return
        given_up_s = (whole.tally.lost - self._given_up) / (link.rate_hz or info.rate_hz)
        came_s = link.missing_s - whole.missing_s - given_up_s
        self._given_up = whole.tally.lost
        self.link = replace(
            link,
            rate_hz=info.rate_hz,
            loss=whole.loss,
            missing_s=whole.missing_s,
            lost_s=link.lost_s + given_up_s,
            fetched_s=link.fetched_s + max(0.0, came_s),
            keeps_s=info.ring_samples / info.rate_hz if InfoFlags.CAN_RESEND in info.flags else 0.0,
        )

    def _live(self, items: Sequence[Item]) -> list[Event]:
        events: list[Event] = []
        for item in items:
            match item:
                case Restart():
                    self._device_clock = None  # between two starts only the arrivals tell how long it took
                case Block():
                    self._device_clock = self._device_clock or self._new_clock()
                    self._device_clock.push(float(item.t_s[-1]), item.arrival_s)
                    samples = _samples(item)
                    self._touch.push(samples)
                    events += self._motion.push_live(samples)
                case Lost():
                    pass  # shows as a hole in time
        return events

    def _new_clock(self) -> DeviceClock:
        return DeviceClock(self._timely.assembler.keeping if self._timely.assembler else None)

    def _settle(self, items: Sequence[Item]) -> list[Event]:
        events: list[Event] = []
        for item in items:
            if isinstance(item, Block):
                if not item.saturated:
                    self.postures.push(item.t_s, item.force_m_s2)
                events += self._motion.settle(_samples(item))
        return events


def _samples(block: Block) -> Samples:
    return Samples(block.t_s, block.force_m_s2, block.rate_rad_s)
