"""The back-fill table of `firmware_notes/timing.md` by the script, by hand, and by a link stepped event by event."""

import re

import pytest
from interpreters import NOTES

from firmware_notes.air import (
    FEW,
    INTERVALS_MS,
    MTUS,
    back_fill_s,
    exchange_us,
    longest_gap_s,
    pdus,
    spare_samples_per_s,
    table,
    value_bytes,
)
from firmware_notes.reference.packet import max_samples

TEXT = (NOTES / "timing.md").read_text(encoding="utf-8")
ROWS = [
    tuple(cell.strip() for cell in line.strip("|").split("|"))
    for line in re.findall(r"^\| (?:23|185|247|517) \|.*$", TEXT, re.MULTILINE)
]


def test_table_is_the_scripts():
    assert table() == ROWS
    assert {(int(row[0]), float(row[1])) for row in ROWS} == {(mtu, ms) for mtu in MTUS for ms in INTERVALS_MS}


def test_air_time_by_hand():
    # Preamble 1, access address 4, header 2, CRC 3 bytes at 8 µs; T_IFS 150 µs twice; the answer is empty, 80 µs.
    told = {int(n): int(us) for us, n in re.findall(r"(\d+) µs for (?:n = )?(\d+)", TEXT)} | {
        int(n): int(us) for us, n in re.findall(r"(\d+) for (\d+) \(MTU", TEXT)
    }
    by_hand = {n: (1 + 4 + 2 + 3 + n) * 8 + 150 + 80 + 150 for n in (27, 185, 245)}
    assert {n: exchange_us(n) for n in by_hand} == by_hand
    assert by_hand == {27: 676, 185: 1940, 245: 2420}
    assert all(f"{us} µs for" in TEXT for us in by_hand.values())
    assert told.items() <= by_hand.items()


def test_pdus_hold_all_of_a_notification():
    for mtu in MTUS:
        full = value_bytes(mtu, max_samples(mtu, 6))
        assert full <= min(mtu - 3, 512)
        for most in (27, 251):
            assert sum(pdus(full, most)) == full + 7
            assert max(pdus(full, most)) <= most
    assert pdus(238) == [245]
    assert pdus(502) == [251, 251, 7]


@pytest.mark.parametrize(("mtu", "interval_ms", "told_s"), [(23, 15.0, 18.0), (247, 30.0, 1.3)])
def test_back_fill_by_hand(mtu, interval_ms, told_s):
    a_second = FEW / (interval_ms / 1000)
    spare = (a_second - 100) * 1 if mtu == 23 else (a_second - 10) * 19
    assert spare_samples_per_s(mtu, interval_ms, FEW) == pytest.approx(spare)
    assert back_fill_s(30, spare) == pytest.approx(told_s, rel=0.03)


def stepped(mtu, interval_ms, missing_s, ring_s, rate_hz=100):
    """A link of four one-PDU packets an event, live first; seconds until the hole is closed, and samples lost."""
    live_size, full = (1, 1) if mtu == 23 else (10, max_samples(mtu, 6))
    # Those that end before the next event: each takes (10 + n) × 8 + 380 µs.
    packets = min(4, int(interval_ms * 1000 / {23: 676, 185: 1940, 247: 2420}[mtu]))
    now_s, sent, next_missing, lost = 0.0, 0, -missing_s * rate_hz, 0
    while next_missing < 0:
        now_s += interval_ms / 1000
        for _ in range(packets):
            if int(now_s * rate_hz) - sent >= live_size:
                sent += live_size
                continue
            oldest = now_s * rate_hz - ring_s * rate_hz
            if next_missing < oldest:
                lost += oldest - next_missing
                next_missing = oldest
            next_missing += full
    return now_s, lost


@pytest.mark.parametrize("interval_ms", [7.5, 15.0, 30.0])
@pytest.mark.parametrize("mtu", [23, 185, 247])
def test_back_fill_as_stepped(mtu, interval_ms):
    spare = spare_samples_per_s(mtu, interval_ms, FEW)
    longest = longest_gap_s(60, spare)
    took, lost = stepped(mtu, interval_ms, 0.95 * longest, 60)
    assert lost == 0
    assert took == pytest.approx(back_fill_s(0.95 * longest, spare), rel=0.06, abs=0.05)
    if longest < 60:
        assert stepped(mtu, interval_ms, 1.1 * longest, 60)[1] > 0


def test_where_live_does_not_fit():
    assert spare_samples_per_s(23, 50.0, FEW) < 0
    assert back_fill_s(30, -1) is None
    assert longest_gap_s(60, -1) == 0
    # Four PDUs in 50 ms: 80 a second for 100 samples.
    assert ROWS[3][2] == "live does not fit"
