"""The reference firmware's loop, and the pins of the board it was written for.

Board: Seeed Studio XIAO ESP32C3 (any board of MicroPython's esp32 port will do: change the pins). Chip: BMI160 on I2C,
its INT1 on D1, half the battery's voltage on A0. README.md has the wiring. On the board, `main.py` in the root is

    from reference.main import main
    main()

It has not run on a board. The tests run it with stand-ins for `machine` and `bluetooth`.
"""

import time

import machine
from machine import ADC, I2C, Pin

from . import store
from .battery import percent
from .device import PACKET_MS, Device, Setting
from .imu import FIFO_FRAMES, FRAME, Bmi160, I2cBus, ImuError
from .radio import Radio
from .ring import allocate
from .sampling import Clock, fit_rate

SDA, SCL, INT1, BATTERY = 6, 7, 3, 2
NAME = "rung"
BOOT_FILE = "boot_id"
RATE_HZ, FORCE_G, TURN_DEG_S = 100, 16, 2000
RING_SAMPLES, RING_LEAST = 6000, 1000
"""60 s at 100 Hz; what memory does not allow is left off, and the information says how many there are."""
NOTES = 32
"""Watermarks that the rate is measured by, 3.2 s; the first two, from the chip's start-up, are left out."""
STUCK_US = 150_000
"""A pin that is high for so long had an edge that nobody noted."""
BATTERY_EVERY_US = 60_000_000
SUSPEND_AFTER_US = 600_000_000
"""Without a host for so long, the chip is put to sleep; by then the ring holds nothing that anyone waits for."""


class Sensor:
    """All parts together."""

    def __init__(self):
        # The ring first, while memory is in one piece.
        ring = allocate(RING_SAMPLES, RING_LEAST, FRAME)
        self._clock = Clock(time.ticks_us())
        self._imu = Bmi160(I2cBus(I2C(0, sda=Pin(SDA), scl=Pin(SCL), freq=400_000)))
        self._samples = bytearray(FIFO_FRAMES * FRAME)
        self._risen = None
        self._int1 = Pin(INT1, Pin.IN)
        self._int1.irq(self._on_watermark, Pin.IRQ_RISING)
        self._adc = ADC(Pin(BATTERY), atten=ADC.ATTN_11DB)
        setting = Setting(store.next_boot_id(BOOT_FILE), RATE_HZ, FORCE_G, TURN_DEG_S)
        self.device = Device(ring, setting, self._measured(setting))
        self.radio = Radio(self.device, self.now_us, NAME)
        self._asleep = False
        self._alone_since_us = self._battery_at_us = self.now_us()
        self._begin(setting)
        self.radio.publish()
        self.radio.tell_battery(self.battery())

    def now_us(self):
        """Return the device's time, µs."""
        return self._clock.at_us(time.ticks_us())

    def battery(self):
        """Return how full the battery is, percent; two equal resistors halve its voltage."""
        return percent(self._adc.read_uv() * 2 // 1000)

    def step(self):
        """Do what there is to do."""
        if not self._asleep:
            self._drain()
        setting = self.radio.pump()
        if setting is not None:
            self._begin(setting)
            self.radio.publish()  # not always what was foretold: a FIFO that ran over may have come between
        now_us = self.now_us()
        if self.radio.connected:
            self._alone_since_us = now_us
            if self._asleep:
                self._wake(self.device.setting)
        elif not self._asleep and now_us - self._alone_since_us > SUSPEND_AFTER_US:
            self._sleep()
        if now_us - self._battery_at_us > BATTERY_EVERY_US:
            self._battery_at_us = now_us
            self.radio.tell_battery(self.battery())

    def _begin(self, setting):
        store.keep(BOOT_FILE, setting.boot_id)
        self.device.begin(setting)
        self._wake(setting)

    def _begin_unasked(self):
        """Begin a boot id that no host knows of: drop the link, for hosts read the information when they connect."""
        self.device.begin(self.device.setting.again())
        store.keep(BOOT_FILE, self.device.setting.boot_id)
        self.radio.publish()
        self.radio.drop()

    def _wake(self, setting):
        self._asleep = False
        self._risen = None
        self._read_at_us = self.now_us()
        self._imu.start(setting.rate_hz, setting.force_g, setting.turn_deg_s, _watermark(setting))

    def _sleep(self):
        self._imu.suspend()
        self._asleep = True
        # The boot id of the samples after waking, told beforehand: whoever connects reads it at once.
        self._begin_unasked()

    def _drain(self):
        risen_us = self._rise_us()
        if risen_us is None:
            return
        count = self._read()
        if count is None:
            self._begin_unasked()
            self._wake(self.device.setting)
        elif count:
            watermark = _watermark(self.device.setting)
            # Fewer than the watermark: the note belonged to samples read before; these were taken just before now.
            known = (watermark, risen_us) if count >= watermark else (count, self.now_us())
            self.device.sampled(memoryview(self._samples)[: count * FRAME], *known)

    def _measured(self, setting):
        """Return the chip's rate by the board's clock, Hz × 1000; takes some seconds, before anyone is connected."""
        watermark = _watermark(setting)
        self._wake(setting)
        notes: list[tuple[int, int]] = []
        index = 0
        until_us = self.now_us() + 3 * NOTES * PACKET_MS * 1000
        while len(notes) < NOTES and self.now_us() < until_us:
            risen_us = self._rise_us()
            if risen_us is None:
                time.sleep_ms(1)
                continue
            notes.append((index + watermark - 1, risen_us))
            index += self._read() or 0
        if len(notes) < NOTES:
            raise ImuError("no interrupts: check the wire from INT1")
        return fit_rate(notes[2:])

    def _read(self):
        count = self._imu.read(self._samples)
        self._read_at_us = self.now_us()
        return count

    def _rise_us(self):
        """Return when INT1 rose, as noted by its interrupt; None when it did not, since the last call."""
        risen = self._risen
        if risen is not None:
            # No edge is lost here: the pin stays high until the FIFO is read.
            self._risen = None
            return self._clock.at_us(risen)
        now_us = self.now_us()
        stuck = now_us - self._read_at_us > STUCK_US and self._int1.value()
        return now_us if stuck else None

    def _on_watermark(self, _pin):
        self._risen = time.ticks_us()


def _watermark(setting):
    return max(1, setting.rate_hz * PACKET_MS // 1000)


def main():
    """Run for ever; after an error of the chip or the bus, start again."""
    try:
        sensor = Sensor()
        while True:
            sensor.step()
            time.sleep_ms(2)
    except (OSError, ImuError) as error:
        print(error)
        time.sleep(5)
        machine.reset()
