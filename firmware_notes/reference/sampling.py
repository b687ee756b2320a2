"""When samples were taken, by the device's own clock; pure, runs on MicroPython and CPython.

The motion chip samples by an oscillator of its own. It raises an interrupt when its FIFO holds so many samples
(watermark); the board notes its clock then. Such a note is a little late, sometimes some milliseconds, never early.

    notes ──► fit_rate, once after power-up    ──► the rate that the information announces
          └─► Timeline, at each watermark      ──► the time of each sample; parts only slowly from 1/rate

Whole numbers only, ns: 32-bit floats would lose the microseconds after seconds.
"""


class Clock:
    """The device's µs since it started, from a counter that wraps (`time.ticks_us`).

    Parameters
    ----------
    ticks
        The counter now.
    modulus
        Where it wraps; `at_us` must be asked at least twice in that time.
    """

    def __init__(self, ticks: int, modulus: int = 1 << 30) -> None:
        self._modulus = modulus
        # One tuple: an interrupt may ask between any two steps, and must find the two in keeping.
        self._known = (ticks, 0)

    def at_us(self, ticks: int) -> int:
        """Return the time at which the counter had this value, the one nearest to the time last asked for."""
        last, last_us = self._known
        half = self._modulus // 2
        now_us = last_us + (ticks - last + half) % self._modulus - half
        self._known = (ticks, now_us)
        return now_us


def fit_rate(notes: list[tuple[int, int]]) -> int:
    """Return the rate, Hz × 1000, as the slope of (index, µs) notes by least squares; three notes or more."""
    count = len(notes)
    index_0, us_0 = notes[0]
    points = [(index - index_0, us - us_0) for index, us in notes]
    sum_x = sum(x for x, _ in points)
    sum_y = sum(y for _, y in points)
    across = count * sum(x * y for x, y in points) - sum_x * sum_y
    along = count * sum(x * x for x, _ in points) - sum_x * sum_x
    return (along * 1000000000 + across // 2) // across


class Timeline:
    """Device time of each sample.

    A note that comes earlier than expected pulls the line by half: it cannot be early by itself. One that comes later
    pulls it by a 32nd: most likely the interrupt was kept waiting.
    """

    def __init__(self, rate_millihz: int) -> None:
        self.period_ns = 1000000000000 // rate_millihz
        self._anchor: tuple[int, int] | None = None

    def note(self, index: int, now_us: int) -> None:
        """Take note that sample `index` had just been taken at `now_us`."""
        if self._anchor is None:
            self._anchor = (index, now_us * 1000)
            return
        expected_ns = self.time_ns(index)
        off_ns = now_us * 1000 - expected_ns
        self._anchor = (index, expected_ns + (off_ns // 2 if off_ns < 0 else off_ns // 32))

    def time_ns(self, index: int) -> int:
        """Return the device time of a sample, ns; there must have been a note."""
        assert self._anchor is not None
        known, known_ns = self._anchor
        return known_ns + (index - known) * self.period_ns

    def next_index(self, now_us: int) -> int:
        """Return the index of the next sample to be taken after `now_us`; 0 before the first note."""
        if self._anchor is None:
            return 0
        known, known_ns = self._anchor
        return max(0, known + (now_us * 1000 - known_ns) // self.period_ns + 1)
