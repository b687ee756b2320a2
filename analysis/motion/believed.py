"""Which words of a live reading may be told: reps that have ended, and the top of one that has not."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from analysis.motion.grammar import Reader
from analysis.motion.lobes import Track
from analysis.motion.parameters import Parameters
from analysis.motion.template import Example
from analysis.motion.words import Kind, Stroke, Word

_YOUNG = 7
"""Reps below which a bout may still be found to have begun earlier."""


def overlooked(
    ended: Sequence[Word], known: Sequence[tuple[float, float]], rate: float, parameters: Parameters
) -> list[Word]:
    """Return reps between or before the confirmed ones that the reading, with others to compare, now holds."""
    chain: list[Word] = []
    if not known:
        return chain
    near = 0.2 * rate
    first = known[0][0]
    for word in reversed(ended):
        if word.stop > known[-1][0] + near or any(a < word.stop - near and b > word.start + near for a, b in known):
            continue
        before = word.stop <= first + near
        if before and (len(known) >= _YOUNG or first - word.stop > parameters.sets.longest_pause_s * rate):
            break
        chain.append(word)
        first = min(first, word.start)
    return chain[::-1]


def next_begun(ways: Sequence[Stroke], least: float, by: float, *, halved: bool) -> int:
    """Return where the last way up began from which on what came before it is over.

    Of one-and-a-half reps only the way down after it tells which of the two it was.
    """
    ups = [(up, down) for up, down in pairwise((*ways, None)) if up and up.side > 0 and up.travel >= least]
    ended = [up for up, down in ups if not halved or (down and down.side < 0 and down.stop <= by)]
    return max((up.start for up in ended), default=0)


def believable(
    word: Word,
    next_up: int,
    reader: Reader,
    memory: Sequence[Example],
    track: Track,
    parameters: Parameters,
    *,
    halved: bool,
) -> bool:
    """Whether a rep may be confirmed: it closes, or the next has begun; without others to compare, it must be plain.

    Where one-and-a-half reps were asked for, a plain one may be the first half of one: then the next must have begun.
    """
    is_open = word.down.travel < 0.7 * word.up.travel or (halved and word.kind is Kind.FULL)
    if is_open and word.stop > next_up:
        return False
    if len(memory) > 1:
        return True
    seen = reader.example(word)
    turned = np.degrees(np.linalg.norm(reader.ends(word)[0] - reader.ends(word)[1]))
    quick = word.up.stop - word.up.start <= parameters.life.first_up_s * track.rate_hz
    return quick and seen.size > 0 and float(turned) <= parameters.life.first_turn_deg


def top_reached(ways: Sequence[Stroke], after: float, least: float, last: int) -> Stroke | None:
    """Return the way up, not part of a confirmed rep, that has stopped and is large enough."""
    ups = [s for s in ways if s.side > 0 and s.start >= after - 5 and s.travel >= least]
    return ups[-1] if ups and ups[-1].stop < last else None
