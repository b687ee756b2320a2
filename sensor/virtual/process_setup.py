"""What the virtual sensor's process is told when it starts, as one line of JSON."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

from cattrs.preconf.json import JsonConverter, make_converter

from sensor.virtual.faults import Faults
from sensor.virtual.motion import FeedSpec, TraineeFeed
from sensor.virtual.packets import LARGEST_ATT_MTU

LOOPBACK = "127.0.0.1"
# Static random addresses: the two highest bits are set (Bluetooth Core Specification, Vol 6, Part B, 1.3.2.1).
SENSOR_ADDRESS = "F2:52:57:00:00:01"
ADAPTER_ADDRESS = "F2:52:57:00:00:02"
TABLE_TOP_ADDRESS = "F2:52:57:00:00:04"
"""Another sensor than the demonstration's: what is learnt of the one is not the other's."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Setup:
    """One virtual sensor.

    Attributes
    ----------
    feed
        What it measures.
    speed
        Seconds of its clock per real second.
    boot_id
        Its boot id.
    faults
        What shall go wrong.
    max_att_mtu
        Largest ATT MTU that it agrees to.
    private
        It speaks over an encrypted link only.
    address
        Its Bluetooth address.
    """

    feed: FeedSpec = field(default_factory=TraineeFeed)
    speed: float = 1.0
    boot_id: int = 1
    faults: Faults = field(default_factory=Faults)
    max_att_mtu: int = LARGEST_ATT_MTU
    private: bool = False
    address: str = SENSOR_ADDRESS

    def to_json(self) -> str:
        """Write as one line."""
        return _converter().dumps(self)

    @classmethod
    def from_json(cls, line: str) -> Setup:
        """Read what `to_json` wrote."""
        return _converter().loads(line, cls)


def _converter() -> JsonConverter:
    converter = make_converter()
    converter.register_unstructure_hook(Path, str)
    converter.register_structure_hook(Path, lambda text, _: Path(text))
    return converter
