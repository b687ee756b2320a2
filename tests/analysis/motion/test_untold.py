"""A boundary that cannot be told is null, with a reason, and stays so through judging, JSON, recording and logbook."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest
from motion_scenes import REP, minimum_jerk, scene

from analysis.motion.analysis import Analysis, analyse
from analysis.motion.events import BoutRefined
from analysis.motion.lobes import Track
from analysis.motion.metrics import as_told
from analysis.motion.mounts import Mount
from analysis.motion.parameters import StrokeParameters
from analysis.motion.pipeline import Pipeline
from analysis.motion.results import Rep, Untold, Why
from analysis.motion.samples import Samples
from analysis.motion.sureness import Ground, told
from analysis.motion.words import Kind, Stroke, Word
from analysis.training.phases import lowering, rise, top_hold
from tui.document import analysis_document
from tui.session.stored import decode_event, encode_event
from tui.words.format import rep_phases

QUICK = ((0.4, 0.6), (0.0, 0.3), (-0.4, 0.7), (0.0, 0.6))


def without(samples: Samples, from_s: float, to_s: float) -> Samples:
    where = (samples.t_s <= from_s) | (samples.t_s >= to_s)
    return Samples(samples.t_s[where], samples.force_m_s2[where])


def hit(steps: tuple[tuple[float, float], ...], lost_s: float) -> tuple[Analysis, float]:
    """Six reps; a hole lies around the end of the third rep's way up. The analysis, and that moment."""
    samples, starts = scene([(0.0, 6.0), *steps * 6, (0.0, 14.0)])
    top_s = starts[1 + 2 * 4 + 1]
    return analyse(without(samples, top_s - lost_s / 2, top_s + lost_s / 2), Mount.BODY), top_s


def third(found: Analysis) -> Rep:
    (bout,) = found.sets
    assert bout.count == 6
    return bout.reps[2]


def test_a_boundary_in_a_short_hole_is_given_with_the_holes_own_sigma() -> None:
    # Within a hole of T seconds all that is known of a moment is a standard deviation of T/√12.
    found, top_s = hit(REP, 0.8)
    rep = third(found)
    assert rep.top_s is not None
    assert rep.timing_sd.top_s is not None
    assert rep.timing_sd.top_s >= 0.8 / 12**0.5 - 0.02
    assert abs(rep.top_s - top_s) <= 2 * rep.timing_sd.top_s
    assert rep.untold == Untold()


def test_a_boundary_in_a_hole_nearly_as_long_as_the_rep_is_null_for_the_gap() -> None:
    found, _ = hit(QUICK, 1.0)
    rep = third(found)
    assert (rep.top_s, rep.hold_top_s, rep.travel_m, rep.peak_velocity_m_s) == (None,) * 4
    assert rep.untold.top is Why.GAP
    assert rep.timing_sd.top_s is None
    others = [r for k, r in enumerate(found.sets[0].reps) if k not in (1, 2, 3)]
    assert {r.untold for r in others} == {Untold()}


def test_phases_of_an_untold_boundary_are_not_measurable_and_shown_as_unknown() -> None:
    rep = third(hit(QUICK, 1.0)[0])
    assert rise(rep).actual_s is None
    assert top_hold(rep).actual_s is None
    assert "up –" in rep_phases(rep).replace("up   –", "up –")


def test_an_untold_start_stays_a_number_whose_phase_is_not_measurable() -> None:
    rep = replace(third(hit(REP, 0.1)[0]))
    dark = replace(rep, timing_sd=replace(rep.timing_sd, start_s=None), untold=Untold(start=Why.GAP))
    assert dark.start_s == rep.start_s
    assert rise(dark).sd_s is None
    assert lowering(dark).sd_s is not None


def test_untold_boundaries_survive_the_document_and_the_recording() -> None:
    found, top_s = hit(QUICK, 1.0)
    document = json.loads(json.dumps(analysis_document(found, file="a.csv", mount=Mount.BODY)))
    rep = document["sets"][0]["reps"][2]
    assert rep["top_s"] is rep["hold_top_s"] is rep["timing_sd_s"]["top"] is None
    assert rep["untold"]["top"] == "gap"
    samples, _ = scene([(0.0, 6.0), *QUICK * 6, (0.0, 14.0)])
    pipeline = Pipeline(Mount.BODY)
    events = [*pipeline.push(without(samples, top_s - 0.5, top_s + 0.5)), *pipeline.finish()]
    assert any(r.untold.top for e in events if isinstance(e, BoutRefined) for r in e.bout.reps)
    assert [decode_event(encode_event(event)) for event in events] == events


@pytest.mark.parametrize("noise_m_s2", [0.02, 0.2])
def test_nothing_is_untold_where_nothing_is_lost(noise_m_s2: float) -> None:
    samples, _ = scene([(0.0, 6.0), *REP * 6, (0.0, 14.0)], noise_m_s2=noise_m_s2)
    (bout,) = analyse(samples, Mount.BODY).sets
    assert {rep.untold for rep in bout.reps} == {Untold()}
    assert np.all([rep.timing_sd.top_s is not None for rep in bout.reps])


def test_where_up_may_be_down_no_top_no_phase_and_no_speed_is_claimed() -> None:
    samples, _ = scene([(0.0, 6.0), *REP * 6, (0.0, 14.0)])
    (bout,) = analyse(samples, Mount.BODY).sets
    assert as_told(bout) == bout
    dark = as_told(replace(bout, measured=False, why=Why.SIGN_UNRESOLVED))
    assert dark.count == 6
    for rep in dark.reps:
        assert (rep.top_s, rep.down_s, rep.hold_top_s, rep.bottom_pause_s, rep.peak_velocity_m_s) == (None,) * 5
        assert rep.untold == Untold(*[Why.SIGN_UNRESOLVED] * 4)
        assert (rise(rep).sd_s, lowering(rep).sd_s) == (None, None)


def boundaries(power: float) -> tuple[float, float]:
    """Where a minimum-jerk stroke's `power` passes 5 % of its own peak speed, shares of its time (Flash & Hogan)."""
    s = np.linspace(0, 1, 20_001)
    height, _, _ = minimum_jerk(s, 1.0, 1.0)
    moves = np.flatnonzero(np.gradient(height**power) > 0.05 * np.gradient(height**power).max())
    return float(s[moves[0]]), float(s[moves[-1]])


def test_a_tilt_that_is_no_even_image_of_height_moves_boundaries_by_what_its_sigma_allows_for() -> None:
    even, square, root = boundaries(1.0), boundaries(2.0), boundaries(0.5)
    assert square[0] - even[0] == pytest.approx(0.155, abs=0.002)
    assert root[0] - even[0] == pytest.approx(-0.059, abs=0.002)
    t = np.arange(0, 6, 0.04)
    up, down = minimum_jerk(t - 1, 5.0, 2.0), minimum_jerk(t - 3, -5.0, 2.0)
    track = Track(t, up[0] + down[0], up[1] + down[1], 25.0, 0.1)
    ground = Ground(track, None, np.tile([0.0, 0.0, 1.0], (len(t), 1)), np.zeros(len(t), np.bool_), tilts=True)
    word = Word((Stroke(0, 0, 1, 28, 72, None, 5.0, 4.7), Stroke(1, 1, -1, 78, 122, None, 5.0, 4.7)), Kind.FULL)
    sds, whys = told(ground, (28.0, 72.0, 78.0, 122.0), word, StrokeParameters())
    assert whys == Untold()
    assert sds.start_s is not None
    assert sds.top_s is not None
    assert (square[0] - even[0]) * 2.0 / 2 < sds.start_s < (square[0] - even[0]) * 2.0
    assert sds.top_s < sds.start_s


def test_a_boundary_that_a_slip_hides_is_null_for_the_slip() -> None:
    t = np.arange(0, 6, 0.04)
    up, down = minimum_jerk(t - 1, 5.0, 1.0), minimum_jerk(t - 2, -5.0, 1.0)
    track = Track(t, up[0] + down[0], up[1] + down[1], 25.0, 0.1)
    slips = (t > 1.5) & (t < 2.7)
    nowhere, level = np.zeros(len(t), np.bool_), np.tile([0.0, 0.0, 1.0], (len(t), 1))
    ground = Ground(track, None, level, nowhere, tilts=True, slips=slips)
    word = Word((Stroke(0, 0, 1, 27, 48, None, 5.0, 9.4), Stroke(1, 1, -1, 52, 73, None, 5.0, 9.4)), Kind.FULL)
    sds, whys = told(ground, (27.0, 48.0, 52.0, 73.0), word, StrokeParameters())
    assert (whys.start, whys.top, whys.down, whys.end) == (None, Why.SLIPPED, Why.SLIPPED, None)
    assert (sds.top_s, sds.down_s) == (None, None)
