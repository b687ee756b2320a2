"""The reference firmware's ring against a list that keeps everything, on CPython and on MicroPython."""

import pytest
from interpreters import BOTH, run

PERIOD_NS = 10**12 // 99600
START_NS = 4294967000 * 1000
"""The µs counter wraps on the way."""


@pytest.mark.parametrize("interpreter", BOTH)
@pytest.mark.parametrize("capacity", [96, 250])
def test_it_gives_back_what_was_pushed(interpreter, capacity, tmp_path):
    walked = run(interpreter, "walk.py", str(capacity), tmp_path)
    assert walked["capacity"] == -(-capacity // 16) * 16
    assert walked["least"] == 112
    full = 0
    for oldest, end, first, found, times in walked["steps"]:
        assert oldest == max(0, end - walked["capacity"])
        full += end - oldest == walked["capacity"]
        indices = range(first, first + len(found))
        assert found == list(indices)
        for index, time_us in zip(indices, times, strict=True):
            # Rounded down once where the time of a block is kept, and once within the block.
            assert 0 <= ((START_NS + index * PERIOD_NS) / 1000 - time_us) % 2**32 < 2
    assert full > 150


def test_sixty_seconds_cost_what_the_notes_say():
    from firmware_notes.reference.ring import Ring

    ring = Ring(6000, 12)
    assert ring.capacity == 6000
    assert len(ring._data) == 72_000
    assert len(ring._times_us) * 4 == 1504


@pytest.mark.parametrize(("heap", "least", "most"), [("128K", 6000, 6000), ("96K", 2000, 5000)])
def test_a_boards_memory_is_enough(heap, least, most, tmp_path):
    """The pure modules, the ring and their work, in a heap as small as a board's; objects here are twice as large."""
    found = run("micropython", "room.py", "1000", tmp_path, heap)
    assert least <= found["capacity"] <= most
    # 1000 live packets, and all that the ring held, 19 samples a packet.
    assert found["sent"] == 1000 + -(-found["capacity"] // 19)


def test_it_takes_less_where_memory_is_short(monkeypatch):
    from firmware_notes.reference import ring

    class Small(ring.Ring):
        def __init__(self, samples, sample_bytes):
            if samples > 3000:
                raise MemoryError
            super().__init__(samples, sample_bytes)

    monkeypatch.setattr(ring, "Ring", Small)
    assert 2625 <= ring.allocate(6000, 1000, 12).capacity <= 3000
    with pytest.raises(MemoryError):
        ring.allocate(6000, 3001, 12)
