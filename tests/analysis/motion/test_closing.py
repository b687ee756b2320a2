"""What a live bout says of itself before it closes."""

from __future__ import annotations

from motion_scenes import REP, after, scene

from analysis.motion.closing import correction, own_and_others
from analysis.motion.events import BoutClosed, RepConfirmed, RepWithdrawn
from analysis.motion.mounts import Mount
from analysis.motion.pipeline import Pipeline
from analysis.motion.results import Bout, Rep, RepKind, TimingSd


def rep(start_s: float, end_s: float) -> Rep:
    sd = TimingSd(0.02, 0.02, 0.02, 0.02)
    return Rep(start_s=start_s, top_s=start_s + 1, down_s=end_s - 1, end_s=end_s, kind=RepKind.FULL, timing_sd=sd)


def bout(*reps: Rep) -> Bout:
    return Bout(number=0, start_s=reps[0].start_s, end_s=reps[-1].end_s, reps=reps)


def test_what_both_readings_hold_stays_as_it_was_told() -> None:
    right = correction([rep(1, 4), rep(5, 8)], [rep(1.2, 4.1), rep(4.9, 8.1)])
    assert (right.withdrawn, right.added) == ((), ())


def test_a_rep_that_was_two_is_taken_back_and_both_are_added() -> None:
    right = correction([rep(1, 8), rep(9, 12)], [rep(1, 4.2), rep(4.6, 8), rep(9, 12)])
    assert (right.withdrawn, right.added) == ((0,), (rep(1, 4.2), rep(4.6, 8)))


def test_the_bout_is_the_one_that_covers_most_of_what_was_told() -> None:
    before, own = bout(rep(1, 4), rep(5, 8)), bout(rep(31, 34), rep(35, 38), rep(39, 42))
    assert own_and_others([before, own], [rep(5, 8), rep(31, 34), rep(35, 38)]) == (own, [before])
    assert own_and_others([], [rep(1, 4)]) == (None, [])


def test_a_first_rep_taken_back_too_early_is_counted_when_the_set_closes() -> None:
    first, _ = scene([(0.0, 6.0), (0.45, 1.0), (0.0, 0.4), (-0.45, 1.1), (0.0, 6.0)], base_deg=32.0)
    rest, _ = scene([(0.0, 0.8), *REP * 5, (0.0, 12.0)])
    pipeline = Pipeline(Mount.BODY)
    samples = after(first, rest)
    events = [*pipeline.push(samples), *pipeline.finish()]
    assert any(isinstance(e, RepWithdrawn) for e in events)
    (closed,) = (e.bout for e in events if isinstance(e, BoutClosed) and e.bout.reps)
    assert closed.count == 6
    late = max((e for e in events if isinstance(e, RepConfirmed)), key=lambda e: e.emitted_s - e.rep.end_s)
    assert late.rep.emitted_s == late.emitted_s > 35.0 > 10.0 > late.rep.end_s
