"""Raw motion of a recorded session goes out as the plain table, and is read as the session was."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from virtual_session import Gym

from sensor.protocol import STANDARD_GRAVITY_M_S2
from sensor.table import read_table
from tui.cli import main


def exported(done: Gym, out: Path) -> str:
    (path,) = done.recordings()
    asked = ["export", "--format", "motion", "--session", path.name[:8], "--out", str(out)]
    result = CliRunner().invoke(main, ["--home", str(done.home.folder), *asked])
    assert result.exit_code == 0, result.output
    return result.output


def test_the_table_is_read_as_the_session_was(done: Gym, tmp_path: Path) -> None:
    out = tmp_path / "session.csv"
    said = exported(done, out)
    table = read_table(out)
    assert f"{len(table)} samples" in said
    assert np.median(np.linalg.norm(table.force_m_s2, axis=1)) == pytest.approx(STANDARD_GRAVITY_M_S2, rel=0.03)
    read = CliRunner().invoke(main, ["analyse", str(out), "--mount", "body", "--json"])
    found = json.loads(read.output)["sets"]
    (person,) = done.logbook.trainees()
    (session,) = done.logbook.sessions(person.id, with_reps=True)
    counted = [[rep for rep in one["reps"] if rep["kind"] != "partial"] for one in found]
    assert [len(reps) for reps in counted] == [one.verdict.count for one in session.sets]
    starts = [rep["start_s"] for reps in counted for rep in reps]
    assert starts == pytest.approx([rep.start_s for one in session.sets for rep in one.reps if rep.counts], abs=0.02)


def test_a_packed_table_holds_the_same(done: Gym, tmp_path: Path) -> None:
    exported(done, tmp_path / "a.csv")
    exported(done, tmp_path / "a.csv.gz")
    plain, packed = read_table(tmp_path / "a.csv"), read_table(tmp_path / "a.csv.gz")
    assert (plain.t_s == packed.t_s).all()
    assert (plain.force_m_s2 == packed.force_m_s2).all()


@pytest.mark.parametrize("named", ["zzzz", "/nowhere/x.rungwise"])
def test_a_session_without_a_recording_is_told(tmp_path: Path, named: str) -> None:
    asked = ["export", "--format", "motion", "--session", named, "--out", str(tmp_path / "x.csv")]
    result = CliRunner().invoke(main, ["--home", str(tmp_path), *asked])
    assert result.exit_code == 2
    assert named in result.output
    assert not (tmp_path / "x.csv").exists()
