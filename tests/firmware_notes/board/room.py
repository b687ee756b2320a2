"""Loads the pure modules, allocates the ring, streams and re-sends a little; prints what fitted. MicroPython.

python room.py LEAST FOLDER
"""

import sys

sys.path.insert(0, sys.argv[2])

from reference.device import Device, Setting
from reference.ring import allocate

ring = allocate(6000, int(sys.argv[1]), 12)
device = Device(ring, Setting(1, 100, 16, 2000), 100000)
device.connected()
device.agreed(247)
device.take(b"\x01")
sent = 0
for step in range(1000):
    device.sampled(bytes(120), 10, 100000 * (step + 1))
    if step == 900:
        device.take(b"\x05\x00\x00\x00\x00\xff\xff")
    while device.due() is not None:
        device.sent()
        sent += 1
sys.stdout.write('{"capacity": %d, "sent": %d}' % (ring.capacity, sent))
