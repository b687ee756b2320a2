"""Draw what goes into each step of the motion core and what comes out: `python -m tests.bench.pictures [TABLE.csv]`.

Without a table a session of the virtual trainee is drawn. The pictures of DEVELOPERS.md are made by this script.
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import matplotlib.pyplot as plt
import numpy as np
from matplotlib.axes import Axes

from analysis.motion.bouts import groups
from analysis.motion.grammar import Reader, Scene
from analysis.motion.grid import Gridder, Stretch, joined
from analysis.motion.gripped import gripped_sets
from analysis.motion.grips import grips, shake_of
from analysis.motion.height import problem, vertical
from analysis.motion.lobes import Track, lobes
from analysis.motion.mounts import Mount
from analysis.motion.on_mount import in_grip
from analysis.motion.parameters import DEFAULTS
from analysis.motion.posture import posture_ruler
from analysis.motion.refine import refine
from analysis.motion.samples import Samples
from sensor.table import Table, read_table
from sensor.virtual.motion import TraineeFeed, load_motion
from sensor.virtual.script import Beat, regular_script
from tests.bench.trainee_corpus import draw_session

FOLDER = Path(__file__).parent / "pictures"
RATE_HZ = DEFAULTS.grid.rate_hz
UP, DOWN = "tab:green", "tab:red"


def main() -> None:
    """Draw all pictures into `tests/bench/pictures`."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("table", nargs="?", type=Path, help="CSV of a sensor on a body; default: the virtual trainee")
    table = parser.parse_args().table
    motion = load_motion(_feed()) if table is None else read_table(table)
    plt.rcParams.update({"figure.figsize": (9, 3.2), "font.size": 8, "axes.spines.top": False})
    _travelling(_samples(motion))
    _gripped(_strap())


def _feed() -> TraineeFeed:
    script = regular_script(trainee="Mara Lindt", sets=1, reps=5, beat=Beat(1.0, 1.0, 2.5, 0.6), rest_s=20.0)
    return TraineeFeed(script, seed=7)


def _samples(motion: Table) -> Samples:
    return Samples(motion.t_s, motion.force_m_s2, motion.rate_rad_s)


def _strap() -> Samples:
    drawn = draw_session("suspension", 4, minutes=2.0)
    return Samples(drawn.t_s, drawn.force_m_s2, None)


def _grid(samples: Samples) -> Stretch:
    gridder = Gridder(DEFAULTS.grid)
    return joined([gridder.push(samples), gridder.finish()])


def _travelling(samples: Samples) -> None:
    stretch = _grid(samples)
    bout = max(refine(stretch, Mount.BODY, DEFAULTS), key=lambda b: b.count)
    start, stop = (int((t - stretch.t_s[0]) * RATE_HZ) for t in (bout.start_s - 6, bout.end_s + 6))
    stretch = stretch.cut(max(0, start), stop)
    _draw_grid(samples, stretch)
    v = vertical(stretch, RATE_HZ, DEFAULTS.height)
    figure, axes = _figure("2-vertical", "Vertical: force in, acceleration along gravity and stillness out")
    axes.plot(stretch.t_s, v.acceleration_m_s2, lw=0.8, label="upward acceleration, m/s²")
    axes.fill_between(stretch.t_s, -1, 1, where=v.still, alpha=0.2, label="still")
    _save(figure, axes, "2-vertical")
    motion = problem(v, DEFAULTS.height)
    first = motion.solved()
    ruler = posture_ruler(v.direction, RATE_HZ, DEFAULTS.height.posture_window_s).read(first.height_m)
    both = motion.solved(ruler)
    figure, axes = _figure("3-smooth", "Smooth: acceleration in, height out; the posture serves as a ruler")
    axes.plot(stretch.t_s, first.height_m, lw=0.8, label="height by acceleration alone, m")
    axes.plot(stretch.t_s, ruler.value, lw=0.8, label="height that the posture tells, m")
    axes.plot(stretch.t_s, both.height_m, lw=1.4, label="both, m")
    _save(figure, axes, "3-smooth")
    track = Track(stretch.t_s, both.height_m, both.speed_m_s, RATE_HZ, DEFAULTS.stroke.boundary_speed_m_s)
    _draw_words(track, Scene(_pieces(track), v.direction, stretch.hole))
    _draw_phases(track, stretch)


def _pieces(track: Track) -> Any:
    p = DEFAULTS.stroke
    return lobes(track, p.lobe_share, 2 * p.lobe_travel * p.least_travel_m, p.lobe_speed_m_s)


def _draw_grid(samples: Samples, stretch: Stretch) -> None:
    figure, axes = _figure("1-grid", "Even grid: uneven samples in, 25 points a second out (size of the force, m/s²)")
    window = (samples.t_s > stretch.t_s[150]) & (samples.t_s < stretch.t_s[225])
    axes.plot(samples.t_s[window], np.linalg.norm(samples.force_m_s2[window], axis=1), ".", ms=2, label="samples")
    axes.plot(
        stretch.t_s[150:225], np.linalg.norm(stretch.force_m_s2[150:225], axis=1), "o-", ms=3, lw=0.8, label="grid"
    )
    _save(figure, axes, "1-grid")


def _draw_words(track: Track, scene: Scene) -> None:
    figure, axes = _figure("4-lobes", "Lobes: speed in, pieces of one direction out")
    axes.plot(track.t_s, track.speed, lw=0.8, color="grey", label="speed, m/s")
    for a, b, side in zip(scene.lobes.start, scene.lobes.stop, scene.lobes.side, strict=True):
        axes.plot(track.t_s[a:b], track.speed[a:b], lw=2.5, color=UP if side > 0 else DOWN)
    _save(figure, axes, "4-lobes")
    words = Reader(scene, DEFAULTS.stroke.least_travel_m, DEFAULTS).read()
    sets = groups(words, RATE_HZ, DEFAULTS.sets)
    figure, axes = _figure("5-grammar", "Grammar: lobes in, reps and sets out (with what each explains, nats)")
    axes.plot(track.t_s, track.position, lw=0.8, color="grey", label="height, m")
    for word in (w for group in sets for w in group.words):
        for stroke in word.strokes:
            span = slice(stroke.start, stroke.stop)
            axes.plot(track.t_s[span], track.position[span], lw=2.5, color=UP if stroke.side > 0 else DOWN)
        axes.annotate(f"{word.gain:.0f}", (track.t_s[word.up.stop], track.position[word.up.stop]))
    _save(figure, axes, "5-grammar")


def _draw_phases(track: Track, stretch: Stretch) -> None:
    figure, axes = _figure("6-phases", "Phases: one rep's boundaries, each with its one-sigma")
    bout = max(refine(stretch, Mount.BODY, DEFAULTS), key=lambda b: b.count)
    rep = bout.reps[len(bout.reps) // 2]
    near = (track.t_s > rep.start_s - 1) & (track.t_s < rep.end_s + 1)
    axes.plot(track.t_s[near], track.speed[near], lw=1.2, label="speed, m/s")
    edges = (("start", rep.start_s), ("top", rep.top_s), ("down", rep.down_s), ("end", rep.end_s))
    for name, edge_s in edges:
        sd_s = getattr(rep.timing_sd, f"{name}_s")
        if edge_s is not None and sd_s is not None:
            axes.axvspan(edge_s - sd_s, edge_s + sd_s, alpha=0.3, color="tab:orange")
            axes.annotate(name, (edge_s, 0.0))
    _save(figure, axes, "6-phases")


def _gripped(samples: Samples) -> None:
    stretch = _grid(samples)
    shake = shake_of(stretch, RATE_HZ)
    figure, axes = _figure("7-grips", "Straps and bars that stay: hands shake what they hold")
    axes.semilogy(stretch.t_s, shake.power, lw=0.6, label="power of the quick force, (m/s²)²")
    for grip in grips(shake, RATE_HZ, DEFAULTS.grip):
        axes.axvspan(stretch.t_s[grip.start], stretch.t_s[grip.stop - 1], alpha=0.2)
    _save(figure, axes, "7-grips")
    figure, axes = _figure("8-turning", "The same: turning along its main line, read as reps")
    for found in gripped_sets(replace(stretch), Mount.SUSPENSION, in_grip(DEFAULTS, Mount.SUSPENSION)):
        axes.plot(found.track.t_s, found.track.position, lw=0.8, color="grey")
        for stroke in (s for word in found.group.words for s in word.strokes):
            span = slice(stroke.start, stroke.stop)
            axes.plot(found.track.t_s[span], found.track.position[span], lw=2.5, color=UP if stroke.side > 0 else DOWN)
    axes.set_ylabel("degrees")
    _save(figure, axes, "8-turning")


def _figure(name: str, title: str) -> tuple[Any, Axes]:
    figure, axes = plt.subplots(num=name, clear=True)
    axes.set_title(title, loc="left")
    axes.set_xlabel("time, s")
    return figure, axes


def _save(figure: Any, axes: Axes, name: str) -> None:
    handles: Sequence[Any] = axes.get_legend_handles_labels()[0]
    if handles:
        axes.legend(loc="upper right", frameon=False)
    FOLDER.mkdir(exist_ok=True)
    figure.savefig(FOLDER / f"{name}.png", dpi=80, bbox_inches="tight")


if __name__ == "__main__":
    main()
