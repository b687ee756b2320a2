"""What the last seconds show, read afresh: the live counterpart of `refine.py`, with nothing of the future."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from analysis.motion.believed import believable, next_begun, overlooked, top_reached
from analysis.motion.events import Phase
from analysis.motion.filters import low_pass, middle, unit
from analysis.motion.grammar import Reader, Scene
from analysis.motion.grid import Stretch
from analysis.motion.height import Vertical, problem, vertical
from analysis.motion.life import hands_off
from analysis.motion.lobes import Lobes, Track, lobes
from analysis.motion.metrics import measure_all
from analysis.motion.mounts import Mount
from analysis.motion.onset import TopHold
from analysis.motion.parameters import Parameters
from analysis.motion.phase_now import onset_like, phase_now
from analysis.motion.posture import PostureRuler, posture_ruler
from analysis.motion.results import Rep
from analysis.motion.samples import FloatArray
from analysis.motion.smoother import Problem, Pseudo, Smoothed
from analysis.motion.sureness import Ground
from analysis.motion.template import Example
from analysis.motion.tilt import tilt_tracks
from analysis.motion.words import Kind, Stroke, Word


@dataclass(frozen=True, slots=True, eq=False)
class Now:
    """The state of things at the end of the window.

    Attributes
    ----------
    reps, examples
        Reps that ended and were not confirmed before, and what they look like.
    spans, halved
        Start and end of every rep read in the window, and of those of them that are one and a half.
    top
        Start and top of a rep that has reached its top and not yet ended.
    moving
        A way up or down is under way.
    phase, phase_s
        What is being done, and since when.
    hold
        What is known of the top hold that lasts, if one does.
    away
        The trainee walks, or is in another posture than the bout's, since at least `hands_off_s`.
    from_s
        Start of the window.
    """

    reps: tuple[Rep, ...]
    examples: tuple[Example, ...]
    spans: tuple[tuple[float, float], ...]
    halved: tuple[tuple[float, float], ...]
    top: tuple[float, float] | None
    moving: bool
    phase: Phase
    phase_s: float
    hold: TopHold | None
    away: bool
    from_s: float


@dataclass(frozen=True, slots=True, eq=False)
class Sight:
    """A window half read: what comes before the grammar can be done a little earlier, to spread the work.

    Attributes
    ----------
    track
        Position and speed; a first guess, without the posture's help, where `felt` is given.
    direction : (n, 3) array
        Gravity direction from the sensor.
    least
        Smallest travel of a rep, in the track's unit.
    felt, motion, ruler
        Where the sensor travels: the acceleration, and what is needed to smooth it again with the posture's help.
    """

    window: Stretch
    track: Track
    direction: FloatArray
    least: float
    felt: Vertical | None = None
    motion: Problem | None = None
    ruler: PostureRuler | None = None


def sight(window: Stretch, mount: Mount, parameters: Parameters, confirmed: Sequence[tuple[float, float]]) -> Sight:
    """Do the first half of the reading of a window; `confirmed` as of `read_now`."""
    rate = parameters.grid.rate_hz
    if mount.shows_travel:
        v = vertical(window, rate, parameters.height)
        motion = problem(v, parameters.height, *_levels(window, confirmed, rate))
        track = _travel(window, motion.solved(), parameters)
        ruler = posture_ruler(v.direction, rate, parameters.height.posture_window_s)
        return Sight(window, track, v.direction, parameters.stroke.least_travel_m, v, motion, ruler)
    direction = unit(low_pass(window.force_m_s2, parameters.tilt.cutoff_hz, rate))
    track = next(tilt_tracks(window.t_s, direction, rate, parameters))
    size = float(np.mean(np.abs(track.position - np.mean(track.position))))
    return Sight(window, track, direction, max(size, parameters.tilt.least_turn_deg))


def _travel(window: Stretch, smoothed: Smoothed, parameters: Parameters) -> Track:
    floor = parameters.stroke.boundary_speed_m_s
    return Track(window.t_s, smoothed.height_m, smoothed.speed_m_s, parameters.grid.rate_hz, floor)


def _levels(window: Stretch, confirmed: Sequence[tuple[float, float]], rate_hz: float) -> list[Pseudo]:
    """Return heights of 0 where confirmed reps began and ended, if any are: a rep ends where it began."""
    places = np.round((np.ravel(confirmed) - window.t_s[0]) * rate_hz).astype(int)
    places = places[(places >= 0) & (places < len(window))]
    sd = np.full(len(window), np.inf)
    sd[places] = _LEVEL_M
    return [Pseudo(np.zeros(len(window)), sd)] if len(places) else []


def ruled(seen: Sight, parameters: Parameters) -> Track:
    """Return the track with the posture's help."""
    if seen.motion is None or seen.ruler is None:
        return seen.track
    return _travel(seen.window, seen.motion.solved(seen.ruler.read(seen.track.position)), parameters)


def read_now(
    seen: Sight,
    mount: Mount,
    parameters: Parameters,
    floor_s: float,
    confirmed: Sequence[tuple[float, float]],
    memory: Sequence[Example],
    *,
    halved: bool = False,
) -> Now:
    """Read a window to the end.

    Parameters
    ----------
    floor_s
        Nothing that began before is given: it belongs to a bout that is closed.
    confirmed
        Start and end of the bout's reps so far; they are not given again.
    memory
        What these looked like.
    halved
        Whether one-and-a-half reps were asked for.
    """
    rate = parameters.grid.rate_hz
    window, direction, least = seen.window, seen.direction, seen.least
    track = ruled(seen, parameters)
    typical = float(middle(np.array([e.size for e in memory]))) if memory else 2 * least
    scene = Scene(pieces(track, typical, mount, parameters), direction, window.hole)
    reader = Reader(scene, max(least, 0.4 * typical) if memory else least, parameters)
    origin = float(window.t_s[0])
    known = [((a - origin) * rate, (b - origin) * rate) for a, b in confirmed]
    floor = (floor_s - origin) * rate
    done = known[-1][1] if known else floor
    last = len(window) - 1
    words = _words(reader, memory, known, 0.6 * typical, last - _SETTLED_S * rate)
    ended = [w for w in words if w.kind is not Kind.PARTIAL and w.stop <= last - _SETTLED_S * rate and w.start > floor]
    later = [w for w in ended if w.start > done - 0.3 * rate]
    sure = overlooked(ended, known, rate, parameters) if len(words) >= _TELLS_OVERLOOKED else []
    ways = [s for s in reader.longest_ways() if s.start > done - 0.3 * rate]
    next_up = next_begun(ways, 0.3 * typical, last - _SETTLED_S * rate, halved=halved)
    sure += [w for w in later if believable(w, next_up, reader, memory, track, parameters, halved=halved)]
    top = top_reached(ways, sure[-1].stop if sure else done, max(least, parameters.sets.alike * typical), last)
    if top is not None and not memory and top.stop - top.start > parameters.life.first_up_s * rate:
        top = None
    tells = mount is not Mount.LIMB and bool(memory)
    felt = None if seen.felt is None else (seen.felt.acceleration_m_s2, window.force_m_s2)
    doing = phase_now(ways, track, felt, onset_like(memory, typical, parameters), inside=bool(memory))
    return Now(
        reps=_measured(sure, words, _ground(seen, track), typical, parameters),
        examples=tuple(reader.example(w) for w in sure),
        spans=tuple((origin + w.start / rate, origin + w.stop / rate) for w in words),
        halved=tuple((origin + w.start / rate, origin + w.stop / rate) for w in ended if w.kind is Kind.HALVED),
        top=None if top is None else (origin + top.begin / rate, origin + top.stop / rate),
        moving=bool(ways) and ways[-1].stop >= last,
        phase=doing.phase,
        phase_s=origin + doing.since / rate,
        hold=doing.hold,
        away=tells and _away(seen, memory, sure[-1].stop if sure else done, ways, 0.5 * typical, parameters),
        from_s=origin,
    )


def _measured(
    sure: Sequence[Word], words: Sequence[Word], on: Ground, typical: float, parameters: Parameters
) -> tuple[Rep, ...]:
    """Measure `sure` among the `words` beside them: a rep reaches no further than its neighbours."""
    if not sure:
        return ()
    places = [words.index(word) for word in sure]
    first = max(0, min(places) - 1)
    reps = measure_all(words[first : max(places) + 2], on, typical, parameters, wanted=sure)
    return tuple(reps[place - first] for place in places)


def _ground(seen: Sight, track: Track) -> Ground:
    if seen.felt is None:
        return Ground(track, None, seen.direction, seen.window.hole, tilts=True)
    felt = seen.felt
    return Ground(track, track, seen.direction, seen.window.hole, felt.leak_m_s2, along_m_s2=felt.acceleration_m_s2)


def _words(
    reader: Reader, memory: Sequence[Example], known: Sequence[tuple[float, float]], large: float, by: float
) -> list[Word]:
    """Read by what the bout's reps looked like; afresh where that leaves a rep of it, or what follows, unread.

    Then the sensor slipped: its postures are others.
    """
    words = reader.read_like(memory) if len(memory) >= _ENOUGH else []
    if not words:
        return reader.read(rounds=1)
    done = known[-1][1]
    after = [w for w in reader.longest_ways() if w.start > done and w.travel >= large and w.stop <= by]
    lost = any(a > words[0].stop and not any(w.start < b and a < w.stop for w in words) for a, b in known)
    unread = len(after) >= _UNREAD and words[-1].start <= done
    return reader.read(rounds=1) if lost or unread else words


_TELLS_OVERLOOKED = 3
"""Reps read that tell of one overlooked before: of two, the first may be the way up to the bar."""

_UNREAD = 2
"""Large ways, ended after the last rep, that no word holds."""

_LEVEL_M = 0.1
"""How alike in height the ends of reps are, as live boundaries tell it."""

_SETTLED_S = 0.15
"""A way is over when its speed has stayed below a share of its peak for so long."""

_ENOUGH = 4
"""Examples that outweigh what the window itself shows."""


def pieces(track: Track, typical: float, mount: Mount, parameters: Parameters) -> Lobes:
    """Cut a track into lobes; `typical` is the travel of a rep."""
    p = parameters.stroke
    slowest = p.lobe_speed_m_s if mount.shows_travel else 0.0
    return lobes(track, p.lobe_share, p.lobe_travel * typical, slowest)


def _away(
    seen: Sight,
    memory: Sequence[Example],
    after: float,
    ways: Sequence[Stroke],
    large: float,
    parameters: Parameters,
) -> bool:
    since = max(0, round(after))
    bottoms, tops = np.array([e.bottom for e in memory]), np.array([e.top for e in memory])
    lately = len(seen.window) - parameters.life.hands_off_s * parameters.grid.rate_hz
    travels = any(way.travel >= large and way.stop > lately for way in ways)
    force, direction = seen.window.force_m_s2[since:], seen.direction[since:]
    return hands_off(force, direction, bottoms, tops, parameters, may_walk=not travels)
