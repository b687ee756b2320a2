"""Quick sets of a limb, read by their rhythm.

    set ─ period of the whole path ─ its main line ─ lobes ─ grammar ─ ends

A rhythm has no first and last rep of its own: where the samples begin or end in the middle of one, two readings (up
before down, down before up) explain about the same. The number of periods decides between them.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from analysis.motion.bouts import Group, groups
from analysis.motion.cut import completed, ends_of, filled
from analysis.motion.filters import low_pass, unit
from analysis.motion.found import Found, best_of
from analysis.motion.grammar import Reader, Scene
from analysis.motion.grid import Stretch
from analysis.motion.lobes import Lobes, lobes
from analysis.motion.loop import times_round
from analysis.motion.parameters import Parameters
from analysis.motion.rhythm import Rhythm, rhythm_of, rhythm_tracks
from analysis.motion.samples import BoolArray, FloatArray
from analysis.motion.words import Kind, Word

_MARGIN_S = 6.0
"""How far around a set it is read again."""


def read_by_rhythm(stretch: Stretch, hole: BoolArray, found: list[Found], parameters: Parameters) -> list[Found]:
    """Read quick sets again by the rhythm of the whole path; the others stay.

    Sets apart by less than a pause are taken as one: a reading that lost its way falls apart.
    """
    rate, t0 = parameters.grid.rate_hz, float(stretch.t_s[0])
    out: list[Found] = []
    for near in _neighbours(found, parameters.sets.longest_pause_s):
        start, stop = (round((edge - t0) * rate) for edge in (near[0].span_s[0], near[-1].span_s[1]))
        rhythm = rhythm_of(stretch.force_m_s2[start:stop], rate, parameters.rhythm)
        read = [] if rhythm is None else _read(stretch, hole, slice(start, stop), rhythm, parameters)
        out += read or near
    return out


def _neighbours(found: list[Found], pause_s: float) -> list[list[Found]]:
    out: list[list[Found]] = []
    for one in sorted(found, key=lambda f: f.span_s):
        if out and one.span_s[0] - out[-1][-1].span_s[1] <= pause_s:
            out[-1].append(one)
        else:
            out.append([one])
    return out


def _read(stretch: Stretch, hole: BoolArray, span: slice, rhythm: Rhythm, parameters: Parameters) -> list[Found]:
    """Read a set both ways; of the readings that explain it, take the one that has all its periods."""
    rate = parameters.grid.rate_hz
    margin = round(_MARGIN_S * rate)
    start, stop = max(0, span.start - margin), min(len(stretch), span.stop + margin)
    part = stretch.cut(start, stop)
    inside = slice(span.start - start, span.stop - start)
    slow = low_pass(part.force_m_s2, parameters.rhythm.cutoff / rhythm.period_s, rate)
    direction = unit(slow)
    out: list[tuple[Found, Lobes]] = []
    for track in rhythm_tracks(part.t_s, part.force_m_s2, inside, rhythm, rate, parameters.rhythm):
        size = 2 * 2**0.5 * float(np.std(track.position[inside]))
        pieces = lobes(track, parameters.stroke.lobe_share, parameters.stroke.lobe_travel * size, 0.0)
        reader = Reader(Scene(pieces, direction, hole[start:stop]), 0.4 * size, parameters)
        for group in groups(reader.read(), rate, parameters.sets):
            out.append((Found(group, track, direction, None), pieces))
    firsts = best_of([one for one, _ in out])
    return best_of([_whole(one, out, part.force_m_s2, rhythm, parameters) for one in firsts])


def _whole(
    one: Found, read: list[tuple[Found, Lobes]], force: FloatArray, rhythm: Rhythm, parameters: Parameters
) -> Found:
    """Return the reading with as many reps as the path goes round.

    One that the samples cut off is added. One is taken off only where next to nothing of it is a round: what the
    grammar read as a rep mostly was one.
    """
    period, share = rhythm.period_s * one.track.rate_hz, parameters.rhythm.cut_share
    rounds, count = _rounds(one, force, period, parameters), one.group.count
    near = [(other, pieces) for other, pieces in read if other.overlaps(one)]
    meant = int(rounds + 1.0 - share) if rounds > count else min(count, int(rounds + 1.0 - share / 2))
    if abs(meant - count) != 1:  # further off, it is the loop that was misread
        return one
    for other, _ in near:
        if other.group.count == meant:
            return other
    if meant < count:
        return _shortened(one, parameters)
    attempts = [w for w in one.group.words if w.kind is Kind.PARTIAL]
    if attempts:
        return replace(one, group=_accepted(one.group, max(attempts, key=lambda w: w.size)))
    return _completed(one, near, meant, len(force), period, parameters)


def _shortened(one: Found, parameters: Parameters) -> Found:
    """Leave out the first or the last rep, whichever explains less: taking position, or putting the weight down."""
    words = one.group.words
    kept = words[1:] if words[0].gain < words[-1].gain else words[:-1]
    if len(kept) < parameters.sets.least_reps:
        return one
    return replace(one, group=replace(one.group, words=kept))


def _accepted(group: Group, attempt: Word) -> Group:
    """Count an attempt: the path went all the way round."""
    return replace(group, words=tuple(replace(w, kind=Kind.FULL) if w is attempt else w for w in group.words))


def _completed(
    one: Found, read: list[tuple[Found, Lobes]], meant: int, n: int, period: float, parameters: Parameters
) -> Found:
    """Add a rep left out, or cut off, to the reading, of those that lack one, that leaves most of it over."""
    p = parameters.rhythm
    for other, pieces in read:
        group = filled(other.group, pieces, (1 - p.cut_share) * period) if other.group.count == meant - 1 else None
        if group is not None:
            return replace(other, group=group)
    best, found = 0.5 * p.cut_share, one
    for other, pieces in read:
        ends = ends_of(other.group, pieces, n, period, p.cut_s * one.track.rate_hz)
        if other.group.count == meant - 1 and ends.most > best:
            best, found = ends.most, replace(other, group=completed(other.group, pieces, n, ends))
    return found


def _rounds(one: Found, force: FloatArray, period: float, parameters: Parameters) -> float:
    """How many times the path goes round in a set, up to the ends of the samples where these are near."""
    words, n = one.group.words, len(force)
    first, last = int(words[0].start), int(words[-1].stop)
    start, stop = 0 if first <= period else first, n if last >= n - period else last
    path = low_pass(force, parameters.rhythm.path_hz, one.track.rate_hz)[start:stop]
    marks = [int(w.start) - start for w in words] + [last - start]
    return times_round(path, marks, parameters.rhythm.pace_price)
