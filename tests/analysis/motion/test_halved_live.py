"""One-and-a-half reps as they are counted live: once each. Truth: the scene, and what the virtual trainee does."""

from __future__ import annotations

from dataclasses import replace

from motion_scenes import HALVED, REP, Step, cut, scene

from analysis.motion.events import BoutClosed, BoutRefined, Event, RepConfirmed, RepWithdrawn
from analysis.motion.in_session import IN_A_SESSION
from analysis.motion.mounts import Mount
from analysis.motion.pipeline import Pipeline
from analysis.motion.samples import Samples
from tests.bench.trainee_corpus import draw_session


def live(samples: Samples, *, halved: bool = True) -> list[Event]:
    """What is told live of a body, in packets of ten samples."""
    pipeline = Pipeline(Mount.BODY, halved=halved)
    return [event for part in cut(samples, range(10, len(samples), 10)) for event in pipeline.push_live(part)]


def counts_at(told: list[Event], moments_s: list[float]) -> list[int]:
    """The count that stands at each moment."""
    changes = [e for e in told if isinstance(e, RepConfirmed | RepWithdrawn)]
    return [next((e.count for e in reversed(changes) if e.emitted_s <= at_s), 0) for at_s in moments_s]


def ends_of(steps: tuple[Step, ...], reps: int, *, begin_s: float, pause_s: float) -> list[float]:
    rep_s = sum(lasts_s for _, lasts_s in steps)
    return [begin_s + (k + 1) * rep_s - pause_s for k in range(reps)]


def test_each_is_counted_once_within_a_second_of_its_end() -> None:
    samples, _ = scene([(0.0, 6.0), *HALVED * 6, (0.0, 14.0)])
    ends_s = ends_of(HALVED, 6, begin_s=6.0, pause_s=0.8)
    assert counts_at(live(samples), [end_s + 1.0 for end_s in ends_s]) == [1, 2, 3, 4, 5, 6]


def test_a_long_set_of_the_virtual_trainee_is_not_counted_by_its_halves() -> None:
    """Sixteen reps, read 24 at the end where nothing is known of what was asked for."""
    session = draw_session("body", 38, minutes=4)
    bout = next(b for b in session.bouts if len(b.reps) == 16)
    part = (session.t_s > bout.mount_s - 8) & (session.t_s < bout.free_s + 12)
    samples = Samples(session.t_s[part], session.force_m_s2[part], session.rate_rad_s[part])
    counts = counts_at(live(samples), [session.reps[k].end_s + 2.0 for k in bout.reps])
    done = list(range(1, 17))
    assert counts[4:] == done[4:]
    assert all(one <= other for one, other in zip(counts, done, strict=True))


def test_a_plain_rep_among_them_is_counted_once_the_next_has_begun() -> None:
    samples, _ = scene([(0.0, 6.0), *REP * 6, (0.0, 14.0)])
    told = live(samples)
    ends_s = ends_of(REP, 6, begin_s=6.0, pause_s=0.8)
    assert counts_at(told, [end_s + 0.7 for end_s in ends_s]) == [0, 1, 2, 3, 4, 5]
    (closed,) = (e for e in told if isinstance(e, BoutClosed))
    assert closed.bout.count == 6


def test_what_was_asked_for_does_not_touch_the_refinement() -> None:
    samples, _ = scene([(0.0, 6.0), *REP * 2, *HALVED * 4, (0.0, 14.0)])
    answers = []
    for halved in (False, True):
        pipeline = Pipeline(Mount.BODY, parameters=IN_A_SESSION, halved=halved)
        events = [*pipeline.push(samples), *pipeline.finish()]
        answers.append([replace(e.bout, number=0) for e in events if isinstance(e, BoutRefined)])
    assert answers[0] == answers[1]
    assert sum(bout.count for bout in answers[0]) == 6
