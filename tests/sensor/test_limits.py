"""One source of truth for rates and ranges: what cannot import it says the same."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from firmware_notes.reference import device
from sensor import limits
from sensor.protocol import Info, ProtocolError, SetRange, SetRate
from sensor.virtual.core import RefusedError, SensorCore
from sensor.virtual.motion import TraineeFeed

NOTES = Path(__file__).parents[2] / "firmware_notes"


def row(document: str, begin: str) -> list[float]:
    """The numbers of the row of a table that begins so."""
    text = (NOTES / document).read_text(encoding="utf-8")
    (line,) = re.findall(rf"^{re.escape(begin)}.*$", text, re.MULTILINE)
    return [float(number) for number in re.findall(r"\d+(?:\.\d+)?", line[len(begin) :])]


def test_the_reference_firmware_takes_what_is_said_of_it() -> None:
    assert device.RATES_HZ == limits.REFERENCE_RATES_HZ
    assert device.FORCE_RANGES_G == limits.FORCE_RANGES_G
    assert device.TURN_RANGES_DEG_S == limits.REFERENCE_TURN_RANGES_DEG_S
    assert set(limits.REFERENCE_TURN_RANGES_DEG_S) < set(limits.TURN_RANGES_DEG_S)
    assert all(limits.SET_RATE_HZ[0] <= rate_hz <= limits.SET_RATE_HZ[1] for rate_hz in limits.REFERENCE_RATES_HZ)


def test_the_documents_give_the_same_limits() -> None:
    assert row("own_sensor.md", "| motion.rate_hz | yes | samples a second,") == list(limits.DESCRIBED_RATE_HZ)
    assert row("packet.md", "| SetRate | 3 | u32 samples a second × 1000, that is") == list(limits.SET_RATE_HZ)
    assert row("packet.md", "| SetRange | 4 | u16 ± g:") == [*limits.FORCE_RANGES_G, 16, *limits.TURN_RANGES_DEG_S, 0]
    assert row("packet.md", "| 6 | u32 | rate_millihz | samples a second × 1000;") == [
        limits.WIRE_RATE_HZ[0],
        limits.WIRE_RATE_HZ[1] / 1000,
    ]


@pytest.mark.parametrize("rate_hz", limits.WIRE_RATE_HZ)
def test_the_information_tells_the_rates_of_the_wire(rate_hz: float) -> None:
    assert Info(boot_id=1, rate_hz=rate_hz, force_g_per_count=2**-12, axes=3).rate_hz == rate_hz
    for beyond in (rate_hz * 0.99, rate_hz * 1.01):
        if not limits.WIRE_RATE_HZ[0] <= beyond <= limits.WIRE_RATE_HZ[1]:
            with pytest.raises(ProtocolError, match="set one of 1 to 8000 Hz"):
                Info(boot_id=1, rate_hz=beyond, force_g_per_count=2**-12, axes=3)


@pytest.mark.parametrize("command", [SetRate(9.9), SetRate(1000.1), SetRange(3), SetRange(4, 333), SetRange(4, 4000)])
def test_the_virtual_sensor_refuses_what_there_is_not_with_what_there_is(command: SetRate | SetRange) -> None:
    core = SensorCore(TraineeFeed(), 1)
    allowed = r"10 to 1000 Hz" if isinstance(command, SetRate) else r"±2, 4, 8 or 16 g and ±125, 250, 500, 1000 or 2000"
    with pytest.raises(RefusedError, match=allowed):
        core.take(command, 0.0, 247)
