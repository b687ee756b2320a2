"""The device's GATT server on MicroPython's `bluetooth` module.

**No real radio has run this file.** It is written after the module's documentation (docs.micropython.org, library,
bluetooth) and reviewed; the tests run it against a stand-in of that module, on CPython and on MicroPython's unix port,
which shows that names and order of calls are right and nothing about the air.

What gatt.md asks for and this module cannot do (MicroPython 1.29):

- A write cannot be refused with an ATT error. What the device does not know it passes over; the information then stays
  as it was, which the host sees.
- A peripheral cannot ask for connection parameters. It says in its scan response which interval suits; the host may
  heed it. `interval_us` tells what was agreed after a change.
- Keys of a pairing are not kept here: pair again after each restart.
"""

import bluetooth

from . import packet
from .device import FIRMWARE

_CONNECTED, _DISCONNECTED, _WRITTEN, _MTU, _UPDATED = 1, 2, 3, 21, 27
_READ, _WRITE, _NOTIFY = 0x0002, 0x0008, 0x0010
_READ_ENCRYPTED, _WRITE_ENCRYPTED = 0x0200, 0x1000

_BATTERY_SERVICE, _BATTERY_LEVEL = 0x180F, 0x2A19
_DEVICE_INFORMATION, _MAKER, _MODEL, _FIRMWARE = 0x180A, 0x2A29, 0x2A24, 0x2A26
# The Client Characteristic Configuration descriptor (0x2902) comes with the flag _NOTIFY; the stack keeps it.

WISHED_MTU = 247
"""A notification of 244 bytes fits into one data PDU of 251 (timing.md)."""
WISHED_INTERVAL_MS = (15, 30)
QUICK_US, SLOW_US = 100_000, 1_022_500
QUICK_FOR_US = 30_000_000
"""So long it advertises quickly after power-up and after a lost link."""
EVENTS_KEPT = 16
_NOT, _QUICKLY, _SLOWLY = 0, 1, 2


class Radio:
    """The server; call `pump` often.

    Parameters
    ----------
    device
        A `Device`.
    now_us
        Returns the device's time, µs.
    name, maker, model
        Text.
    encrypted
        Whether control and information need an encrypted link (gatt.md, Security).

    Attributes
    ----------
    interval_us
        Connection interval after the last change; None before one.
    """

    def __init__(self, device, now_us, name, maker="Rungwise", model="reference BMI160", encrypted=False):
        self._device, self._now_us = device, now_us
        self._connection = None
        self._events = []
        self._marked = b""
        self._advertising = _NOT
        self._quick_until_us = 0
        self.interval_us = None
        self._ble = bluetooth.BLE()
        self._ble.active(True)
        self._ble.config(gap_name=name, mtu=WISHED_MTU)
        if encrypted:
            self._ble.config(le_secure=True)
        self._response = packet.scan_response(name, WISHED_INTERVAL_MS)
        self._register(encrypted, (maker, model, "%d.%d" % FIRMWARE))
        self._ble.irq(self._irq)

    @property
    def connected(self):
        """Whether a host is there."""
        return self._connection is not None

    def publish(self):
        """Renew what the information characteristic reads, after a boot id began."""
        told = None
        while told is not self._device.foretold:  # the interrupt may foretell another one meanwhile
            told = self._device.foretold
            self._ble.gatts_write(self._information, self._device.information(told))

    def drop(self):
        """End the connection: the host reads the information whenever it connects."""
        if self._connection is not None:
            self._ble.gap_disconnect(self._connection)

    def tell_battery(self, percent):
        """Renew the battery level; who subscribed is told."""
        self._ble.gatts_write(self._battery, bytes((percent,)), True)

    def pump(self):
        """Work off what came, advertise, and send what is due until the stack takes no more.

        Returns
        -------
        The `Setting` that a host asked for, to set on the chip now; None as a rule.
        """
        while self._events:
            event, value = self._events.pop(0)
            if event == _WRITTEN:
                setting = self._device.take(value)
                if setting is not None:
                    return setting
            else:
                self._link(event, value)
        if self._connection is None:
            self._advertise()
        else:
            self._send()
        return None

    def _link(self, event, value):
        if event == _CONNECTED:
            self._connection, self._advertising = value, _NOT  # the stack stops advertising by itself
            self._device.connected()
            try:
                self._ble.gattc_exchange_mtu(value)
            except OSError:
                pass  # the host has asked already
        elif event == _DISCONNECTED:
            self._connection = None
            self._device.stop()
        elif event == _MTU:
            self._device.agreed(value)
        else:
            self.interval_us = value * 1250

    def _send(self):
        due = self._device.due()
        while due is not None:
            try:
                self._ble.gatts_notify(self._connection, self._data, due)
            except OSError:
                return  # the stack's buffers are full, or the link is just going: the same samples are due again
            self._device.sent()
            due = self._device.due()

    def _advertise(self):
        now_us = self._now_us()
        if self._advertising == _NOT:
            self._advertising, self._quick_until_us = _QUICKLY, now_us + QUICK_FOR_US
            self._ble.gap_advertise(QUICK_US, adv_data=packet.advertisement(), resp_data=self._response)
        elif self._advertising == _QUICKLY and now_us > self._quick_until_us:
            self._advertising = _SLOWLY
            self._ble.gap_advertise(SLOW_US)

    def _register(self, encrypted, texts):
        uuid = bluetooth.UUID
        read, write = (_READ_ENCRYPTED, _WRITE_ENCRYPTED) if encrypted else (0, 0)
        motion = (
            uuid(packet.SERVICE_UUID),
            (
                (uuid(packet.DATA_UUID), _NOTIFY),
                (uuid(packet.CONTROL_UUID), _WRITE | _READ | read | write),
                (uuid(packet.INFO_UUID), _READ | read),
            ),
        )
        battery = (uuid(_BATTERY_SERVICE), ((uuid(_BATTERY_LEVEL), _READ | _NOTIFY),))
        about = (uuid(_DEVICE_INFORMATION), tuple((uuid(text), _READ) for text in (_MAKER, _MODEL, _FIRMWARE)))
        handles = self._ble.gatts_register_services((motion, battery, about))
        (self._data, self._control, self._information), (self._battery,), texts_at = handles
        for handle, text in zip(texts_at, texts):
            self._ble.gatts_write(handle, text.encode())

    def _irq(self, event, data):
        # On some ports this runs between any two steps of the loop, on all of them the buffers in `data` are gone
        # afterwards. So it only notes what came, and answers what the host may read right after its write.
        if event == _WRITTEN:
            if data[1] == self._control and len(self._events) < EVENTS_KEPT:
                self._written(bytes(self._ble.gatts_read(self._control)))
        elif event in (_CONNECTED, _DISCONNECTED):
            self._events.append((event, data[0]))
        elif event in (_MTU, _UPDATED):
            self._events.append((event, data[1]))

    def _written(self, payload):
        answer = self._device.answer(payload, self._now_us())
        if answer is not None and answer[0] == packet.MARK:
            self._marked = answer[1]
        elif answer is not None:
            self._ble.gatts_write(self._information, answer[1])
        # What was written is not what shall be read.
        self._ble.gatts_write(self._control, self._marked)
        self._events.append((_WRITTEN, payload))
