"""The whole-bout answer, as a list of steps. Every step sees both directions of time.

    stretch ─ vertical ─ smooth ─ posture ─ turning points ─ grammar ─ sets      (sensors that travel: metres)
    stretch ─ tilt ───────────────────────── turning points ─ grammar ─ sets      (others: degrees of a proxy)
                        each set: closed at its bottoms, smoothed and read again ─ phases

Closing means: a rep ends at the height at which it began. That is known only after reading, so reading and smoothing
take turns.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from analysis.motion.bouts import Group, groups
from analysis.motion.found import Found, best_of, doubt, is_sideways, may_go_sideways
from analysis.motion.grammar import Reader, Scene
from analysis.motion.grid import Stretch
from analysis.motion.gripped import gripped_sets
from analysis.motion.height import Vertical, problem, vertical
from analysis.motion.lobes import Lobes, Track, lobes
from analysis.motion.metrics import measure_all
from analysis.motion.mounts import Mount
from analysis.motion.odds import log_odds
from analysis.motion.on_mount import in_grip, on_body, on_inclined_path, on_limb
from analysis.motion.parameters import Parameters
from analysis.motion.pauses import pauses_of
from analysis.motion.posture import PostureRuler, posture_ruler
from analysis.motion.results import Bout, Why
from analysis.motion.rises import with_rises
from analysis.motion.samples import BoolArray, FloatArray
from analysis.motion.sideways import sideways
from analysis.motion.smoother import Pseudo, Smoothed
from analysis.motion.sureness import Ground
from analysis.motion.trust import Signs, signs_of
from analysis.motion.turned import begins_down, posture_of
from analysis.motion.turning import turning_sets
from analysis.motion.upright import upright_near, walking
from analysis.motion.ways import LIFTED, likeliest
from analysis.motion.words import Kind, sizes

_CLOSED_M = 0.03
"""How far the bottoms of a set lie from one level: one sigma."""


def refine(
    stretch: Stretch, mount: Mount, parameters: Parameters, *, since_s: float = float("-inf"), upward: float = LIFTED
) -> list[Bout]:
    """Return the sets of a stretch that end after `since_s`, numbered from 0, times of the sensor's clock.

    `upward` is what the sets before said of the way the concentric goes (`Bout.upward`), where the bar travels.
    """
    if len(stretch) < 2 * parameters.grid.rate_hz:
        return []
    if mount is Mount.LIMB:
        parameters = on_limb(parameters)
    elif not mount.shows_travel:
        parameters = in_grip(parameters, mount)
    walks = walking(stretch, parameters.grid.rate_hz) if mount is Mount.BODY else None
    found = found_sets(stretch, mount, walks, since_s, parameters, upward=upward)
    bouts = sorted((_bout(one, mount, stretch, walks, parameters) for one in found), key=lambda b: b.start_s)
    return [replace(b, number=i) for i, b in enumerate(bouts)]


def found_sets(
    stretch: Stretch,
    mount: Mount,
    walks: BoolArray | None,
    since_s: float,
    parameters: Parameters,
    *,
    upward: float = LIFTED,
) -> list[Found]:
    """Return the sets of a stretch as they were read, before anything is measured on them."""
    if not mount.shows_travel:
        return turning_sets(stretch, parameters) if mount is Mount.LIMB else gripped_sets(stretch, mount, parameters)
    if mount is Mount.BODY:
        parameters = on_body(parameters, gyro=stretch.rate_rad_s is not None)
    v = vertical(stretch, parameters.grid.rate_hz, parameters.height)
    smoothed = _smoothed(v, parameters)
    signs = (1, -1) if mount is Mount.MOVING_BAR else (1,)
    read = _travelling(stretch, v, smoothed, signs, since_s, parameters, walks=walks)
    if mount is Mount.MOVING_BAR:
        return _either(likeliest(read, upward), stretch, v, smoothed, since_s, upward, parameters)
    return best_of(read)


def _either(
    found: list[Found],
    stretch: Stretch,
    v: Vertical,
    smoothed: Smoothed,
    since_s: float,
    upward: float,
    parameters: Parameters,
) -> list[Found]:
    """Read a bar along its level line where it goes sideways (a cable row): there the vertical shows little.

    Turns of the bar hide the level line, but not what little the bar rises: the reading that explains more counts.
    """
    rate = parameters.grid.rate_hz
    upright = [one for one in found if not is_sideways(one, stretch, parameters)]
    if not may_go_sideways(stretch, upright, rate, parameters.doubt.sideways):
        return upright
    line = sideways(stretch, v, rate, parameters.height)
    level = _travelling(stretch, line, _smoothed(line, parameters), (1, -1), since_s, parameters, lying=True)
    level = [replace(one, is_level=True) for one in level]
    inclined = on_inclined_path(parameters)
    level += _travelling(stretch, v, smoothed, (1, -1), since_s, inclined, lying=True)
    lying = [replace(one, free=None) for one in likeliest(level, upward) if is_sideways(one, stretch, parameters)]
    return upright + [one for one in lying if not any(one.overlaps(other) for other in upright)]


def _smoothed(v: Vertical, parameters: Parameters) -> Smoothed:
    """Smooth a stretch with the posture's help."""
    p = parameters.height
    motion = problem(v, p)
    ruler = posture_ruler(v.direction, parameters.grid.rate_hz, p.posture_window_s)
    smoothed = motion.solved()
    for _ in range(2):
        smoothed = motion.solved(ruler.read(smoothed.height_m))
    return smoothed


def _travelling(
    stretch: Stretch,
    v: Vertical,
    smoothed: Smoothed,
    signs: tuple[int, ...],
    since_s: float,
    parameters: Parameters,
    *,
    lying: bool = False,
    walks: BoolArray | None = None,
) -> list[Found]:
    """Return the sets read on a smoothed stretch, each reading by itself; `lying`: only where it goes sideways."""
    rate = parameters.grid.rate_hz
    since = (since_s - float(stretch.t_s[0])) * rate
    out: list[Found] = []
    for sign in signs:
        track = _track(stretch.t_s, smoothed, sign, parameters)
        pieces = _lobes(track, 2 * parameters.stroke.least_travel_m, parameters)
        scene = Scene(pieces, v.direction, stretch.hole, walks=walks)
        reader = Reader(scene, parameters.stroke.least_travel_m, parameters)
        for group in groups(reader.read(), rate, parameters.sets):
            wanted = not lying or is_sideways(Found(group, track, v.direction, None), stretch, parameters)
            if wanted and group.stop > since:
                out.extend(_closed(stretch, v, smoothed, group, sign, parameters, walks))
    return out


def _track(t_s: FloatArray, smoothed: Smoothed, sign: int, parameters: Parameters) -> Track:
    floor = parameters.stroke.boundary_speed_m_s
    return Track(t_s, sign * smoothed.height_m, sign * smoothed.speed_m_s, parameters.grid.rate_hz, floor)


def _lobes(track: Track, size: float, parameters: Parameters) -> Lobes:
    p = parameters.stroke
    return lobes(track, p.lobe_share, p.lobe_travel * size, p.lobe_speed_m_s)


def _closed(
    stretch: Stretch,
    v: Vertical,
    smoothed: Smoothed,
    group: Group,
    sign: int,
    parameters: Parameters,
    walks: BoolArray | None,
) -> list[Found]:
    """Smooth a set again with its bottoms on one level, and read it again at the set's own scale."""
    rate = parameters.grid.rate_hz
    margin = round(5 * rate)
    start, stop = max(0, int(group.start) - margin), min(len(stretch), int(group.stop) + margin)
    part, steps = v.cut(start, stop), None if walks is None else walks[start:stop]
    found: list[Found] = []
    group = _risen(group, _track(stretch.t_s, smoothed, sign, parameters), parameters)
    shift, height_m = start, smoothed.height_m[start:stop]
    counts = [group.count]
    ruler = posture_ruler(part.direction, rate, parameters.height.posture_window_s)
    for _ in range(2):
        free, ruled = _level(part, ruler, height_m, group, shift, sign, parameters)
        height_m = ruled.height_m
        track = _track(stretch.t_s[start:stop], ruled, sign, parameters)
        scene = Scene(_lobes(track, group.size, parameters), part.direction, part.hole, walks=steps)
        reader = Reader(scene, max(parameters.stroke.least_travel_m, 0.3 * group.size), parameters)
        plain = _track(stretch.t_s[start:stop], free, sign, parameters)
        words = reader.read()
        read = [_risen(g, track, parameters) for g in groups(words, rate, parameters.sets)]
        along = sign * part.acceleration_m_s2
        found = [Found(g, track, part.direction, plain, part.leak_m_s2, sign=sign, along_m_s2=along) for g in read]
        if not found:
            return []
        group, shift = max(read, key=lambda g: g.count), 0
        counts.append(group.count)
    odds, steady = log_odds(reader.count_shares(), len(sizes(words))), len(set(counts)) == 1

    def signs(g: Group) -> Signs:
        ends = np.array([end for word in g.words if word.kind is not Kind.PARTIAL for end in reader.ends(word)])
        return signs_of(g, read, words, scene.lobes, ends, rate, odds=odds, steady=steady)

    return [replace(f, signs=signs(f.group)) for f in found]


def _risen(group: Group, track: Track, parameters: Parameters) -> Group:
    return replace(group, words=with_rises(group.words, track, 0, parameters.stroke))


def _level(
    part: Vertical,
    ruler: PostureRuler,
    height_m: FloatArray,
    group: Group,
    shift: int,
    sign: int,
    parameters: Parameters,
) -> tuple[Smoothed, Smoothed]:
    """Smooth with every bottom of the group at height 0: by acceleration alone, and with the posture as a ruler.

    Beside the group nothing holds the level, so the pull to zero height stays: a last rep left out may be found there.
    """
    n = len(part.acceleration_m_s2)
    sd = np.full(n, np.inf)
    for word in group.words:
        for at in (word.start, word.stop):
            sd[min(max(at - shift, 0), n - 1)] = _CLOSED_M
    closing = Pseudo(np.zeros(n), sd)
    pauses = pauses_of(group, height_m, part.calm, shift, sign, parameters)
    loose = np.zeros(n, np.bool_)
    loose[max(0, int(group.start) - shift) : int(group.stop) - shift] = True
    motion = problem(part, parameters.height, closing, loose=loose, pauses=pauses)
    free = motion.solved()
    return free, motion.solved(ruler.read(free.height_m))


def _bout(one: Found, mount: Mount, stretch: Stretch, walks: BoolArray | None, parameters: Parameters) -> Bout:
    first = round((float(one.track.t_s[0]) - float(stretch.t_s[0])) * one.track.rate_hz)
    hole = stretch.hole[first : first + len(one.track.t_s)]
    upright = None if walks is None else upright_near(stretch, walks, *one.span_s, one.track.rate_hz)
    along = None if one.free is None else one.along_m_s2
    ground = Ground(
        one.track, one.free, one.direction, hole, one.leak_m_s2, upright, not mount.shows_travel, one.slips, along
    )
    reps = measure_all(one.group.words, ground, one.group.size, parameters)
    why = doubt(one, mount, stretch, parameters)
    if why is Why.SWINGING:
        start_s, end_s = one.span_s
        return Bout(number=0, start_s=start_s, end_s=end_s, reps=(), measured=False, why=why)
    bout = Bout(number=0, start_s=reps[0].start_s, end_s=reps[-1].end_s, reps=reps, measured=why is None, why=why)
    if not mount.is_worn:
        return replace(bout, upward=one.upward)
    down = begins_down(one.track, one.group, parameters) if mount is Mount.BODY else None
    return replace(bout, begins_down=down, direction=posture_of(one.direction, one.group))
