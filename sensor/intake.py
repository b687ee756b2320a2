"""What one sensor sends, on its way to whoever reads: stamped, bounded, and looked through for what is missing."""

from __future__ import annotations

from sensor.allowance import Allowance, needs
from sensor.backfill import BackFill
from sensor.inbox import Inbox
from sensor.source import Arrival, Channel

_TOO_MUCH = "sends more than it says that it does: what is too much is left out"
_TOO_SLOW = "sends faster than this computer reads: some packets are left out, and asked for again where it keeps them"


class Intake:
    """Takes one sensor's payloads as they come.

    Parameters
    ----------
    inbox
        Where they go.
    bytes_per_s
        How much the sensor sends; None: it says so itself.

    Attributes
    ----------
    back_fill
        Knows what is missing.
    refused
        Packets left out because the sensor sent more than any sensor needs.
    """

    def __init__(self, inbox: Inbox, bytes_per_s: float | None = None) -> None:
        self.back_fill, self.refused = BackFill(), 0
        self._inbox, self._bytes_per_s = inbox, bytes_per_s
        self._allowance = Allowance()
        self._told: set[str] = set()

    def take(self, arrival: Arrival) -> None:
        """Pass on one payload, unless it is too much."""
        if arrival.channel is Channel.DATA and not self._allowance.take(len(arrival.payload), arrival.at_s):
            self.refused += 1
            self.tell_once(arrival, _TOO_MUCH)
        elif self._inbox.put(arrival):
            self.back_fill.heard(arrival.channel, arrival.payload, arrival.at_s)
            if arrival.channel is Channel.INFO:
                self._expect()
        elif self._inbox.dropped:
            self.tell_once(arrival, _TOO_SLOW)

    def tell_once(self, beside: Arrival, sentence: str) -> None:
        """Tell something of the sensor with what came from it, the first time it is so."""
        if sentence not in self._told:
            self._told.add(sentence)
            self._inbox.put(Arrival(beside.sensor_id, beside.at_s, Channel.NOTICE, sentence.encode()))

    def _expect(self) -> None:
        info = self.back_fill.info
        bytes_per_s = self._bytes_per_s or (needs(info) if info else None)
        if bytes_per_s is not None:
            self._allowance.expect(bytes_per_s)
