"""Where reading still fails: `python -m tests.bench.failures [FIRST] [SESSIONS]`.

Draws sessions of the virtual trainee on every mount, wider than life, reads each with and without its gyro, sorts the
sets that are read wrong into classes, prints how many there are of each, and draws one example per class into
`tests/bench/pictures`. Nothing is read from a recording.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from enum import StrEnum
from itertools import product
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from analysis.motion.analysis import analyse
from analysis.motion.filters import smooth
from analysis.motion.mounts import Mount
from analysis.motion.results import Bout as Read
from analysis.motion.results import Rep as ReadRep
from analysis.motion.samples import FloatArray, Samples
from tests.bench.trainee_corpus import MOUNTS, Rep, Session, draw_session

if TYPE_CHECKING:
    from matplotlib.axes import Axes

FOLDER = Path(__file__).parent / "pictures"
_OVERLAP = 0.3
"""Share of a set that must have been read for it to be found."""
_FAR_S = 0.5
_MARGIN_S = 6.0


class Failure(StrEnum):
    """What went wrong with a set, the first that holds."""

    FALSE = "set read where there is none"
    HIDDEN = "set not found"
    MIRRORED = "read upside down"
    EDGE_LOST = "first or last rep lost"
    ATTEMPT = "failed attempt counted"
    EDGE_EXTRA = "mount or dismount counted"
    INSIDE_LOST = "rep within the set lost"
    INSIDE_EXTRA = "bounce within the set counted"
    FAR = "a boundary half a second off"


class Case(NamedTuple):
    """One failure: where it is, and what was done and read there."""

    failure: Failure
    mount: str
    seed: int
    gyro: bool
    true: tuple[Rep, ...]
    read: Read | None


def failure_of(true: Sequence[Rep], attempts: Sequence[Rep], read: Read | None) -> Failure | None:
    """Return how a set was misread, or None where it was read right; `attempts` are its partial reps."""
    if read is None:
        return Failure.HIDDEN
    reps = [rep for rep in read.reps if rep.counts]
    if _is_mirrored(true, reps):
        return Failure.MIRRORED
    pairs = [next((r for r in reps if _same(rep, r)), None) for rep in true]
    missed = [i for i, pair in enumerate(pairs) if pair is None]
    extra = [r for r in reps if not any(_same(rep, r) for rep in true)]
    if len(reps) == len(true):
        far = any(pair is not None and _off_s(rep, pair) > _FAR_S for rep, pair in zip(true, pairs, strict=True))
        return Failure.FAR if far else None
    if missed and len(reps) < len(true):
        return Failure.EDGE_LOST if {0, len(true) - 1} & set(missed) else Failure.INSIDE_LOST
    if any(_same(rep, r) for rep in attempts for r in extra):
        return Failure.ATTEMPT
    outside = any(r.start_s > true[-1].down_s or r.end_s < true[0].top_s for r in extra)
    return Failure.EDGE_EXTRA if outside else Failure.INSIDE_EXTRA


def cases(mount: str, seed: int, *, gyro: bool) -> list[Case]:
    """Return what is read wrong in one session."""
    session = draw_session(mount, seed)
    sets = list(analyse(_samples(session, gyro=gyro), Mount(mount)).sets)
    out: list[Case] = []
    for true, attempts in _true_sets(session):
        read = max(sets, key=lambda s: _shared_s(true, s), default=None)
        if read is not None and _shared_s(true, read) < _OVERLAP * (true[-1].end_s - true[0].start_s):
            read = None
        failure = failure_of(true, attempts, read)
        if failure is not None:
            out.append(Case(failure, mount, seed, gyro, tuple(true), read))
    spans = [true for true, _ in _true_sets(session)]
    false = [s for s in sets if s.count and not any(_shared_s(true, s) > 0 for true in spans)]
    return out + [Case(Failure.FALSE, mount, seed, gyro, (), s) for s in false]


def _true_sets(session: Session) -> Iterator[tuple[list[Rep], list[Rep]]]:
    for bout in session.bouts:
        reps = [session.reps[i] for i in bout.reps]
        true = [rep for rep in reps if rep.kind != "partial"]
        if bout.is_set and true:
            yield true, [rep for rep in reps if rep.kind == "partial"]


def _samples(session: Session, *, gyro: bool) -> Samples:
    rising = np.diff(session.t_s, prepend=-np.inf) > 0
    return Samples(session.t_s[rising], session.force_m_s2[rising], session.rate_rad_s[rising] if gyro else None)


def _shared_s(true: Sequence[Rep], read: Read) -> float:
    return min(true[-1].end_s, read.end_s) - max(true[0].start_s, read.start_s)


def _same(rep: Rep, read: ReadRep) -> bool:
    middle_s = 0.5 * (read.start_s + read.end_s)
    return abs(middle_s - 0.5 * (rep.start_s + rep.end_s)) < 0.5 * (rep.end_s - rep.start_s)


def _off_s(rep: Rep, read: ReadRep) -> float:
    edges = ((rep.start_s, read.start_s), (rep.top_s, read.top_s), (rep.down_s, read.down_s), (rep.end_s, read.end_s))
    return max(abs(true_s - read_s) for true_s, read_s in edges if read_s is not None)


def _is_mirrored(true: Sequence[Rep], reps: Sequence[ReadRep]) -> bool:
    """Whether most tops that were read lie nearer to a true bottom than to a true top."""
    tops_s = np.array([0.5 * (rep.top_s + rep.down_s) for rep in true])
    bottoms_s = np.array([true[0].start_s, *(rep.end_s for rep in true)])
    read_s = [0.5 * (r.top_s + r.down_s) for r in reps if r.top_s is not None and r.down_s is not None]
    nearer = [np.abs(bottoms_s - t).min() < np.abs(tops_s - t).min() for t in read_s]
    return 2 * sum(nearer) > max(len(nearer), 1)


def draw(case: Case, path: Path) -> None:
    """Draw force and tilt around a failure, with the reps that were done and those that were read."""
    import matplotlib.pyplot as plt  # an extra; sorting does without

    session = draw_session(case.mount, case.seed)
    edges_s = [t for rep in case.true for t in (rep.start_s, rep.end_s)]
    edges_s += [] if case.read is None else [case.read.start_s, case.read.end_s]
    near = (session.t_s > min(edges_s) - _MARGIN_S) & (session.t_s < max(edges_s) + _MARGIN_S)
    t_s, force = session.t_s[near], session.force_m_s2[near]
    plt.rcParams.update({"font.size": 8, "axes.spines.top": False, "axes.spines.right": False})
    figure, (bars, size, tilt) = plt.subplots(3, 1, figsize=(9, 3.8), sharex=True, height_ratios=(1, 2, 2))
    for rep in case.true:
        _bar(bars, 1, rep)
    for read in () if case.read is None else case.read.reps:
        _bar(bars, 0, read, pale=not read.counts)
    bars.set_yticks([0, 1], ["read", "done"])
    bars.set_ylim(-0.6, 1.6)
    bars.set_title(f"{case.failure}: {_told(case)}", loc="left")
    size.plot(t_s, np.linalg.norm(force, axis=1), lw=0.6)
    size.set_ylabel("force, m/s²")
    tilt.plot(t_s, _tilt_deg(t_s, force), lw=0.8)
    tilt.set_ylabel("tilt, °")
    tilt.set_xlabel("time, s")
    FOLDER.mkdir(exist_ok=True)
    figure.savefig(path, dpi=80, bbox_inches="tight")
    plt.close(figure)


def _bar(axes: Axes, y: int, rep: Rep | ReadRep, *, pale: bool = False) -> None:
    """Draw one rep: green up, grey at the top, red down; all grey where its top is not known."""
    if rep.top_s is None or rep.down_s is None:
        ways = [(rep.start_s, rep.end_s, "tab:grey")]
    else:
        ways = [(rep.start_s, rep.top_s, "tab:green"), (rep.top_s, rep.down_s, "tab:grey")]
        ways.append((rep.down_s, rep.end_s, "tab:red"))
    for begin_s, end_s, colour in ways:
        axes.broken_barh(
            [(begin_s, end_s - begin_s)], (y - 0.35, 0.7), color=colour, ec="white", lw=0.4, alpha=0.3 if pale else 1.0
        )


def _tilt_deg(t_s: FloatArray, force: FloatArray) -> FloatArray:
    """Turn of the slow force along the line in which it turns most."""
    slow = smooth(force, 0.5, 1.0 / float(np.median(np.diff(t_s))))
    up = slow / np.linalg.norm(slow, axis=1)[:, None]
    away = up - np.median(up, axis=0)
    line = np.linalg.svd(away, full_matrices=False)[2][0]
    return np.asarray(np.degrees(away @ line))


def _told(case: Case) -> str:
    sensor = f"{case.mount}, {'with' if case.gyro else 'without'} gyro"
    if case.read is None:
        return f"{len(case.true)} reps done, nothing read ({sensor})"
    said = "claimed" if case.read.measured else f"told as not measurable: {case.read.why}"
    return f"{len(case.true)} done, {case.read.count} read, {said} ({sensor})"


def _work(job: tuple[str, int, bool]) -> tuple[int, list[Case]]:
    mount, seed, gyro = job
    return sum(1 for _ in _true_sets(draw_session(mount, seed))), cases(mount, seed, gyro=gyro)


def _table(found: Sequence[Case], sets: Counter[str]) -> Iterator[str]:
    """Give the counts as lines of Markdown, and how many sets of each class were claimed to be measured."""
    claimed = Counter(case.failure for case in found if case.read is not None and case.read.measured)
    number = Counter((case.failure, case.mount) for case in found)
    yield _row("", *MOUNTS, "claimed")
    yield "|---" * (len(MOUNTS) + 2) + "|"
    for failure in Failure:
        yield _row(failure, *(str(number[failure, mount]) for mount in MOUNTS), str(claimed[failure]))
    yield _row("sets done", *(str(sets[mount]) for mount in MOUNTS), "")


def _row(*cells: str) -> str:
    return f"| {' | '.join(cells)} |"


def main(first: int = 9000, sessions: int = 10) -> None:
    """Draw, sort, print, and draw one picture per class."""
    jobs = list(product(MOUNTS, range(first, first + sessions), (False, True)))
    with ProcessPoolExecutor() as pool:
        results = list(pool.map(_work, jobs))
    found = [case for _, some in results for case in some]
    sets = Counter[str]()
    for (mount, _, _), (n, _) in zip(jobs, results, strict=True):
        sets[mount] += n
    sys.stdout.write("\n".join(_table(found, sets)) + "\n")
    for failure in Failure:
        examples = [case for case in found if case.failure is failure]
        if examples:  # a short one shows most
            shortest = min(examples, key=lambda c: (c.true[-1].end_s - c.true[0].start_s) if c.true else 0.0)
            draw(shortest, FOLDER / f"fails-{failure.name.lower().replace('_', '-')}.png")


if __name__ == "__main__":
    main(*map(int, sys.argv[1:3]))
