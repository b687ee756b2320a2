"""Pushes to a ring and copies from it, in a drawn order, and prints what came out, as JSON; CPython and MicroPython.

python walk.py CAPACITY FOLDER
"""

import json
import sys

sys.path.insert(0, sys.argv[2])

from reference.ring import Ring, allocate

RATE_MILLIHZ = 99600


def drawn(seed):
    while True:
        seed = (seed * 1103515245 + 12345) % (1 << 31)
        yield seed >> 8


def walk(capacity):
    ring, draw, out = Ring(capacity, 12), drawn(5), []
    ring.begin(RATE_MILLIHZ)
    number, first_ns = 0, 4294967000 * 1000
    for _ in range(200):
        count = next(draw) % 41
        samples = b"".join([(number + k).to_bytes(4, "little") + bytes(8) for k in range(count)])
        ring.push(samples, first_ns)
        number += count
        first_ns += count * ring_period_ns()
        held = ring.next - ring.oldest
        copied = next(draw) % held + 1 if held else 0
        first = ring.oldest + next(draw) % (held - copied + 1)
        room = bytearray(12 * copied + 5)
        ring.copy(first, copied, room, 5)
        times = [ring.time_us(first + k) for k in range(copied)]
        found = [int.from_bytes(room[5 + 12 * k : 9 + 12 * k], "little") for k in range(copied)]
        out.append([ring.oldest, ring.next, first, found, times])
    return {"capacity": ring.capacity, "steps": out, "least": allocate(100, 10, 12).capacity}


def ring_period_ns():
    return 1000000000000 // RATE_MILLIHZ


sys.stdout.write(json.dumps(walk(int(sys.argv[1]))))
