"""`rungwise analyse`: the document that outside tools rely on, and bad input."""

from __future__ import annotations

import gzip
import json
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner, Result

from sensor.virtual.motion import TraineeFeed, load_motion
from tui.cli import main

DOCUMENT = {
    "format",
    "file",
    "mount",
    "place",
    "axes",
    "sample_rate_hz",
    "duration_s",
    "analysis",
    "gaps",
    "sets",
    "holds",
    "unmeasurable",
}
REP = {
    "start_s",
    "top_s",
    "down_s",
    "end_s",
    "hold_top_s",
    "bottom_pause_s",
    "kind",
    "half_pause_s",
    "shrug_start_s",
    "reached",
    "travel_m",
    "mean_velocity_m_s",
    "peak_velocity_m_s",
    "mean_velocity_sd_m_s",
    "peak_velocity_sd_m_s",
    "lean_deg",
    "timing_sd_s",
    "untold",
    "provisional_s",
    "emitted_s",
}
STANDARD_GRAVITY = 9.80665  # m/s², exact: 3rd CGPM (1901)


@pytest.fixture(scope="session")
def table(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The virtual trainee's first set as a table, packed."""
    motion = load_motion(TraineeFeed())
    first = motion.t_s < 60
    columns = np.column_stack([motion.t_s, motion.force_m_s2 / STANDARD_GRAVITY])[first]
    path = tmp_path_factory.mktemp("tables") / "belt.csv.gz"
    with gzip.open(path, "wt") as file:
        np.savetxt(file, columns, fmt="%.5f", delimiter=",", header="t_s,ax_g,ay_g,az_g", comments="")
    return path


def analyse(*words: object) -> Result:
    return CliRunner().invoke(main, ["analyse", *map(str, words)])


def test_the_document_has_the_keys_of_the_contract(table: Path) -> None:
    result = analyse(table, "--mount", "body", "--json")
    assert result.exit_code == 0, result.output
    found = json.loads(result.stdout)
    assert found.keys() == DOCUMENT
    assert (found["format"], found["axes"], found["analysis"]["kind"]) == ("rungwise.analysis/1", 3, "refined")
    (one,) = found["sets"]
    assert one.keys() == {"start_s", "end_s", "measured", "why", "velocity_loss", "reps"}
    assert [rep.keys() for rep in one["reps"]] == [REP] * 5


def test_times_of_a_full_rep_rise_and_the_hold_lies_between(table: Path) -> None:
    (one,) = json.loads(analyse(table, "--mount", "body", "--json").stdout)["sets"]
    for rep in one["reps"]:
        assert rep["start_s"] < rep["top_s"] <= rep["down_s"] < rep["end_s"]
        assert rep["hold_top_s"] == pytest.approx(rep["down_s"] - rep["top_s"], abs=2e-4)


def test_as_live_announces_each_rep_before_it_confirms_it(table: Path) -> None:
    found = json.loads(analyse(table, "--mount", "body", "--json", "--as-live").stdout)
    assert found["analysis"]["kind"] == "live"
    for rep in found["sets"][0]["reps"]:
        assert rep["start_s"] < rep["provisional_s"] <= rep["emitted_s"]
        assert rep["emitted_s"] >= rep["end_s"] - 0.1


def test_what_a_mount_cannot_show_is_null(table: Path) -> None:
    for mount in ("limb", "fixed-bar", "suspension"):
        found = json.loads(analyse(table, "--mount", mount, "--json").stdout)
        for rep in (rep for one in found["sets"] for rep in one["reps"]):
            assert rep["travel_m"] is rep["mean_velocity_m_s"] is rep["peak_velocity_m_s"] is None


def test_without_json_the_phases_are_named(table: Path) -> None:
    result = analyse(table, "--mount", "body")
    assert "up    top   half   down bottom" in result.stdout
    assert "5 reps" in result.stdout


@pytest.mark.parametrize(("place", "named"), [(None, "tilt °"), ("belt", "pelvis °"), ("chest", "lean °")])
def test_an_angle_is_named_for_what_carries_the_sensor(table: Path, place: str | None, named: str) -> None:
    words = ["--place", place] if place else []
    assert named in analyse(table, "--mount", "body", *words).stdout
    assert json.loads(analyse(table, "--mount", "body", "--json", *words).stdout)["place"] == place


def test_a_place_is_one_on_the_body(table: Path) -> None:
    refused = analyse(table, "--mount", "fixed-bar", "--place", "chest")
    assert refused.exit_code == 2
    assert "--mount body only" in refused.stderr


def test_a_file_that_cannot_be_read_does_not_stop_the_others(table: Path, tmp_path: Path) -> None:
    bad = tmp_path / "bad.csv"
    bad.write_text("t_s,ax_g,ay_g,az_g\n0.00,0,0,1\n0.01,0,zero,1\n")
    result = analyse(bad, table, tmp_path / "missing.csv", "--mount", "body", "--json")
    assert result.exit_code == 2
    assert [json.loads(line)["file"] for line in result.stdout.splitlines()] == [str(table)]
    first, second = result.stderr.splitlines()
    assert "bad.csv" in first
    assert "3" in first
    assert "ay_g" in first
    assert "missing.csv" in second


def test_a_gyro_with_a_dead_axis_is_told_and_left_out(table: Path, tmp_path: Path) -> None:
    with gzip.open(table, "rt") as file:
        header, *rows = file.read().split()
    turns = np.random.default_rng(1).normal(size=(len(rows), 2))
    lines = [f"{row},{x:.2f},{y:.2f},0" for row, (x, y) in zip(rows, turns, strict=True)]
    path = tmp_path / "dead.csv"
    path.write_text("\n".join([f"{header},gx_dps,gy_dps,gz_dps", *lines]))
    result = analyse(path, "--mount", "body", "--json")
    assert result.exit_code == 0
    assert f"{path}: the gyro" in result.stderr
    found, without = (json.loads(analyse(one, "--mount", "body", "--json").stdout) for one in (path, table))
    assert found | {"file": str(table)} == without


def test_many_files_on_several_cores_answer_in_their_order_as_one_by_one(
    table: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("os.cpu_count", lambda: 2)
    files = [tmp_path / f"{name}.csv.gz" for name in "dbcaef"]
    for file in files:
        file.write_bytes(table.read_bytes())
    files[2] = tmp_path / "missing.csv"
    started = []
    monkeypatch.setattr(
        "tui.analyse.ProcessPoolExecutor", lambda n, **how: started.append(n) or ProcessPoolExecutor(n, **how)
    )
    result = analyse(*files, "--mount", "body", "--json")
    assert started == [2]
    assert result.exit_code == 2
    assert "missing.csv" in result.stderr
    found = [json.loads(line) for line in result.stdout.splitlines()]
    assert [one.pop("file") for one in found] == [str(file) for file in files if file.exists()]
    alone = json.loads(analyse(table, "--mount", "body", "--json").stdout)
    assert all(one | {"file": str(table)} == alone for one in found)
