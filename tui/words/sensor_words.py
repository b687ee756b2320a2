"""What is known of a sensor, in words and figures for people."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime

import numpy as np

from analysis.motion.samples import FloatArray
from sensor.calibrate import LEAST_POSTURES, off_1g_m_s2
from sensor.calibration import Correction
from sensor.postures import Seen
from sensor.protocol import STANDARD_GRAVITY_M_S2
from tui.sensors.sensors import Known


def learnt_lines(seen: Seen, applied: Correction, known: Known | None) -> tuple[str, ...]:
    """Return what a session's still postures changed; nothing where they were too few.

    Parameters
    ----------
    seen
        The postures, not corrected.
    applied
        The correction in use during the session.
    known
        What is known now; None where nothing was learnt.
    """
    if len(seen) < LEAST_POSTURES:
        return ()
    off = f"off 1 g by {_off_1g(seen.readings, applied)} mg"
    if known is None:
        return (f"sensor {off}, unlike before: do rungwise sensor --calibrate",)
    now = _off_1g(seen.readings, known.belief.correction)
    return (f"sensor learnt: {off} today, {now} mg from now on ({len(seen)} postures)",)


def known_lines(sensor_id: str, known: Known) -> Iterator[str]:
    """Yield what is known of a sensor: bias and gain of each axis, each with one sigma."""
    belief = known.belief
    on = datetime.fromtimestamp(known.learnt_utc_us / 1e6, UTC).astimezone()
    yield f"{sensor_id}: from {known.how.value}, {known.postures} postures, {on:%Y-%m-%d}"
    bias = 1000 / STANDARD_GRAVITY_M_S2 * np.array([belief.correction.bias, belief.bias_sd_m_s2])
    gain = 100 * np.array([np.array(belief.correction.gain) - 1, belief.gain_sd])
    for axis, (offset, offset_sd), (scale, scale_sd) in zip("xyz", bias.T, gain.T, strict=True):
        yield f"  {axis}  bias {offset:+6.1f} ± {offset_sd:4.1f} mg   gain {scale:+5.2f} ± {scale_sd:4.2f} %"


def off_1g_line(readings: FloatArray, correction: Correction) -> str:
    """Return how far still readings of shape (n, 3) are off 1 g as they came, and corrected."""
    return (
        f"off 1 g by {_off_1g(readings, Correction())} mg as it came, by {_off_1g(readings, correction)} mg corrected"
    )


def _off_1g(readings: FloatArray, correction: Correction) -> str:
    return f"{1000 * off_1g_m_s2(readings, correction) / STANDARD_GRAVITY_M_S2:.1f}"
