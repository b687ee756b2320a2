"""The last samples of one boot id, for live packets and for `Resend`; pure, runs on MicroPython and CPython.

    push ──► [ oldest … next )  ──► copy, time_us        live and re-sent packets are cut from the same bytes

Sample i lies in slot i modulo the capacity. The time of every 16th sample is kept; between them samples are 1/rate
apart. So a sample has the same time whenever it is sent, and 60 s at 100 Hz × 6 axes cost 72 kB and 1.5 kB of times.
"""

from array import array

STRIDE = 16


class Ring:
    """A ring of samples.

    Parameters
    ----------
    samples
        How many it shall hold at least; it holds a multiple of 16.
    sample_bytes
        12 for six axes, 6 for three.
    """

    def __init__(self, samples: int, sample_bytes: int) -> None:
        blocks = (samples + STRIDE - 1) // STRIDE
        self.capacity = blocks * STRIDE
        self.sample_bytes = sample_bytes
        self._data = bytearray(self.capacity * sample_bytes)
        # One more than there are blocks: the oldest block may already be overwritten in part.
        self._times_us = array("I", bytes(4 * (blocks + 1)))
        self._period_ns = 0
        self.next = 0
        self.oldest = 0

    def begin(self, rate_millihz: int) -> None:
        """Forget all; the next sample has index 0, and samples are 1/rate apart."""
        self._period_ns = 1000000000000 // rate_millihz
        self.next = 0
        self.oldest = 0

    def push(self, samples: bytes | bytearray | memoryview, first_ns: int) -> None:
        """Append samples; `first_ns` is the device time of the first one, ns."""
        count = len(samples) // self.sample_bytes
        first = self.next
        for index in range(first + (-first) % STRIDE, first + count, STRIDE):
            time_us = (first_ns + (index - first) * self._period_ns) // 1000
            self._times_us[index // STRIDE % len(self._times_us)] = time_us & 0xFFFFFFFF
        view = memoryview(samples)
        done = 0
        while done < count:
            slot = (first + done) % self.capacity
            run = min(count - done, self.capacity - slot)
            size = self.sample_bytes
            self._data[slot * size : (slot + run) * size] = view[done * size : (done + run) * size]
            done += run
        self.next = first + count
        self.oldest = max(self.oldest, self.next - self.capacity)

    def time_us(self, index: int) -> int:
        """Return the device time of a sample that is held, µs, modulo 2³²."""
        start_us = self._times_us[index // STRIDE % len(self._times_us)]
        return (start_us + index % STRIDE * self._period_ns // 1000) & 0xFFFFFFFF

    def copy(self, first: int, count: int, out: bytearray, at: int) -> None:
        """Write the samples `first` … `first + count`, all held, to `out` from byte `at` on."""
        size = self.sample_bytes
        while count:
            slot = first % self.capacity
            run = min(count, self.capacity - slot)
            out[at : at + run * size] = memoryview(self._data)[slot * size : (slot + run) * size]
            first, count, at = first + run, count - run, at + run * size


def allocate(wanted: int, least: int, sample_bytes: int) -> Ring:
    """Return the largest ring that memory allows: `wanted` samples, or an eighth less again and again.

    Raises
    ------
    MemoryError
        When not even `least` samples fit.
    """
    samples = wanted
    while True:
        try:
            return Ring(samples, sample_bytes)
        except MemoryError:
            samples = samples * 7 // 8
            if samples < least:
                raise
