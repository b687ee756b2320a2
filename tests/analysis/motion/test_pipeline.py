"""The streaming contract: no cut, no packet size and no future changes what is said."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from motion_scenes import REP, after, cut, scene

from analysis.motion.analysis import analyse
from analysis.motion.events import (
    BoutClosed,
    BoutOpened,
    BoutRefined,
    Event,
    PhaseChanged,
    RepConfirmed,
    RepProvisional,
    SpanUnmeasurable,
)
from analysis.motion.grid import Stretch
from analysis.motion.inlet import Inlet
from analysis.motion.live import LiveTracker
from analysis.motion.mounts import Mount
from analysis.motion.parameters import DEFAULTS
from analysis.motion.pipeline import Pipeline
from analysis.motion.results import Bout
from analysis.motion.samples import Samples
from tests.bench.trainee_corpus import draw_session

SET, _ = scene([(0.0, 6.0), *REP * 4, (0.0, 12.0)], 50.0)


def events_of(pieces: list[Samples], *, live: bool, mount: Mount = Mount.BODY) -> list[Event]:
    pipeline = Pipeline(mount, live=live)
    return [event for piece in pieces for event in pipeline.push(piece)] + pipeline.finish()


def refined(events: list[Event]) -> list[Bout]:
    return [e.bout for e in events if isinstance(e, BoutRefined)]


WHOLE = {live: events_of([SET], live=live) for live in (True, False)}


@settings(max_examples=8, deadline=None)
@given(st.lists(st.integers(0, len(SET)), max_size=30), st.booleans())
def test_cutting_the_stream_changes_no_event(at: list[int], live: bool) -> None:
    assert events_of(cut(SET, at), live=live) == WHOLE[live]


def test_one_sample_at_a_time_changes_no_event() -> None:
    assert events_of(cut(SET, range(1, len(SET))), live=True) == WHOLE[True]


def test_refined_bouts_do_not_depend_on_live() -> None:
    assert refined(WHOLE[True]) == refined(WHOLE[False])
    assert [b.count for b in refined(WHOLE[True])] == [4]
    assert not [e for e in WHOLE[False] if not isinstance(e, BoutRefined | SpanUnmeasurable)]


def test_the_life_of_a_bout_is_told_in_order() -> None:
    kinds = [type(e) for e in WHOLE[True] if not isinstance(e, PhaseChanged)]
    assert kinds == [BoutOpened, *[RepProvisional, RepConfirmed] * 4, BoutClosed, BoutRefined]
    counts = [e.count for e in WHOLE[True] if isinstance(e, RepProvisional | RepConfirmed)]
    assert counts == [1, 1, 2, 2, 3, 3, 4, 4]
    closed = next(e for e in WHOLE[True] if isinstance(e, BoutClosed))
    final = next(e for e in WHOLE[True] if isinstance(e, BoutRefined))
    assert final.supersedes == (closed.bout.number,)
    assert len({e.id for e in WHOLE[True]}) == len(WHOLE[True])


def test_nothing_is_said_before_it_could_be_known() -> None:
    for event in WHOLE[True]:
        if isinstance(event, RepConfirmed):
            assert event.rep.end_s <= event.emitted_s
        if isinstance(event, RepProvisional):
            assert event.top_s <= event.emitted_s


def test_a_garbage_future_changes_nothing_that_was_said() -> None:
    cut_at = int(17.0 * 50)
    force = SET.force_m_s2.copy()
    force[cut_at:] = np.random.default_rng(5).normal(0, 30, force[cut_at:].shape)
    now_s = float(SET.t_s[cut_at - 1])
    spoilt = events_of([Samples(SET.t_s, force)], live=True)
    assert [e for e in spoilt if e.emitted_s < now_s - 0.1] == [e for e in WHOLE[True] if e.emitted_s < now_s - 0.1]


def test_two_sets_with_a_rest_between_and_a_long_hole() -> None:
    two = after(SET, scene([(0.0, 30.0)], 50.0)[0], SET)
    bouts = refined(events_of([two], live=False))
    assert [b.count for b in bouts] == [4, 4]
    assert [b.number for b in bouts] == [0, 1]
    moved = replace(SET, t_s=SET.t_s + 200.0)
    events = events_of([SET, moved], live=True)
    assert [b.count for b in refined(events)] == [4, 4]
    spans = [e.span for e in events if isinstance(e, SpanUnmeasurable)]
    assert [(s.start_s, s.end_s) for s in spans] == [(float(SET.t_s[-1]), 200.0)]
    assert len({e.id for e in events}) == len(events)


@pytest.mark.parametrize("live", [False, True])
@pytest.mark.parametrize("later_s", [1.0, 200.0])
def test_what_is_parted_is_told_at_once_and_goes_on_as_a_stream_of_its_own(later_s: float, live: bool) -> None:
    """Whatever lies between: after it everything is as if it were the first, by numbers and times that go on."""
    pipeline = Pipeline(Mount.BODY, live=live)
    short = cut(SET, [round((6.0 + 4 * 3.8 + 1.5) * 50.0)])[0]  # a moment after the last rep
    first = [*pipeline.push(short), *pipeline.part()]
    assert first == [*events_of([short], live=live)]
    assert [bout.count for bout in refined(first)] == [4]
    moved = replace(SET, t_s=SET.t_s + float(short.t_s[-1]) + later_s)
    second = [*pipeline.push(moved), *pipeline.finish()]
    assert not [e for e in second if isinstance(e, SpanUnmeasurable)]
    assert [(b.number, b.count) for b in refined(second)] == [(1, 4)]
    alone = refined(events_of([moved], live=live))
    assert [replace(b, number=0) for b in refined(second)] == alone
    assert len({e.id for e in [*first, *second]}) == len(first) + len(second)


def test_samples_that_go_back_are_refused() -> None:
    pipeline = Pipeline(Mount.BODY)
    pipeline.push(SET)
    with pytest.raises(ValueError, match="must continue after"):
        pipeline.push(SET)


@pytest.mark.parametrize("mount", list(Mount))
def test_empty_short_and_still_streams_hold_nothing(mount: Mount) -> None:
    empty = Samples(np.empty(0), np.empty((0, 3)))
    assert analyse(empty, mount).sets == ()
    for seconds in (0.02, 1.0, 70.0):
        still, _ = scene([(0.0, seconds)], 50.0)
        assert analyse(still, mount).sets == ()
    flat = Samples(np.arange(0, 60, 0.02), np.full((3000, 3), 5.66))
    assert analyse(flat, mount).sets == ()


def test_live_and_refined_documents() -> None:
    live, final = analyse(SET, Mount.BODY, live=True), analyse(SET, Mount.BODY)
    assert (live.kind, final.kind) == ("live", "refined")
    assert [b.count for b in live.sets] == [b.count for b in final.sets] == [4]
    assert live.parameters_sha == final.parameters_sha
    for rep in live.sets[0].reps:
        assert rep.provisional_s is not None
        assert rep.emitted_s is not None
        assert rep.provisional_s < rep.end_s < rep.emitted_s < rep.end_s + 1.5
    assert all(r.emitted_s is None for r in final.sets[0].reps)
    assert final.sample_rate_hz == pytest.approx(50.0)


def test_quick_reps_that_shake_like_steps_do_not_end_a_set() -> None:
    """One-and-a-half reps of the virtual trainee, 4 s each: between two of them nothing else happens for 2 s."""
    session = draw_session("moving-bar", 5003)
    part = (session.t_s > 280) & (session.t_s < 390)
    samples = Samples(session.t_s[part], session.force_m_s2[part])
    done = next(b for b in session.bouts if b.reps and 290 < session.reps[b.reps.start].start_s < 310)
    (bout,) = analyse(samples, Mount.MOVING_BAR).sets
    assert bout.count == len(done.reps)


def test_what_comes_late_changes_no_refined_bout_and_no_live_one_that_came_in_time() -> None:
    pipeline, late = Pipeline(Mount.BODY), Pipeline(Mount.BODY, live=False)
    pieces = cut(SET, range(5, len(SET), 5))
    events = [event for piece in pieces for event in pipeline.push_live(piece)]
    assert [b.count for b in refined(events)] == []
    events += [event for piece in pieces for event in pipeline.settle(piece)] + pipeline.finish()
    assert refined(events) == refined(WHOLE[True])
    live = [e for e in events if not isinstance(e, BoutRefined)]
    assert live == [e for e in WHOLE[True] if not isinstance(e, BoutRefined)]
    assert next(e for e in events if isinstance(e, BoutRefined)).supersedes == (0,)
    assert late.push_live(SET) == []


def test_a_hole_that_only_live_could_not_wait_for_is_none_to_the_refinement() -> None:
    hole = slice(round(12.0 * 50), round(50.0 * 50))
    long, _ = scene([(0.0, 6.0), *REP * 16, (0.0, 12.0)], 50.0)
    pipeline = Pipeline(Mount.BODY)
    events = [
        e for part in (slice(0, hole.start), slice(hole.stop, None)) for e in pipeline.push_live(piece_of(long, part))
    ]
    events += [*pipeline.settle(long), *pipeline.finish()]
    assert [b.count for b in refined(events) if b.reps] == [16]
    assert not [e for e in events if isinstance(e, SpanUnmeasurable)]
    closed = [e.bout.number for e in events if isinstance(e, BoutClosed)]
    assert len(closed) == 2
    assert next(e for e in events if isinstance(e, BoutRefined)).supersedes == tuple(closed)


def test_the_live_tracker_ends_with_what_came_in_time_though_as_much_came_for_the_whole(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Two inputs of one length whose last sample differs: each way ends with its own."""
    fed: list[np.ndarray] = []
    push = LiveTracker.push
    monkeypatch.setattr(LiveTracker, "push", lambda self, grid: [fed.append(grid.force_m_s2), push(self, grid)][1])
    last = np.where(np.arange(len(SET)) == len(SET) - 1, 1.0, 0.0)[:, None]
    pipeline = Pipeline(Mount.FIXED_BAR)
    pipeline.push_live(SET)
    pipeline.settle(Samples(SET.t_s, SET.force_m_s2 + last))
    pipeline.finish()
    inlet = Inlet(Mount.FIXED_BAR, DEFAULTS)
    true = [part for part in (*inlet.push(SET), inlet.finish()) if isinstance(part, Stretch)]
    np.testing.assert_array_equal(np.vstack(fed), np.vstack([part.force_m_s2 for part in true]))


def piece_of(samples: Samples, part: slice) -> Samples:
    return Samples(samples.t_s[part], samples.force_m_s2[part])
