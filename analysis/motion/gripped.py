"""The whole-bout answer for bars that stay and for straps: what is read of the turning while hands are on.

    stretch ─ grips ─ each: direction ─ slips taken out ─ main line of turning ─ lobes ─ grammar ─ sets

Up and down mirror each other here. What tells them apart: a set begins and ends in the hang, so the right reading
leaves no stroke over at either end; and top holds are alike, pauses in the hang are not.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from analysis.motion.bouts import Group, groups
from analysis.motion.filters import low_pass, smooth
from analysis.motion.found import Found, best_of
from analysis.motion.grammar import Scene
from analysis.motion.grid import Stretch
from analysis.motion.grips import Shake, grips, shake_of
from analysis.motion.held import HeldReader
from analysis.motion.lobes import Lobes, lobes
from analysis.motion.mounts import Mount
from analysis.motion.parameters import Parameters
from analysis.motion.rod import rod_of, without_own_acceleration
from analysis.motion.samples import BoolArray, FloatArray
from analysis.motion.slips import slipping, strokes, without_slips
from analysis.motion.swing import swing_of
from analysis.motion.tilt import line_tracks
from analysis.motion.turning import slow_direction, turning_direction

_MARGIN_S = 2.0
"""How far around a grip is looked at."""
_FLOOR_SHARE = 0.06
"""Least turning speed of a phase, share of a stroke's turning a second."""
_VAGUE = 6
"""Grid points at either end of a grip in which taking hold, or letting go, blurs a stroke."""
_BESIDE = 5
"""Grid points at either end of a stroke with a slip in it that are left whole, for the strokes beside it."""
_EARLY_S, _LATE_S = 6.0, 8.0
"""Parts of a grip in which a large turn is taking hold, and letting go."""


@dataclass(frozen=True, slots=True, eq=False)
class _Part:
    """A grip and what is around it: direction without slips, where hands were on, typical stroke (°), slips.

    Boundaries are measured on `sharp`, which is the direction itself where that is not low-passed further to be read.
    """

    stretch: Stretch
    direction: FloatArray
    sharp: FloatArray
    inside: slice
    size: float
    slips: BoolArray | None
    on_strap: bool


@dataclass(frozen=True, slots=True, eq=False)
class _Seen:
    """A direction to read, with the cut-off of its low-pass, and the one to measure boundaries on."""

    direction: FloatArray
    cutoff_hz: float
    sharp: FloatArray


def gripped_sets(stretch: Stretch, mount: Mount, parameters: Parameters) -> list[Found]:
    """Return the sets of a stretch."""
    rate = parameters.grid.rate_hz
    shake = shake_of(stretch, rate)
    found: list[Found] = []
    spans = grips(shake, rate, parameters.grip)
    held = np.zeros(len(stretch), np.bool_)
    for grip in spans:
        held[grip] = True
    seen = _directions(stretch, held, mount, parameters)
    for grip in spans:
        readings = [_grip(stretch, one, grip, shake, mount, parameters) for one in seen]
        found += max(readings, key=lambda sets: sum(one.gain for one in sets if not one.swings))
    return found


def _directions(stretch: Stretch, held: BoolArray, mount: Mount, parameters: Parameters) -> list[_Seen]:
    """Return what may be read: the force shows the sensor's own acceleration, too.

    Without a gyro a bar's own bending and shaking may split its strokes: it is read low-passed further as well.
    """
    tilt, rate = parameters.tilt, parameters.grid.rate_hz
    seen: list[_Seen] = []
    rods: tuple[float, ...] = (0.0,)
    cutoff_hz = tilt.cutoff_hz
    if stretch.rate_rad_s is not None:
        turning = turning_direction(stretch, parameters)
        seen = [_Seen(turning, tilt.gyro_cutoff_hz, turning)]
    if mount is Mount.SUSPENSION and seen:
        cutoff_hz = tilt.gyro_cutoff_hz
        rods = (rod_of(low_pass(stretch.force_m_s2, cutoff_hz, rate), seen[0].direction, held, rate),)
    elif mount is Mount.SUSPENSION:
        rods = (-parameters.grip.quick_s2, 0.0)
    for rod in rods:
        force = without_own_acceleration(stretch.force_m_s2, rod, rate)
        shown = slow_direction(force, cutoff_hz, rate)
        seen.append(_Seen(shown, cutoff_hz, shown))
    if mount is Mount.FIXED_BAR and stretch.rate_rad_s is None:
        slow_hz = parameters.grip.bar_cutoff_hz
        seen.append(_Seen(slow_direction(stretch.force_m_s2, slow_hz, rate), slow_hz, seen[0].direction))
    return seen


def _grip(
    stretch: Stretch, seen: _Seen, grip: slice, shake: Shake, mount: Mount, parameters: Parameters
) -> list[Found]:
    """Return the sets of one grip."""
    margin = round(_MARGIN_S * parameters.grid.rate_hz)
    around = slice(max(0, grip.start - margin), min(len(stretch), grip.stop + margin))
    inside = slice(grip.start - around.start, grip.stop - around.start)
    near = _Seen(seen.direction[around], seen.cutoff_hz, seen.sharp[around])
    part = _part(stretch.cut(around.start, around.stop), near, inside, mount, parameters)
    read = list(_read(part, Shake(shake.power[around], shake.floor), parameters))
    held = best_of([one for one in read if not one.swings])
    swings = best_of([one for one in read if one.swings])
    return [*held, *(one for one in swings if not any(one.overlaps(other) for other in held))]


def _part(stretch: Stretch, seen: _Seen, grip: slice, mount: Mount, parameters: Parameters) -> _Part:
    rate = parameters.grid.rate_hz
    steady, size = without_slips(seen.direction, grip, seen.cutoff_hz, rate, parameters.grip)
    slips = slipping(seen.direction, steady) if steady is not seen.direction else None
    inside = _between_walls(steady, grip, size, rate, parameters)
    sharp = seen.sharp - (seen.direction - steady)
    return _Part(stretch, steady, sharp, inside, size, slips, mount is Mount.SUSPENSION)


def _between_walls(direction: FloatArray, grip: slice, size: float, rate_hz: float, parameters: Parameters) -> slice:
    """Cut off taking hold and letting go: turns at either end that are larger than the set's strokes."""
    _, pieces, _ = strokes(direction - smooth(direction, 4.0, rate_hz), grip, rate_hz)
    early_until = grip.start + _EARLY_S * rate_hz
    early = (pieces.stop > grip.start) & (pieces.stop < early_until)
    late = (pieces.start < grip.stop) & (pieces.start > max(grip.stop - _LATE_S * rate_hz, early_until))
    walls = np.flatnonzero((pieces.travel > parameters.grip.wall * size) & (early | late)).tolist()
    edges = [(grip.start, grip.start), *((int(pieces.start[i]), int(pieces.stop[i])) for i in walls)]
    parts = (slice(max(grip.start, a[1]), min(grip.stop, b[0])) for a, b in pairwise([*edges, (grip.stop, grip.stop)]))
    return max(parts, key=lambda p: p.stop - p.start)


def _read(part: _Part, shake: Shake, parameters: Parameters) -> Iterator[Found]:
    """Read a grip one way and the other."""
    rate, inside, size = parameters.grid.rate_hz, part.inside, part.size
    n = len(part.stretch)
    blurred = np.ones(n, np.bool_)
    blurred[inside.start + _VAGUE : inside.stop - _VAGUE] = False
    since_s = (np.arange(n) - inside.start) / rate
    wary = parameters.grip.wary_nats * np.clip(2.0 * (1.0 - since_s / parameters.grip.settled_s), 0.0, 1.0)
    until_s = (inside.stop - np.arange(n)) / rate
    near = np.minimum(since_s / parameters.grip.settled_s, until_s / parameters.grip.leaving_s)
    quick = part.direction - smooth(part.direction, 4.0, rate)
    floor = _FLOOR_SHARE * size
    size_m_s2 = low_pass(np.linalg.norm(part.stretch.force_m_s2, axis=1), parameters.tilt.gyro_cutoff_hz, rate)
    t_s = part.stretch.t_s
    for track, sharp in zip(
        line_tracks(t_s, part.direction, inside, floor, rate, along=quick),
        line_tracks(t_s, part.sharp, inside, floor, rate, along=quick),
        strict=True,
    ):
        pieces = lobes(track, parameters.stroke.lobe_share, parameters.stroke.lobe_travel * size, 0.0)
        own = (pieces.stop > inside.start) & (pieces.start < inside.stop)
        ends = near < 1.0 if part.on_strap else np.ones(n, np.bool_)
        pieces, torn = _torn(pieces.cut(own), ends, parameters.grip.wall * size, size)
        scene = Scene(pieces, part.direction, part.stretch.hole | blurred | torn, wary)
        reader = HeldReader(scene, near < 1.0, max(parameters.grip.least_turn_deg, 0.4 * size), parameters)
        for group in groups(reader.read(), rate, parameters.sets):
            held = _held(group, shake, parameters)
            if (
                held is None
                or (part.on_strap and _let_go(held, shake, parameters))
                or sum(w.gain for w in held.words) / held.count < parameters.grip.rep_nats
            ):
                continue
            swings = swing_of(track, held, size_m_s2) > parameters.tilt.swing_share
            left = _left(pieces, held, part, parameters)
            slips = torn if part.slips is None else part.slips | torn
            yield Found(held, sharp, part.direction, None, left=left, slips=slips, swings=swings)


def _torn(pieces: Lobes, ends: BoolArray, most: float, size: float) -> tuple[Lobes, BoolArray]:
    """Take a turn beyond `most` for a stroke of `size` with a slip in it; at the ends, for taking hold or letting go.

    Returns also the grid points of such strokes: their travel tells nothing.
    """
    large = pieces.travel >= most
    outside = ends[(pieces.start + pieces.stop) // 2]
    torn = np.zeros(len(ends), np.bool_)
    for i in np.flatnonzero(large & ~outside).tolist():
        torn[int(pieces.start[i]) + _BESIDE : int(pieces.stop[i]) - _BESIDE] = True
    kept = replace(pieces, travel=np.where(large, size, pieces.travel))
    return kept.cut(~(large & outside)), torn


def _held(group: Group, shake: Shake, parameters: Parameters) -> Group | None:
    """Cut off reps at either end during which nothing is shaken: the swing after letting go."""
    loud = np.array([float(np.mean(shake.power[word.start : word.stop])) for word in group.words])
    held = np.flatnonzero(loud > shake.quieter(float(np.median(loud))))
    kept = replace(group, words=group.words[int(held[0]) : int(held[-1]) + 1] if len(held) else ())
    return kept if kept.count >= parameters.sets.least_reps else None


def _let_go(group: Group, shake: Shake, parameters: Parameters) -> bool:
    """Whether nobody holds the strap for a whole rep: it swings between two touches."""
    quietest = min(float(np.mean(shake.power[word.start : word.stop])) for word in group.words)
    return quietest <= parameters.grip.shake * shake.floor


def _left(pieces: Lobes, group: Group, part: _Part, parameters: Parameters) -> int:
    """Count the large strokes, between settling in the hang and letting go, that the reading leaves over."""
    settled = part.inside.start + parameters.grip.settled_s * parameters.grid.rate_hz
    large = (
        (pieces.travel > 0.5 * part.size) & (pieces.start > settled) & (pieces.stop < part.inside.stop - _VAGUE // 2)
    )
    middle = 0.5 * (pieces.start + pieces.stop)[large]
    read = np.zeros(len(middle), np.bool_)
    for word in group.words:
        read |= (middle > word.start) & (middle < word.stop)
    return int((~read).sum())
