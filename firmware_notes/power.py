"""Current by state and life from a cell: the arithmetic behind power.md, which says where each figure comes from.

    python -m firmware_notes.power        prints the tables of power.md

All figures are averages. A radio event costs its time on the air at the current of radio and processor together, and
some work before and after it at the processor's.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass

from firmware_notes.air import EMPTY_US, PDU_FRAME_BYTES, T_IFS_US, US_PER_BYTE, live_samples, pdus, value_bytes

MTU = 247
INTERVAL_MS = 30.0
RATES_HZ = (100, 200, 400)
ADVERTISED_BYTES = 6 + 21
"""Address, flags and service UUID (gatt.md, Advertising)."""
ADVERTISING_DELAY_MS = 5.0
"""Mean of the random 0 … 10 ms (Core Specification, Vol 6, Part B, 4.4.2.2)."""
LISTEN_US = 100
"""After an advertisement the radio listens so long for an answer, about; likewise it opens early for the host's PDU."""
CELLS_MAH = {"LiPo 400 mAh": 400 * 0.85, "CR2032 225 mAh": 225 * 0.85}
"""Nominal charge, and 85 % of it as usable in mAh."""
SESSION_H = 1.0


@dataclass(frozen=True, slots=True)
class Chips:
    """Currents and times of a processor with radio, and of a motion chip.

    Attributes
    ----------
    awake_ma, receive_ma, send_ma
        Processor alone; with the radio receiving, sending at 0 dBm.
    sleep_ua, off_ua
        Processor between events, with its memory kept; switched off until a pin wakes it.
    event_us, sample_us
        Processor's work for each radio event and each sample, estimates.
    motion_ua, motion_off_ua
        Motion chip measuring six axes; suspended.
    """

    awake_ma: float = 3.3
    receive_ma: float = 8.6
    send_ma: float = 8.1
    sleep_ua: float = 3.16
    off_ua: float = 0.4
    event_us: float = 400.0
    sample_us: float = 60.0
    motion_ua: float = 925.0
    motion_off_ua: float = 3.0


NRF52840 = Chips()
"""nRF52840 with DC/DC at 3 V, and BMI160."""


def advertising_ua(chips: Chips, interval_ms: float, sampling: bool) -> float:
    """Return the current while it advertises on three channels, µA; `sampling` goes on while a host may come back."""
    send_us = 3 * (PDU_FRAME_BYTES + ADVERTISED_BYTES) * US_PER_BYTE
    listen_us = 3 * (T_IFS_US + LISTEN_US)
    charge = chips.event_us * chips.awake_ma + send_us * chips.send_ma + listen_us * chips.receive_ma
    events_per_s = 1000 / (interval_ms + ADVERTISING_DELAY_MS)
    return chips.sleep_ua + events_per_s * charge / 1000 + _motion_ua(chips, 100 if sampling else 0)


def connected_ua(chips: Chips, rate_hz: float = 100.0, streaming: bool = False) -> float:
    """Return the current while connected, µA: sampling, with empty packets or with the stream in them."""
    listen_us = LISTEN_US + EMPTY_US + T_IFS_US
    charge = chips.event_us * chips.awake_ma + listen_us * chips.receive_ma + EMPTY_US * chips.send_ma
    ua = chips.sleep_ua + 1000 / INTERVAL_MS * charge / 1000 + _motion_ua(chips, rate_hz)
    if streaming:
        samples = live_samples(MTU, rate_hz)
        (payload,) = pdus(value_bytes(MTU, samples))
        # Never more than one in an event at these rates, in the place of the empty one.
        assert rate_hz / samples < 1000 / INTERVAL_MS
        ua += rate_hz / samples * payload * US_PER_BYTE * chips.send_ma / 1000
    return ua


def deep_sleep_ua(chips: Chips) -> float:
    """Return the current of both chips switched off, µA."""
    return chips.off_ua + chips.motion_off_ua


def _motion_ua(chips: Chips, rate_hz: float) -> float:
    if not rate_hz:
        return chips.motion_off_ua
    return chips.motion_ua + rate_hz * chips.sample_us * chips.awake_ma / 1000


def states(chips: Chips = NRF52840) -> dict[str, float]:
    """Return the current of each state, µA."""
    return {
        "advertising every 100 ms, sampling": advertising_ua(chips, 100.0, sampling=True),
        "advertising every 1022.5 ms, chip asleep": advertising_ua(chips, 1022.5, sampling=False),
        "connected, sampling, not streaming": connected_ua(chips),
        **{f"streaming {rate} Hz × 6 axes": connected_ua(chips, rate, streaming=True) for rate in RATES_HZ},
        "deep sleep": deep_sleep_ua(chips),
    }


def life_h(usable_mah: float, ua: float) -> float:
    """Return how long a cell lasts, hours."""
    return usable_mah * 1000 / ua


def life_days(usable_mah: float, session_ua: float, rest_ua: float) -> float:
    """Return how many days a cell lasts with one session of `SESSION_H` a day and `rest_ua` else."""
    return usable_mah * 1000 / (SESSION_H * session_ua + (24 - SESSION_H) * rest_ua)


if __name__ == "__main__":
    for state, current_ua in states().items():
        lives = " | ".join(f"{life_h(cell, current_ua):.0f}" for cell in CELLS_MAH.values())
        sys.stdout.write(f"| {state} | {current_ua:.3g} | {lives} |\n")
