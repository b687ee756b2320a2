"""Runs the reference firmware in a simulated world and prints what a host saw, as JSON; CPython and MicroPython.

python run.py SCENARIO FOLDER        where FOLDER holds the package `reference`, and the boot id is kept in "."
"""

import json
import struct
import sys

sys.path.insert(0, sys.argv[2])
sys.path.insert(0, sys.argv[0].rsplit("/", 1)[0])

from world import World, install

INFORMATION = "6b5e0004-b708-40f3-ad48-2b28ebde7bbf"
CONTROL = "6b5e0003-b708-40f3-ad48-2b28ebde7bbf"


class Host:
    """Acts as the program does: connects, reads, starts, asks for what is missing."""

    def __init__(self, world, mtu):
        self.world, self.mtu = world, mtu
        self.reads = []
        self.asked = []

    def connect(self):
        ble = self.world.ble
        ble.host_connects(7)
        ble.host_exchanges_mtu(self.mtu)
        self.read(INFORMATION)
        ble.host_writes(b"\x01")

    def read(self, uuid):
        self.reads.append((self.world.now_us, self.world.ble.host_reads(uuid).hex()))

    def write_and_read(self, payload, uuid):
        self.world.ble.host_writes(payload)
        self.read(uuid)

    def ask_for_missing(self):
        """Ask for the first hole in the present boot id."""
        tag, expected = None, None
        for _, packet in self.world.ble.notified:
            header = 10 if packet[0] & 0x40 else 8
            (index,) = struct.unpack_from("<I", packet, 2)
            if packet[1] == tag and index > expected:
                self.asked.append((self.world.now_us, struct.pack("<BIH", 5, expected, index - expected)))
                self.world.ble.host_writes(self.asked[-1][1])
                return
            tag, expected = packet[1], index + (len(packet) - header) // 12


def lost_link(world, host):
    """Fifteen seconds without a link, then what is missing is asked for."""
    ble = world.ble
    return [
        (6.0, host.connect, ()),
        (12.0, host.write_and_read, (b"\x06\x34\x12", CONTROL)),
        (15.0, ble.host_disconnects, ()),
        (30.0, host.connect, ()),
        (31.0, host.ask_for_missing, ()),
        (38.0, ble.host_disconnects, ()),
    ]


def settings(world, host):
    """Other rates and ranges in mid-stream, and some that the device cannot do."""
    ble = world.ble
    return [
        (6.0, host.connect, ()),
        (8.0, host.write_and_read, (struct.pack("<BI", 3, 400000), INFORMATION)),
        (11.0, host.write_and_read, (struct.pack("<BHH", 4, 8, 0), INFORMATION)),
        (13.0, host.write_and_read, (struct.pack("<BI", 3, 300000), INFORMATION)),
        (13.2, host.write_and_read, (b"\x63", INFORMATION)),
        (14.0, ble.host_writes, (b"\x02",)),
        (16.0, ble.host_disconnects, ()),
    ]


def overrun(world, host):
    """The loop stands still for two seconds: the FIFO runs over."""
    return [
        (6.0, host.connect, ()),
        (8.0, world.pass_time, (2000000,)),
        (11.0, host.connect, ()),
        (13.0, world.ble.host_disconnects, ()),
    ]


def overrun_and_rate(world, host):
    """The FIFO runs over, and meanwhile the host asks for another rate."""
    rate = struct.pack("<BI", 3, 400000)
    return [
        (6.0, host.connect, ()),
        (8.0, world.pass_time, (2000000,)),
        (8.5, host.write_and_read, (rate, INFORMATION)),
        (11.0, host.connect, ()),
        (13.0, world.ble.host_disconnects, ()),
    ]


def asleep(world, host):
    """Nobody comes for so long that the chip is put to sleep; then somebody does."""
    return [(40.0, host.connect, ()), (42.0, world.ble.host_disconnects, ())]


SCENARIOS = {
    "lost_link_247": (lost_link, 247, 30000, 4),
    "lost_link_23": (lost_link, 23, 15000, 6),
    "settings": (settings, 185, 30000, 4),
    "overrun": (overrun, 247, 30000, 4),
    "overrun_and_rate": (overrun_and_rate, 247, 30000, 8),
    "asleep": (asleep, 247, 30000, 4),
}


def run(name):
    plan, mtu, interval_us, most = SCENARIOS[name]
    world = World(8000, interval_us, most)
    install(world)
    from reference import main

    main.SUSPEND_AFTER_US = 20000000
    host = Host(world, mtu)
    world.plan = [(int(at_s * 1000000), act, arguments) for at_s, act, arguments in plan(world, host)]
    end_us = world.plan[-1][0] + 500000
    sensor = main.Sensor()
    boots = []
    while world.now_us < end_us:
        sensor.step()
        world.pass_time(2000)
        tag = sensor.device.setting.boot_id & 0xFF
        if not boots or boots[-1][0] != tag:
            boots.append((tag, None))
        boots[-1] = (tag, world.chip.taken)
    return {
        "notified": [(at_us, packet.hex()) for at_us, packet in world.ble.notified],
        "reads": host.reads,
        "asked": [(at_us, payload.hex()) for at_us, payload in host.asked],
        "taken_ns": boots,
        "advertised": world.ble.advertised,
        "advertisement": world.ble.adv_data.hex(),
        "battery": world.ble.values[world.ble.handles[0x2A19][0]].hex(),
        "ring": sensor.device.ring.capacity,
    }


sys.stdout.write(json.dumps(run(sys.argv[1])))
