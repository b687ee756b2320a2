"""A stand-in for the BMI160 on its I2C bus, register by register (data sheet BST-BMI160-DS000, 2.11, from memory).

Runs on CPython and MicroPython. Written against the data sheet's words, not against `imu.py`: what is written to
registers decides what happens, and a write that the chip would not take is an error here.
"""

ADDRESS = 0x69
RATES_HZ = {6: 25, 7: 50, 8: 100, 9: 200, 10: 400}


def counts(number):
    """Return what is measured at the chip's sampling instant `number`: accelerometer x y z, gyro x y z."""
    at = (number * 37) % 4001 - 2000
    return (at, 2048 - at, -at, number % 500, -(number % 300), (number * 3) % 1000)


def put_i16(value):
    return bytes((value & 0xFF, value >> 8 & 0xFF))


class Chip:
    """The chip; `advance` lets its time pass.

    Parameters
    ----------
    fast_ppm
        How much faster than nominal its oscillator runs.
    on_int1
        Called with the time (µs) at which INT1 rises.
    """

    def __init__(self, fast_ppm, on_int1):
        self.fast_ppm, self._on_int1 = fast_ppm, on_int1
        self.now_us = 0
        self.taken = []
        """(ns, range codes) of each sampling instant since the last reset of the FIFO's settings."""
        self._reset()

    def _reset(self):
        self.registers = {0x00: 0xD1, 0x40: 0x28, 0x41: 0x03, 0x42: 0x28, 0x43: 0x00, 0x46: 0x80, 0x47: 0x10}
        self._awake_us = {"acc": None, "gyr": None}
        self._fifo = b""
        self._next_ns = None
        self.int1 = False

    def started(self):
        return all(at is not None and at <= self.now_us for at in self._awake_us.values())

    def due_us(self):
        """When the next sample is taken, as a list of one; empty while suspended."""
        return [] if self._next_ns is None else [self._next_ns // 1000 + 1]

    def advance(self, now_us):
        """Let time pass, in which samples are taken."""
        while self._next_ns is not None and self._next_ns <= now_us * 1000:
            self._sample()
        self.now_us = max(self.now_us, now_us)

    def _period_ns(self):
        rate_hz = RATES_HZ[self.registers[0x40] & 0x0F]
        assert self.registers[0x42] & 0x0F == self.registers[0x40] & 0x0F, "FIFO frames need one rate"
        return 10**15 // (rate_hz * (1000000 + self.fast_ppm))

    def _sample(self):
        at_ns = self._next_ns
        self._next_ns += self._period_ns()
        if self.registers[0x47] != 0xC0:
            return
        values = counts(len(self.taken))
        self.taken.append(at_ns)
        frame = b"".join([put_i16(value) for value in values[3:] + values[:3]])
        self._fifo = (self._fifo + frame)[-1020:]
        level = len(self._fifo) >= self.registers[0x46] * 4
        wired = self.registers.get(0x51, 0) & 0x40 and self.registers.get(0x56, 0) & 0x40
        wired = wired and self.registers.get(0x53, 0) == 0x0A
        if wired and level and not self.int1:
            self.int1 = True
            self._on_int1(at_ns // 1000)

    def writeto_mem(self, address, register, data):
        assert address == ADDRESS
        assert len(data) == 1
        value = data[0]
        if register == 0x7E:
            self._command(value)
            return
        assert self._awake_us["acc"] is not None, "a suspended chip takes no quick writes"
        self.registers[register] = value
        if register == 0x47:
            self._fifo, self.taken = b"", []
            self._next_ns = self.now_us * 1000 + self._period_ns()

    def _command(self, value):
        if value == 0xB6:
            self._reset()
        elif value == 0x11:
            self._awake_us["acc"] = self.now_us + 3800
        elif value == 0x15:
            self._awake_us["gyr"] = self.now_us + 80000
        elif value == 0xB0:
            self._fifo, self.taken, self.int1 = b"", [], False
        elif value in (0x10, 0x14):
            self._awake_us["acc" if value == 0x10 else "gyr"] = None
            self._next_ns = None
        else:
            raise AssertionError("command 0x%02x" % value)

    def readfrom_mem_into(self, address, register, out):
        assert address == ADDRESS
        if register == 0x03:
            out[0] = 0x14 if self.started() else 0x00
        elif register == 0x22:
            out[0], out[1] = len(self._fifo) & 0xFF, len(self._fifo) >> 8
        elif register == 0x24:
            assert len(out) <= len(self._fifo), "read beyond the FIFO"
            out[:] = self._fifo[: len(out)]
            self._fifo = self._fifo[len(out) :]
            self.int1 = len(self._fifo) >= self.registers[0x46] * 4
        else:
            out[0] = self.registers[register]
