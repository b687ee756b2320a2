"""Battery level from its voltage; pure, runs on MicroPython and CPython."""

CURVE = ((3300, 0), (3500, 5), (3600, 10), (3700, 30), (3750, 50), (3850, 65), (4000, 85), (4150, 100))
"""Lithium polymer cell under some tens of mA at 20 °C: mV and percent (from memory; cells differ by ±10 %)."""


def percent(millivolt: int) -> int:
    """Return how full a cell is, 0 … 100."""
    low, low_percent = CURVE[0]
    if millivolt <= low:
        return low_percent
    for high, high_percent in CURVE[1:]:
        if millivolt <= high:
            return low_percent + (high_percent - low_percent) * (millivolt - low) // (high - low)
        low, low_percent = high, high_percent
    return low_percent
