"""How long packets are on the air, and how long back-fill takes: the arithmetic behind timing.md and power.md.

    python -m firmware_notes.air        prints the tables of timing.md

Bluetooth LE at 1 Mbit/s, one symbol a bit. Each data PDU of the device is answered by an empty one of the host, with
the inter-frame space before and after (Core Specification, Vol 6, Part B: 2.1 packet format, 2.4 data PDU, 4.1.1 T_IFS;
Vol 3, Part A, 3.1 L2CAP header; Vol 3, Part F, 3.4.7.1 notification).
"""

from __future__ import annotations

import sys

from firmware_notes.reference.packet import header_bytes, layout_for, max_samples

US_PER_BYTE = 8
PDU_FRAME_BYTES = 1 + 4 + 2 + 3
"""Preamble, access address, header, CRC."""
T_IFS_US = 150
EMPTY_US = PDU_FRAME_BYTES * US_PER_BYTE
LONG_PDU_BYTES = 251
"""Most payload of a PDU with data length extension."""
SHORT_PDU_BYTES = 27
"""Without it."""
ATT_L2CAP_BYTES = 3 + 4
SAMPLE_BYTES = 12
PACKET_S = 0.1
"""Live packets hold at most so much (gatt.md)."""
MTUS = (23, 185, 247, 517)
INTERVALS_MS = (7.5, 15.0, 30.0, 50.0)
FEW = 4
"""PDUs that cautious hosts grant in a connection event; others let the event last until the next."""


def pdus(value_bytes: int, pdu_bytes: int = LONG_PDU_BYTES) -> list[int]:
    """Return the payloads (bytes) of the data PDUs that carry a notification of `value_bytes`."""
    left = value_bytes + ATT_L2CAP_BYTES
    return [min(pdu_bytes, left - done) for done in range(0, left, pdu_bytes)]


def exchange_us(payload_bytes: int) -> int:
    """Return how long a data PDU takes with its answer and both inter-frame spaces, µs."""
    return (PDU_FRAME_BYTES + payload_bytes) * US_PER_BYTE + T_IFS_US + EMPTY_US + T_IFS_US


def value_bytes(att_mtu: int, samples: int) -> int:
    """Return the length of a packet of `samples` samples of six axes."""
    return header_bytes(layout_for(att_mtu)) + samples * SAMPLE_BYTES


def live_samples(att_mtu: int, rate_hz: float) -> int:
    """Return how many samples a live packet holds."""
    return min(max_samples(att_mtu, 6), max(1, round(rate_hz * PACKET_S)))


def pdus_per_s(att_mtu: int, interval_ms: float, most: int | None, pdu_bytes: int = LONG_PDU_BYTES) -> float:
    """Return how many data PDUs a second go out while full packets wait.

    Parameters
    ----------
    interval_ms
        Connection interval.
    most
        PDUs that the host grants in an event; None: as many as the air takes.
    """
    parts = pdus(value_bytes(att_mtu, max_samples(att_mtu, 6)), pdu_bytes)
    mean_us = sum(exchange_us(part) for part in parts) / len(parts)
    fit = int(interval_ms * 1000 / mean_us)
    return (fit if most is None else min(most, fit)) * 1000 / interval_ms


def spare_samples_per_s(
    att_mtu: int, interval_ms: float, most: int | None, rate_hz: float = 100.0, pdu_bytes: int = LONG_PDU_BYTES
) -> float:
    """Return how many samples a second can be re-sent beside the live ones; 0 or less: not even these go out."""
    live = live_samples(att_mtu, rate_hz)
    live_pdus = rate_hz / live * len(pdus(value_bytes(att_mtu, live), pdu_bytes))
    full = max_samples(att_mtu, 6)
    spare = pdus_per_s(att_mtu, interval_ms, most, pdu_bytes) - live_pdus
    return spare / len(pdus(value_bytes(att_mtu, full), pdu_bytes)) * full


def back_fill_s(missing_s: float, spare: float, rate_hz: float = 100.0) -> float | None:
    """Return how long it takes to re-send `missing_s` of samples; None if the link has nothing to spare."""
    return missing_s * rate_hz / spare if spare > 0 else None


def longest_gap_s(ring_s: float, spare: float, rate_hz: float = 100.0) -> float:
    """Return the longest gap that is filled without a loss from a ring of `ring_s`.

    The ring goes on losing its oldest sample while it is read, oldest first: where samples are re-sent more slowly
    than they are taken, the tail of a longer gap is overwritten before its turn.
    """
    return ring_s * min(1.0, max(0.0, spare / rate_hz))


def table(rate_hz: float = 100.0, ring_s: float = 60.0) -> list[tuple[str, ...]]:
    """Return the rows of timing.md's table: MTU, interval; few PDUs: 30 s, 60 s, longest gap; all: 30 s, 60 s."""
    rows = []
    for mtu in MTUS:
        for interval_ms in INTERVALS_MS:
            few, every = (spare_samples_per_s(mtu, interval_ms, most, rate_hz) for most in (FEW, None))
            times = [_seconds(back_fill_s(gap_s, few, rate_hz)) for gap_s in (30, 60)]
            times += [_seconds(longest_gap_s(ring_s, few, rate_hz) if few > 0 else None)]
            times += [_seconds(back_fill_s(gap_s, every, rate_hz)) for gap_s in (30, 60)]
            rows.append((str(mtu), f"{interval_ms:g}", *times))
    return rows


def _seconds(seconds: float | None) -> str:
    return "live does not fit" if seconds is None else f"{seconds:.2g}" if seconds < 10 else f"{seconds:.0f}"


if __name__ == "__main__":
    for row in table():
        sys.stdout.write("| " + " | ".join(row) + " |\n")
