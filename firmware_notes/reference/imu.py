"""The motion chip at register level: Bosch BMI160, six axes, over I2C or SPI.

Registers by the data sheet BST-BMI160-DS000, section 2.11 "Register map" (checked against the register names of public
drivers; section numbers from memory). The tests run this file against a stand-in for the chip on CPython and on
MicroPython's unix port. It has never met a real chip.

The FIFO runs without headers: frames of 12 bytes, gyro before accelerometer; `read` puts the accelerometer first, as
packets have it.
"""

import time

CHIP_ID = 0xD1
FRAME = 12
FIFO_FRAMES = 1024 // FRAME
"""The FIFO holds 1024 bytes; when it is full, the oldest frames go and nothing tells how many."""

_CHIP_ID, _PMU_STATUS = 0x00, 0x03
_FIFO_LENGTH, _FIFO_DATA = 0x22, 0x24
_ACC_CONF, _ACC_RANGE, _GYR_CONF, _GYR_RANGE = 0x40, 0x41, 0x42, 0x43
_FIFO_CONFIG_0, _FIFO_CONFIG_1 = 0x46, 0x47
_INT_EN_1, _INT_OUT_CTRL, _INT_LATCH, _INT_MAP_1 = 0x51, 0x53, 0x54, 0x56
_CMD = 0x7E

_SOFT_RESET, _FIFO_FLUSH = 0xB6, 0xB0
_ACC_NORMAL, _GYR_NORMAL, _ACC_SUSPEND, _GYR_SUSPEND = 0x11, 0x15, 0x10, 0x14
_BOTH_NORMAL = 0x14  # PMU_STATUS: accelerometer 01 in bits 5-4, gyro 01 in bits 3-2

_RATE_CODE = {25: 6, 50: 7, 100: 8, 200: 9, 400: 10}
_FORCE_CODE = {2: 0x3, 4: 0x5, 8: 0x8, 16: 0xC}
_TURN_CODE = {2000: 0, 1000: 1, 500: 2, 250: 3, 125: 4}
_FILTER_NORMAL = 0x20  # acc_bwp and gyr_bwp "normal": about 0.4 × rate


class ImuError(Exception):
    """The chip does not answer as it should; the message says what to look at."""


class I2cBus:
    """Registers over `machine.I2C`."""

    def __init__(self, i2c, address=0x69):
        self._i2c, self._address = i2c, address

    def write(self, register, value):
        """Write one register."""
        self._i2c.writeto_mem(self._address, register, bytes((value,)))

    def read_into(self, register, out):
        """Fill `out` from a register on (the FIFO's register stays where it is)."""
        self._i2c.readfrom_mem_into(self._address, register, out)


class SpiBus:
    """Registers over `machine.SPI`; `select` is the chip's CSB pin."""

    def __init__(self, spi, select):
        self._spi, self._select = spi, select
        select(1)
        # The chip speaks I2C until CSB has risen once after power-up: a read of an unused register does that.
        self.read_into(0x7F, bytearray(1))

    def write(self, register, value):
        """Write one register."""
        self._select(0)
        self._spi.write(bytes((register & 0x7F, value)))
        self._select(1)

    def read_into(self, register, out):
        """Fill `out` from a register on (the FIFO's register stays where it is)."""
        self._select(0)
        self._spi.write(bytes((register | 0x80,)))
        self._spi.readinto(out)
        self._select(1)


class Bmi160:
    """The chip behind one of the buses.

    Parameters
    ----------
    bus
        `I2cBus` or `SpiBus`.
    sleep_ms
        Waits; `time.sleep_ms` on the board.
    """

    def __init__(self, bus, sleep_ms=None):
        self._bus = bus
        self._sleep_ms = sleep_ms or time.sleep_ms
        self._raw = bytearray(FIFO_FRAMES * FRAME)
        self._one, self._two = bytearray(1), bytearray(2)

    def start(self, rate_hz, force_g, turn_deg_s, watermark):
        """Reset the chip and let it sample; INT1 rises when the FIFO holds `watermark` samples (at most 85)."""
        self._command(_SOFT_RESET, 20)
        found = self._register(_CHIP_ID)
        if found != CHIP_ID:
            raise ImuError("chip id 0x%02x instead of 0xd1: check wiring and address" % found)
        # The registers of a part that is suspended take a write only every 0.4 ms; so wake them first.
        self._command(_ACC_NORMAL, 5)
        self._command(_GYR_NORMAL, 90)
        if self._register(_PMU_STATUS) & 0x3C != _BOTH_NORMAL:
            raise ImuError("accelerometer or gyro does not start: check the supply")
        code = _RATE_CODE[rate_hz]
        self._bus.write(_ACC_CONF, _FILTER_NORMAL | code)
        self._bus.write(_ACC_RANGE, _FORCE_CODE[force_g])
        self._bus.write(_GYR_CONF, _FILTER_NORMAL | code)
        self._bus.write(_GYR_RANGE, _TURN_CODE[turn_deg_s])
        self._bus.write(_FIFO_CONFIG_0, watermark * FRAME // 4)  # in steps of 4 bytes
        self._bus.write(_FIFO_CONFIG_1, 0xC0)  # gyro and accelerometer, no headers
        self._bus.write(_INT_MAP_1, 0x40)  # watermark to INT1
        self._bus.write(_INT_OUT_CTRL, 0x0A)  # INT1: output, push-pull, active high
        self._bus.write(_INT_LATCH, 0x00)
        self._bus.write(_INT_EN_1, 0x40)  # watermark
        self._command(_FIFO_FLUSH, 1)

    def suspend(self):
        """Stop both parts: some µA. `start` wakes them."""
        self._command(_GYR_SUSPEND, 1)
        self._command(_ACC_SUSPEND, 1)

    def read(self, out):
        """Move all whole samples from the FIFO to `out`; return how many, or None when the FIFO had run over."""
        self._bus.read_into(_FIFO_LENGTH, self._two)
        count = (self._two[0] | (self._two[1] & 0x07) << 8) // FRAME
        if count >= FIFO_FRAMES:
            self._command(_FIFO_FLUSH, 1)
            return None
        if count == 0:
            return 0
        raw = memoryview(self._raw)
        self._bus.read_into(_FIFO_DATA, raw[: count * FRAME])
        for k in range(0, count * FRAME, FRAME):
            out[k : k + 6] = raw[k + 6 : k + FRAME]
            out[k + 6 : k + FRAME] = raw[k : k + 6]
        return count

    def _command(self, code, wait_ms):
        self._bus.write(_CMD, code)
        self._sleep_ms(wait_ms)

    def _register(self, register):
        self._bus.read_into(register, self._one)
        return self._one[0]
