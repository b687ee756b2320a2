"""Raw motion of a recorded session as the plain table that `rungwise analyse` reads."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from sensor.assembly import Assembler, Block, Item
from sensor.counted import Counted
from sensor.protocol import STANDARD_GRAVITY_M_S2
from sensor.recording import Recording
from sensor.recording_file import RecordingError
from sensor.source import Channel
from sensor.table import COLUMNS, FORCE_COLUMNS
from tui.replay.replay import applied_to

FORMATS = ("%.6f", *["%.7g"] * 3, *["%.7g"] * 3)
"""Microseconds; seven digits, where a 16-bit count has less than five."""


def motion_table(recording: Recording) -> tuple[tuple[str, ...], np.ndarray]:
    """Return header and numbers of the plain table: seconds of the sensor's clock, g and deg/s, calibration applied.

    Of several recorded sensors, the first one that said what it is: the one that was counted.

    Raises
    ------
    RecordingError
        When there is no motion in it.
    """
    blocks = list(recorded_blocks(recording))
    if not blocks:
        raise RecordingError(f"{recording.path} holds no motion. Nothing was written.")
    turning = all(block.rate_rad_s is not None for block in blocks)
    rows = [_numbers(block, turning=turning) for block in blocks]
    return (COLUMNS if turning else FORCE_COLUMNS), np.vstack(rows)


def recorded_blocks(recording: Recording) -> Iterator[Block]:
    """Yield the motion of the sensor that was counted, late packets in their place, calibration applied."""
    return (item for item in _items(recording) if isinstance(item, Block))


def _items(recording: Recording) -> Iterator[Item]:
    calibration_of = applied_to(recording)
    arrivals = list(recording.arrivals())
    if any(one.is_away for one in arrivals):  # whichever sensor counted then: as it came
        counted = Counted(calibration_of, patient=True)
        for arrival in arrivals:
            yield from counted.push(arrival)
        yield from counted.finish()
        return
    sensor_id = next((one.sensor_id for one in arrivals if one.channel is Channel.INFO), None)
    if sensor_id is None:
        return
    assembler = Assembler(sensor_id, calibration_of(sensor_id), patient=True)
    for arrival in recording.in_order():
        if arrival.sensor_id == sensor_id:
            yield from assembler.push(arrival)
    yield from assembler.finish()


def _numbers(block: Block, *, turning: bool) -> np.ndarray:
    parts = [block.t_s[:, None], block.force_m_s2 / STANDARD_GRAVITY_M_S2]
    if turning and block.rate_rad_s is not None:
        parts.append(np.degrees(block.rate_rad_s))
    return np.hstack(parts)
