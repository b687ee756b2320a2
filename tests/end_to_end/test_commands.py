"""The commands as a person starts them: a process, a virtual radio, no hardware."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

RECORDED = Path(__file__).parents[2].parent / "shared" / "data" / "real"
TOLERANCE_S = 1e-4  # of rounding in the document

COMMAND = [sys.executable, "-c", "import sys; sys.argv[0] = 'rungwise'; from tui.cli import main; main()"]


def rungwise(*words: object, **more: str) -> subprocess.CompletedProcess[str]:
    """Run a command from the checkout, warnings of the interpreter as errors."""
    return subprocess.run(
        [*COMMAND, *map(str, words)],
        capture_output=True,
        text=True,
        check=False,
        timeout=300,
        cwd=Path(__file__).parents[2],
        env={**os.environ, **more},
    )


def test_demo_does_the_whole_job_over_the_virtual_radio(tmp_path: Path) -> None:
    done = rungwise("--home", tmp_path, "demo", "--headless", "--speed", "20")
    assert done.returncode == 0, done.stderr
    for said in ("connected", "set 3: 5 of 5 reps", "rest 20 s, then set 2", "Lowering too quick", "next: from"):
        assert said in done.stdout
    assert "the demonstration is over" in done.stdout
    assert "lost" not in done.stdout  # its end is no fault
    log = rungwise("--home", tmp_path, "log", "--json")
    (session,) = [json.loads(line) for line in log.stdout.splitlines()]
    assert [one["count"] for one in session["sets"]] == [5, 5, 5]
    assert session["finished"] is True


def test_without_the_extra_the_same_packets_come_without_a_radio(tmp_path: Path) -> None:
    """`bumble` is hidden from the process by a finder that refuses it."""
    hide = "import sys; sys.modules['bumble'] = None; "
    command = [COMMAND[0], "-c", hide + COMMAND[2].replace("import sys; ", "")]
    done = subprocess.run(
        [*command, "--home", str(tmp_path), "demo", "--headless", "--speed", "40"],
        capture_output=True,
        text=True,
        check=False,
        timeout=300,
    )
    assert done.returncode == 0, done.stderr
    assert "same packets, no radio" in done.stdout
    assert "set 3: 5 of 5 reps" in done.stdout


def test_an_interrupt_leaves_a_complete_log(tmp_path: Path) -> None:
    running = subprocess.Popen(
        [*COMMAND, "--home", str(tmp_path), "demo", "--headless", "--speed", "20"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    assert running.stdout is not None
    for line in running.stdout:
        if "set 2: hands on" in line:
            running.send_signal(signal.SIGINT)
            break
    _, stderr = running.communicate(timeout=60)
    assert running.returncode == 130
    assert "Traceback" not in stderr
    log = rungwise("--home", tmp_path, "log", "--json")
    (session,) = [json.loads(line) for line in log.stdout.splitlines()]
    assert session["finished"] is True
    assert session["sets"][0]["count"] == 5


def test_train_without_bluetooth_says_what_is_missing(tmp_path: Path) -> None:
    nowhere = f"unix:path={tmp_path}/no-bus"
    done = rungwise("--home", tmp_path, "train", "Jonas Reiter", "--headless", DBUS_SYSTEM_BUS_ADDRESS=nowhere)
    assert done.returncode == 2
    assert "Traceback" not in done.stderr
    assert "rungwise demo" in done.stderr
    assert done.stdout.split("  ")[1:] == ["0:00", "looking for a sensor\n"]
    assert "nobody is in the logbook yet" in rungwise("--home", tmp_path, "next").stderr


def test_train_without_a_name_asks_for_one(tmp_path: Path) -> None:
    done = rungwise("--home", tmp_path, "train", "--headless")
    assert done.returncode == 2
    assert "rungwise train" in done.stderr


@pytest.mark.parametrize(
    "command", ["", "demo", "train", "scan", "sensor", "analyse", "replay", "log", "next", "done", "tell", "roster"]
)
def test_help_has_an_example(command: str) -> None:
    done = rungwise(*command.split(), "--help")
    assert done.returncode == 0
    assert "Example" in done.stdout


@pytest.mark.parametrize("command", ["", "plan"])
def test_the_list_of_commands_cuts_no_sentence_short(command: str) -> None:
    listed = rungwise(*command.split(), "--help", COLUMNS="80").stdout.split("Commands:")[1]
    assert "..." not in listed


def test_demo_needs_the_mount_of_a_recorded_motion(tmp_path: Path) -> None:
    done = rungwise("--home", tmp_path, "demo", "--motion", "belt.csv")
    assert done.returncode == 2
    assert "--mount" in done.stderr


def test_demo_with_a_file_that_is_none_says_so(tmp_path: Path) -> None:
    missing = tmp_path / "missing.csv"
    done = rungwise("--home", tmp_path, "demo", "--headless", "--motion", missing, "--mount", "body")
    assert done.returncode == 2
    assert "missing.csv" in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize(
    ("name", "mount"),
    [
        ("pte-uci730/s1_e3_u2_correct.csv.gz", "limb"),
        ("pte-uci730/s2_e7_u2_fast.csv.gz", "limb"),
        ("bench-5sts/subject1_shimmer4.csv.gz", "body"),
    ],
)
def test_a_recorded_person_through_the_radio_is_analysed_as_the_file_is(name: str, mount: str, tmp_path: Path) -> None:
    path = RECORDED / name
    if not path.exists():
        pytest.skip("the open recordings are not beside this checkout (../shared/data/real)")
    streamed = rungwise("--home", tmp_path, "demo", "--headless", "--speed", "30", "--motion", path, "--mount", mount)
    assert streamed.returncode == 0, streamed.stderr
    (session,) = [json.loads(one) for one in rungwise("--home", tmp_path, "log", "--json").stdout.splitlines()]
    document = json.loads(rungwise("analyse", path, "--mount", mount, "--json").stdout)
    sample_s = 1 / document["sample_rate_hz"]
    found = [rep for one in session["sets"] for rep in one["reps"]]
    expected = [rep for one in document["sets"] for rep in one["reps"]]
    assert len(found) == len(expected) > 0
    for boundary in ("start_s", "top_s", "down_s", "end_s"):
        pairs = [(one[boundary], other[boundary]) for one, other in zip(found, expected, strict=True)]
        assert [one is None for one, _ in pairs] == [other is None for _, other in pairs]
        off_s = np.array([one - other for one, other in pairs if one is not None])
        assert np.all(np.abs(off_s) <= sample_s + TOLERANCE_S)
