"""Recordings of real people, and the simulated sessions, where they are at hand.

- `seglearn` 1.2.5 (PyPI, BSD-3) ships shoulder exercises worn at the wrist: Burns et al. 2018, Physiol. Meas.
  39:075007; 50 Hz, 20 repetitions a file by protocol, trimmed tight (so ±1). Subjects 1 to 5 only.
- The folder beside the repository holds further ones; these tests skip without it.
"""

from __future__ import annotations

import csv
import gzip
import json
from importlib.util import find_spec
from pathlib import Path

import numpy as np
import pytest

from analysis.motion.analysis import analyse
from analysis.motion.mounts import Mount
from analysis.motion.parameters import STANDARD_GRAVITY_M_S2
from analysis.motion.results import Bout
from analysis.motion.samples import Samples

DATA = Path(__file__).resolve().parents[4] / "shared" / "data"
MOUNTS = {"body": Mount.BODY, "moving_bar": Mount.MOVING_BAR, "fixed_bar": Mount.FIXED_BAR, "strap": Mount.SUSPENSION}
needs_data = pytest.mark.skipif(
    not DATA.is_dir(), reason="the folder with the recordings is not beside this repository"
)


def table(path: Path) -> Samples:
    with gzip.open(path, "rt") as file:
        data = np.loadtxt(file, delimiter=",", skiprows=1, usecols=(0, 1, 2, 3))
    return Samples(data[:, 0], data[:, 1:] * STANDARD_GRAVITY_M_S2)


def test_burns_shoulder_exercises(record_property: pytest.RecordProperty) -> None:
    spec = find_spec("seglearn")
    assert spec is not None, "install the test extra: it brings the data file"
    assert spec.origin is not None
    data = np.load(Path(spec.origin).parent / "data" / "watch_dataset.npy", allow_pickle=True).item()
    chosen = [i for i, subject in enumerate(data["subject"]) if subject in range(1, 6)]
    errors = []
    for i in chosen:
        force = np.asarray(data["X"][i][:, :3], dtype=float)
        t_s = np.arange(len(force)) / 50.0
        sets = analyse(Samples(t_s, force), Mount.LIMB).sets
        errors.append(sum(b.count for b in sets) - 20)
    exact, near = np.mean(np.equal(errors, 0)), np.mean(np.abs(errors) <= 1)
    record_property("exact", float(exact))
    record_property("within_1", float(near))
    assert exact >= 0.7
    assert near >= 0.95


@needs_data
@pytest.mark.parametrize(("source", "every"), [("pte-uci730", 2), ("mex-thigh", 1)])
def test_exercises_with_holds_are_counted(source: str, every: int) -> None:
    """Yurtman & Barshan 2014, doi:10.1016/j.cmpb.2014.07.003 (ten a block); Wijekoon et al. 2020 (counted by eye)."""
    with (DATA / "real" / "truth.csv").open() as file:
        rows = [r for r in csv.DictReader(file) if r["file"].startswith(source)][::every]
    right = [
        sum(b.count for b in analyse(table(DATA / "real" / r["file"]), Mount.LIMB).sets) == float(r["true_reps"])
        for r in rows
    ]
    assert np.mean(right) >= 0.95


def false_and_exact(truth: dict[str, list[dict[str, float]]], bouts: tuple[Bout, ...]) -> tuple[int, int]:
    """Counted reps outside every set, and sets with the right count."""
    spans = [(s["mount_s"] - 1, s["off_s"] + 1, s["n_reps"]) for s in truth["sets"]]
    middles = [(r.start_s + r.end_s) / 2 for b in bouts for r in b.reps if r.counts]
    false = sum(not any(a < m < b for a, b, _ in spans) for m in middles)
    counts = [[b.count for b in bouts if b.start_s < end and b.end_s > start] for start, end, _ in spans]
    return false, sum(c == [n] for c, (_, _, n) in zip(counts, spans, strict=True))


@needs_data
def test_simulated_body_sessions() -> None:
    names = sorted((DATA / "sim").glob("*_body_*.truth.json"))[::3]
    false = exact = sets = 0
    hours = 0.0
    for name in names:
        truth = json.loads(name.read_text())
        samples = table(name.with_name(name.name.replace(".truth.json", ".csv.gz")))
        f, e = false_and_exact(truth, analyse(samples, MOUNTS[truth["mount"]]).sets)
        false, exact, sets, hours = false + f, exact + e, sets + len(truth["sets"]), hours + truth["duration_s"] / 3600
    assert exact / sets >= 0.85
    assert false / hours <= 1.0
