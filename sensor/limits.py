"""Which rates and ranges there are. Whoever checks one takes it from here; a test holds the reference firmware to it.

Nothing is imported, so that the command line can name them at once.
"""

from __future__ import annotations

WIRE_RATE_HZ = (1.0, 8000.0)
"""Samples a second that the information characteristic can tell."""
SET_RATE_HZ = (10.0, 1000.0)
"""What a sensor may be set to: slower, a phase of half a second has too few samples; faster, nothing more is seen."""
DESCRIBED_RATE_HZ = (SET_RATE_HZ[0], WIRE_RATE_HZ[1])
"""What a sensor of another maker may send: it is used as it is."""
FORCE_RANGES_G = (2, 4, 8, 16)
TURN_RANGES_DEG_S = (125, 250, 500, 1000, 2000, 4000)
"""What a sensor may be set to, ±; a chip has some of these."""
REFERENCE_RATES_HZ = (25, 50, 100, 200, 400)
REFERENCE_TURN_RANGES_DEG_S = TURN_RANGES_DEG_S[:5]
"""What the reference firmware can be set to, beside all ranges of force; the virtual sensor turns as fast."""


def listed(values: tuple[int, ...]) -> str:
    """Return values as a person reads them: 2, 4 or 8."""
    *most, last = map(str, values)
    return f"{', '.join(most)} or {last}" if most else last
