"""A set as it was read, and the choice between readings that overlap."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from analysis.motion.bouts import Group
from analysis.motion.filters import smooth
from analysis.motion.grid import Stretch
from analysis.motion.lobes import Track
from analysis.motion.mounts import Mount
from analysis.motion.parameters import DoubtParameters, Parameters
from analysis.motion.results import Why
from analysis.motion.runs import runs
from analysis.motion.samples import BoolArray, FloatArray
from analysis.motion.trust import Signs, trust
from analysis.motion.words import Kind


@dataclass(frozen=True, slots=True, eq=False)
class Found:
    """A set as it was read.

    Attributes
    ----------
    track
        What it was read on.
    free
        The track to measure travel on (acceleration alone), or None.
    leak_m_s2
        What was taken off its acceleration for sideways movement, where that is known.
    rival
        How much the best other reading of the same stretch explains, nats; compare with `gain`.
    signs
        What tells how far its count can be trusted; None where that was not worked out.
    sign
        Which way the concentric goes, where that is part of the reading: 1 up, −1 down, 0 neither.
    is_level
        Whether `sign` is of a level line, which has no up.
    way, way_known
        Log odds that it is read the right way round, and not its mirror image: by itself, and with what others say.
    left
        Number of large strokes beside the reps that the reading leaves over, where that is known.
    slips : (n,) bool array or None
        Where a slip of the sensor was taken out of the track, if one was.
    swings
        Whether a free swing explains it: then nothing of it is a rep.
    along_m_s2 : (n,) array or None
        Acceleration the way the concentric goes, gravity removed, where the sensor travels.
    """

    group: Group
    track: Track
    direction: FloatArray
    free: Track | None
    leak_m_s2: FloatArray | None = None
    rival: float = 0.0
    signs: Signs | None = None
    sign: int = 0
    is_level: bool = False
    way: float = 0.0
    way_known: float = 0.0
    left: int = 0
    slips: BoolArray | None = None
    swings: bool = False
    along_m_s2: FloatArray | None = None

    @property
    def gain(self) -> float:
        """How much the reading explains, nats."""
        return sum(word.gain for word in self.group.words)

    @property
    def upward(self) -> float:
        """Log odds that its concentric goes up, as it says itself; 0 where it cannot."""
        return 0.0 if self.is_level else self.sign * self.way

    @property
    def span_s(self) -> tuple[float, float]:
        """Start and end."""
        t0, rate = float(self.track.t_s[0]), self.track.rate_hz
        return t0 + self.group.start / rate, t0 + self.group.stop / rate

    def overlaps(self, other: Found) -> bool:
        """Whether both speak of the same stretch."""
        (a, b), (c, d) = self.span_s, other.span_s
        return a < d and c < b

    def touches(self, part: Stretch) -> bool:
        """Whether it speaks of any of a stretch."""
        begin_s, end_s = self.span_s
        return begin_s < float(part.t_s[-1]) and float(part.t_s[0]) < end_s


def best_of(found: Sequence[Found]) -> list[Found]:
    """Keep, of readings that overlap, the one that explains most, with what its best rival explains."""
    kept: list[Found] = []
    for one in sorted(found, key=lambda f: -f.gain):
        if not any(one.overlaps(k) for k in kept):
            rivals = [f.gain for f in found if f is not one and f.overlaps(one)]
            kept.append(replace(one, rival=max(rivals, default=0.0)))
    return kept


def doubt(one: Found, mount: Mount, stretch: Stretch, parameters: Parameters) -> Why | None:
    """Return why the count should not be relied on, if it should not.

    A rep may vanish in a long hole, also in one that begins within a rep's time of the set; a first or last rep that
    explains little may be a mount or dismount, and a count whose own signs speak against it is none to rely on; two
    readings that explain nearly the same leave the direction open, and so does a bar that travels sideways without a
    gyro. Read the other way round, a set on a bar that travels has another count, so that must be much less likely. On
    straps and fixed bars, whose ups and downs mirror each other, a stroke left over is a doubt as well; where the
    sensor slipped within such a set, that is the reason.
    """
    p = parameters.doubt
    if one.swings:
        return Why.SWINGING
    if mount is Mount.FIXED_BAR and one.group.size < parameters.tilt.least_turn_deg:
        return Why.TOO_STIFF
    if _longest_hole_s(one, stretch) >= p.hole_s:
        return Why.GAP
    if mount in (Mount.FIXED_BAR, Mount.SUSPENSION):
        why = _grip_doubt(one, mount, parameters)
        return Why.SLIPPED if why is Why.NO_SET and _slips_within(one) else why
    on_bar = mount is Mount.MOVING_BAR
    blind = stretch.rate_rad_s is None and on_bar and is_sideways(one, stretch, parameters)
    if blind or (mount is Mount.BODY and one.rival > one.gain - p.rival_nats):
        return Why.SIGN_UNRESOLVED
    if on_bar and one.way_known < p.way_nats:  # its mirror image, nearly as likely, has another count
        return Why.NO_SET
    if one.signs is not None:
        return None if _is_sure(one.signs, p) else Why.NO_SET
    counted = [w for w in one.group.words if w.kind is not Kind.PARTIAL]
    return Why.NO_SET if min(counted[0].gain, counted[-1].gain) < p.edge_nats else None


def _is_sure(signs: Signs, p: DoubtParameters) -> bool:
    """Whether a count can be relied on; the weights of `trust` are a body's, used for a bar that travels, too."""
    return trust(signs) >= p.trust_nats and signs.odds >= p.count_nats


def _grip_doubt(one: Found, mount: Mount, parameters: Parameters) -> Why | None:
    """Doubt a set on a strap or a bar: every word of it tells, since a sway looks much like an attempt."""
    p = parameters.doubt
    if one.rival > one.gain - p.grip_rival_nats:
        return Why.SIGN_UNRESOLVED
    counted = [w.gain for w in one.group.words if w.kind is not Kind.PARTIAL]
    least = p.strap_word_nats if mount is Mount.SUSPENSION else 0.0
    vague = min(w.gain for w in one.group.words) < least or sum(counted) < p.grip_rep_nats * len(counted)
    return Why.NO_SET if one.left or vague else None


def _slips_within(one: Found) -> bool:
    return one.slips is not None and bool(one.slips[one.group.start : one.group.stop].any())


def is_sideways(one: Found, stretch: Stretch, parameters: Parameters) -> bool:
    """Whether the path of a set lies far from the vertical."""
    return goes_sideways(_part(one, stretch), one.track.rate_hz, parameters.doubt.sideways)


def _longest_hole_s(one: Found, stretch: Stretch) -> float:
    """Longest hole that touches the set or what lies within a rep's time of it."""
    around = _part(one, stretch, float(np.median([w.stop - w.start for w in one.group.words])) / one.track.rate_hz)
    from_s, to_s = (float(around.t_s[i]) for i in (0, -1))
    near = [b - a for a, b in runs(stretch.hole) if stretch.t_s[a] <= to_s and stretch.t_s[b - 1] >= from_s]
    return max(near, default=0) / one.track.rate_hz


def _part(one: Found, stretch: Stretch, margin_s: float = 0.0) -> Stretch:
    begin_s, end_s = one.span_s
    edges_s = (begin_s - margin_s, end_s + margin_s)
    start, stop = (round((edge - float(stretch.t_s[0])) * one.track.rate_hz) for edge in edges_s)
    return stretch.cut(max(0, start), stop)


_BLOCK_S = 5.0
"""Length of the blocks in which a stretch is searched for sideways movement: about two reps."""
_MOVING_M_S2 = 0.05
"""Quick force below which nothing moves; half a metre in three seconds shows four times as much."""


def may_go_sideways(stretch: Stretch, known: Sequence[Found], rate_hz: float, share: float) -> bool:
    """Whether any part of a stretch outside the `known` sets moves mostly across gravity, and is worth a reading."""
    blocks = range(0, len(stretch), round(_BLOCK_S * rate_hz))
    parts = (stretch.cut(at, at + 2 * blocks.step) for at in blocks)
    others = (part for part in parts if not any(one.touches(part) for one in known))
    return any(goes_sideways(part, rate_hz, share, _MOVING_M_S2) for part in others)


def goes_sideways(part: Stretch, rate_hz: float, share: float, least_m_s2: float = 0.0) -> bool:
    """Whether the quick force is mostly across gravity: then a bar's path lies far from the vertical."""
    mean = part.force_m_s2.mean(axis=0)
    up = mean / max(float(np.linalg.norm(mean)), 1e-6)
    quick = part.force_m_s2 - smooth(part.force_m_s2, 0.5, rate_hz)
    along = quick @ up
    across = quick - along[:, None] * up
    sideways, upright = float(np.mean((across**2).sum(axis=1))), float(np.mean(along**2))
    return sideways > share**2 * upright and sideways > least_m_s2**2
