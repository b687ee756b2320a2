"""Stand-ins for `time`, `machine` and `bluetooth` around one chip and one simulated time; CPython and MicroPython.

The radio takes so many notifications a connection interval and then answers as the real module does, with an OSError.
"""

import sys

from chip import Chip

ENOMEM = 12


class World:
    """Simulated time, the chip on its bus, the radio, and a plan of what a host does."""

    def __init__(self, fast_ppm, interval_us, most):
        self.now_us = 0
        self.plan = []
        self.chip = Chip(fast_ppm, self._rose)
        self.on_rise = None
        self.late_us = (80, 350, 120, 2400, 60, 150, 90)
        self._rises = 0
        self._pending = []
        self.ble = Ble(self, interval_us, most)

    def _rose(self, at_us):
        # The interrupt is told a little late, sometimes very late.
        self._rises += 1
        self._pending.append(at_us + self.late_us[self._rises % len(self.late_us)])

    def pass_time(self, us):
        """Let time pass; what falls due happens at its time."""
        end = self.now_us + us
        while self.now_us < end:
            falls_due = self.chip.due_us() + self._pending[:1] + [at_us for at_us, _, _ in self.plan[:1]]
            self.now_us = max(self.now_us, min(falls_due + [end]))
            self.chip.advance(self.now_us)
            if self._pending and self._pending[0] <= self.now_us and self.on_rise:
                self._pending.pop(0)
                self.on_rise(None)
            while self.plan and self.plan[0][0] <= self.now_us:
                _, act, arguments = self.plan.pop(0)
                act(*arguments)


class Time:
    """`time` as MicroPython has it; the counter begins just before its wrap."""

    def __init__(self, world):
        self._world = world

    def ticks_us(self):
        return (self._world.now_us + (1 << 30) - 5000000) % (1 << 30)

    def sleep_ms(self, ms):
        self._world.pass_time(ms * 1000)

    def sleep(self, seconds):
        self._world.pass_time(int(seconds * 1000000))


class Machine:
    """`machine`: two pins, the bus, the converter."""

    def __init__(self, world):
        class Pin:
            IN, IRQ_RISING = 0, 1

            def __init__(self, number, mode=None):
                self.number = number

            def irq(self, handler, trigger):
                assert trigger == Pin.IRQ_RISING
                world.on_rise = handler

            def value(self):
                return int(world.chip.int1)

        class ADC:
            ATTN_11DB = 3

            def __init__(self, pin, atten):
                pass

            def read_uv(self):
                return 1875000

        self.Pin, self.ADC = Pin, ADC
        self.I2C = lambda _number, sda, scl, freq: world.chip


class Ble:
    """`bluetooth.BLE`, one central, and a record of what was sent."""

    def __init__(self, world, interval_us, most):
        self._world, self._interval_us, self._most = world, interval_us, most
        self.values, self.handles, self.notified, self.advertised = {}, {}, [], []
        self.mtu, self.connection, self.settings = 23, None, {}
        self._window, self._used = -1, 0

    def active(self, on):
        assert on

    def config(self, **settings):
        self.settings.update(settings)

    def irq(self, handler):
        self._handler = handler

    def gatts_register_services(self, services):
        handle, out = 1, []
        for uuid, characteristics in services:
            group = []
            for characteristic, flags in characteristics:
                handle += 3
                self.handles[characteristic] = (handle, flags, uuid)
                self.values[handle] = b""
                group.append(handle)
            out.append(tuple(group))
        return tuple(out)

    def gatts_write(self, handle, value, send_update=False):
        assert handle in self.values
        self.values[handle] = bytes(value)

    def gatts_read(self, handle):
        return self.values[handle]

    def gatts_notify(self, connection, handle, data):
        if self.connection is None or connection != self.connection:
            raise OSError(128)
        assert len(data) <= self.mtu - 3, "a notification is cut by the stack"
        window = self._world.now_us // self._interval_us
        if window != self._window:
            self._window, self._used = window, 0
        if self._used >= self._most:
            raise OSError(ENOMEM)
        self._used += 1
        assert handle == self.handles["6b5e0002-b708-40f3-ad48-2b28ebde7bbf"][0]
        self.notified.append((self._world.now_us, bytes(data)))

    def gap_advertise(self, interval_us, adv_data=None, resp_data=None):
        self.advertised.append((self._world.now_us, interval_us))
        if adv_data is not None:
            assert len(adv_data) <= 31
            assert len(resp_data) <= 31
            self.adv_data = bytes(adv_data)

    def gap_disconnect(self, connection):
        assert connection == self.connection
        self.host_disconnects()

    def gattc_exchange_mtu(self, connection):
        raise OSError(120)

    # What the host does.

    def host_connects(self, handle):
        self.connection, self.mtu = handle, 23
        self._handler(1, (handle, 0, b"123456"))

    def host_exchanges_mtu(self, mtu):
        self.mtu = min(mtu, self.settings["mtu"])
        self._handler(21, (self.connection, self.mtu))

    def host_writes(self, payload):
        handle = self.handles["6b5e0003-b708-40f3-ad48-2b28ebde7bbf"][0]
        self.values[handle] = payload
        self._handler(3, (self.connection, handle))

    def host_reads(self, uuid):
        return self.values[self.handles[uuid][0]]

    def host_disconnects(self):
        handle, self.connection = self.connection, None
        self._handler(2, (handle, 0, b"123456"))


def install(world):
    """Put the stand-ins where `import` finds them."""

    class Bluetooth:
        UUID = staticmethod(lambda value: value)
        BLE = staticmethod(lambda: world.ble)

    sys.modules["time"] = Time(world)
    sys.modules["machine"] = Machine(world)
    sys.modules["bluetooth"] = Bluetooth
