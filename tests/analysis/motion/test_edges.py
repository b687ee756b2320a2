"""Boundaries of a stroke under drift; the strokes are minimum jerk (Flash & Hogan 1985, J Neurosci 5:1688)."""

from __future__ import annotations

import numpy as np
import pytest
from motion_scenes import minimum_jerk

from analysis.motion.edges import Edges, stroke_edges
from analysis.motion.lobes import Track
from analysis.motion.mounts import Mount
from analysis.motion.on_mount import in_grip
from analysis.motion.parameters import DEFAULTS
from analysis.motion.words import Stroke

RATE = 25.0
AT_S, LONG_S = 3.0, 1.0


def edges(drift_m_s: float, rest_s: float = 1.0) -> Edges:
    """Boundaries of one way up, 0.05 of whose peak speed is 0.042 m/s; the speed is off by a drift."""
    t = np.arange(0.0, 8.0, 1 / RATE)
    height, speed, _ = minimum_jerk(t - AT_S, 0.45, LONG_S)
    track = Track(t, height, speed + drift_m_s, RATE, DEFAULTS.stroke.boundary_speed_m_s)
    first, last = round((AT_S + 0.15) * RATE), round((AT_S + LONG_S - 0.15) * RATE)
    stroke = Stroke(0, 0, 1, first, last, None, 0.45, 0.84)
    rest = rest_s * RATE
    return stroke_edges(track, stroke, first - rest, last + rest, DEFAULTS.stroke)


@pytest.mark.parametrize("drift_m_s", [0.0, 0.03, 0.06])
def test_a_stroke_ends_where_it_stops_though_drift_keeps_the_pause_above_the_threshold(drift_m_s: float) -> None:
    found = edges(drift_m_s)
    assert abs(found.start / RATE - (AT_S + 0.059)) < 0.05
    assert abs(found.stop / RATE - (AT_S + LONG_S - 0.059)) < 0.05


def test_where_a_stroke_turns_at_once_it_reaches_to_the_turn() -> None:
    found = edges(0.3, rest_s=0.2)
    assert found.start == round((AT_S + 0.15) * RATE) - 0.2 * RATE
    assert found.stop == round((AT_S + LONG_S - 0.15) * RATE) + 0.2 * RATE


@pytest.mark.parametrize("lag_s", [0.07, 0.1])
def test_a_stroke_ends_where_it_stops_though_the_bar_rolls_on_behind_it(lag_s: float) -> None:
    """First-order lag of a minimum-jerk stroke: 5 % of the peak is passed 0.051 and 0.127 s after its end.

    Both from Euler steps of 0.1 ms on the equation of the lag.
    """
    fine_s = 1e-3
    t = np.arange(0.0, 8.0, fine_s)
    _, speed, _ = minimum_jerk(t - AT_S, 0.45, LONG_S)
    kernel = np.exp(-np.arange(0.0, 12 * lag_s, fine_s) / lag_s)
    late = np.convolve(speed, kernel / kernel.sum())[: len(t) : round(1 / RATE / fine_s)]
    track = Track(t[:: round(1 / RATE / fine_s)], np.cumsum(late) / RATE, late, RATE, 0.0)
    first, last = round((AT_S + 0.2) * RATE), round((AT_S + LONG_S - 0.2) * RATE)
    stroke = Stroke(0, 0, 1, first, last, None, 0.45, 0.84)
    bar, other = (in_grip(DEFAULTS, mount).stroke for mount in (Mount.FIXED_BAR, Mount.SUSPENSION))
    found, plain = (stroke_edges(track, stroke, first - RATE, last + RATE, p) for p in (bar, other))
    assert abs(found.stop / RATE - (AT_S + LONG_S)) < 0.04
    assert abs(plain.stop / RATE - (AT_S + LONG_S) - {0.07: 0.051, 0.1: 0.127}[lag_s]) < 0.01
    assert found.start == plain.start


def test_a_stroke_read_wider_on_a_smoother_track_is_measured_where_it_moves() -> None:
    """A tenth of a second of rest on either side belongs to the stroke as it was read, and not to what is measured."""
    t = np.arange(0.0, 8.0, 1 / RATE)
    height, speed, _ = minimum_jerk(t - AT_S, 0.45, LONG_S)
    track = Track(t, height, speed, RATE, DEFAULTS.stroke.boundary_speed_m_s)
    first, last = round((AT_S - 0.1) * RATE), round((AT_S + LONG_S + 0.1) * RATE)
    wide = stroke_edges(
        track, Stroke(0, 0, 1, first, last, None, 0.45, 0.84), first - RATE, last + RATE, DEFAULTS.stroke
    )
    assert wide == edges(0.0)
