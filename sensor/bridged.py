"""A sensor behind a gateway, as the host sees it: letters in, arrivals out, in the order of a radio's; sans-I/O.

It is connected once it is known what it is and anything says that it is there: a packet, new information, or the
gateway's word. It is lost when the gateway says so, when the gateway or the broker goes, or by silence.
"""

from __future__ import annotations

from sensor.allowance import Allowance
from sensor.inbox import Inbox
from sensor.intake import Intake
from sensor.protocol import Info, ProtocolError, encode_command
from sensor.source import Arrival, Channel, LinkState

LONGEST = 512
"""Longest value of an attribute (Bluetooth Core Specification, Vol 3, Part F, 3.2.9)."""
MOST_WAITING = 4096
_SLICES = 4
_CONNECTED = LinkState.CONNECTED.value.encode()
_GONE = frozenset(state.value.encode() for state in (LinkState.SEARCHING, LinkState.LOST, LinkState.STALLED))
_NO_INFO = "sends before its gateway has said what it is: let the gateway keep the information at the broker (retained)"
_NO_SENSOR = "is passed on with information that cannot be read: update Rungwise or the firmware"


class Bridged:
    """One sensor behind a gateway.

    Parameters
    ----------
    sensor_id
        What its arrivals are called.
    now_s
        Time, on the clock of its arrivals.
    stall_s
        Silent for so long it is lost, seconds of that clock.

    Attributes
    ----------
    inbox
        Its arrivals.
    is_up
        Whether it is connected now.
    was_met
        Whether it ever was.
    """

    def __init__(self, sensor_id: str, now_s: float, stall_s: float) -> None:
        self.sensor_id, self.inbox = sensor_id, Inbox(MOST_WAITING)
        self.is_up = self.was_met = False
        self._refused = 0
        self._intake, self._beside = Intake(self.inbox), Allowance()
        self._kept: dict[Channel, bytes] = {}
        self._stall_s, self._quiet_s, self._last_s, self._looked_s = stall_s, 0.0, now_s, now_s

    @property
    def dropped(self) -> int:
        """Letters dropped because the reader was too slow, or too many or too long ones came."""
        return self.inbox.dropped + self._intake.refused + self._refused

    def take(self, channel: Channel, payload: bytes, at_s: float, *, is_old: bool) -> None:
        """Take what came from it.

        Parameters
        ----------
        is_old
            The broker had kept it: it may be from long ago.
        """
        at_s = self._last_s = max(self._last_s, at_s)
        is_data = channel is Channel.DATA
        if len(payload) > LONGEST or not (is_data or self._beside.take(LONGEST, at_s)):
            self._refused += 1
            return
        match channel:
            case Channel.LINK if not is_old and payload == _CONNECTED:
                self._meet(at_s)
            case Channel.LINK if not is_old and payload in _GONE:
                self.lose(at_s)
            case Channel.INFO:
                self._take_info(payload, at_s, is_old=is_old)
            case Channel.BATTERY:
                self._keep(channel, payload, at_s)
            case Channel.DATA if not is_old:
                self._take_data(payload, at_s)

    def lose(self, at_s: float, *, silent: bool = False) -> None:
        """Take note that it is not connected any more."""
        if self.is_up:
            self.is_up = False
            states = (LinkState.STALLED, LinkState.LOST, LinkState.SEARCHING)
            for state in states if silent else states[1:]:
                self._note(state, at_s)

    def look(self, now_s: float) -> None:
        """Let time pass: silence for too long is a loss.

        A host that was busy itself does not take its own pause for the sensor's.
        """
        self._quiet_s += min(now_s - self._looked_s, self._stall_s / _SLICES)
        self._looked_s = now_s
        if self.is_up and self._quiet_s >= self._stall_s:
            self.lose(max(now_s, self._last_s), silent=True)

    def ask(self, now_s: float) -> bytes | None:
        """Return what to write to its control characteristic now; None: nothing is missing, or it is not there."""
        request = self._intake.back_fill.ask(now_s) if self.is_up else None
        return None if request is None else encode_command(request)

    def tell(self, at_s: float, sentence: str) -> None:
        """Tell something of it that the link's states do not."""
        at_s = self._last_s = max(self._last_s, at_s)
        self.inbox.put(Arrival(self.sensor_id, at_s, Channel.NOTICE, sentence.encode()))

    def _take_info(self, payload: bytes, at_s: float, *, is_old: bool) -> None:
        try:
            Info.from_bytes(payload)
        except ProtocolError:
            self._intake.tell_once(self._arrival(Channel.INFO, b"", at_s), _NO_SENSOR)
            return
        if is_old and self._kept.get(Channel.INFO) == payload:
            return
        self._keep(Channel.INFO, payload, at_s)
        if not is_old:
            self._meet(at_s)

    def _keep(self, channel: Channel, payload: bytes, at_s: float) -> None:
        self._kept[channel] = payload
        if self.is_up:
            self._intake.take(self._arrival(channel, payload, at_s))

    def _take_data(self, payload: bytes, at_s: float) -> None:
        if Channel.INFO not in self._kept:
            self._intake.tell_once(self._arrival(Channel.DATA, b"", at_s), _NO_INFO)
            return
        self._meet(at_s)
        self._quiet_s = 0.0
        self._intake.take(self._arrival(Channel.DATA, payload, at_s))

    def _meet(self, at_s: float) -> None:
        if self.is_up or Channel.INFO not in self._kept:
            return
        self.is_up, self.was_met, self._quiet_s = True, True, 0.0
        self._note(LinkState.CONNECTED, at_s)
        for channel in (Channel.INFO, Channel.BATTERY):
            if channel in self._kept:
                self._intake.take(self._arrival(channel, self._kept[channel], at_s))

    def _note(self, state: LinkState, at_s: float) -> None:
        self._intake.take(self._arrival(Channel.LINK, state.value.encode(), at_s))

    def _arrival(self, channel: Channel, payload: bytes, at_s: float) -> Arrival:
        return Arrival(self.sensor_id, at_s, channel, payload)
