"""What a person may get wrong at the command line: one sentence with the next step, status 2, no traceback."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from sensor.limits import FORCE_RANGES_G, SET_RATE_HZ, TURN_RANGES_DEG_S
from tui.cli import main


def said(*words: object) -> Result:
    return CliRunner().invoke(main, [str(word) for word in words])


@pytest.fixture
def blocked(tmp_path: Path) -> Path:
    """A folder that cannot be made: a file stands in its way."""
    (tmp_path / "file").touch()
    return tmp_path / "file" / "home"


@pytest.mark.parametrize(
    "command",
    [("log",), ("next",), ("train", "Jonas Reiter"), ("train", "--trainee", "Jonas Reiter"), ("demo", "--headless")],
)
def test_a_home_that_cannot_be_made(blocked: Path, command: tuple[str, ...]) -> None:
    result = said("--home", blocked, *command)
    assert result.exit_code == 2
    assert "--home" in result.stderr
    assert str(blocked) in result.stderr
    assert len(result.stderr.splitlines()) == 1


@pytest.mark.parametrize("named", ["/nowhere/at-all", "*", "**", "[", "../x", "zzz"])
def test_a_recording_that_is_none(tmp_path: Path, named: str) -> None:
    result = said("--home", tmp_path, "replay", named)
    assert result.exit_code == 2
    assert named in result.stderr
    assert len(result.stderr.splitlines()) == 1


@pytest.mark.parametrize("speed", ["nan", "inf", "-1", "0", "1e300", "fast"])
@pytest.mark.parametrize("command", [("demo",), ("replay", "3f2a")])
def test_a_speed_that_is_none(tmp_path: Path, speed: str, command: tuple[str, ...]) -> None:
    result = said("--home", tmp_path, *command, "--speed", speed)
    assert result.exit_code == 2
    assert "--speed" in result.stderr


def test_a_description_that_cannot_be_used_is_told_by_file_line_and_key(tmp_path: Path) -> None:
    file = tmp_path / "tag.toml"
    file.write_text('format = "rungwise.own-sensor/1"\nname = ""\n')
    for command in (("train", "Jonas Reiter", "--sensor", file), ("sensor", file), ("sensor", file, "--calibrate")):
        result = said("--home", tmp_path / "home", *command)
        assert result.exit_code == 2
        assert result.stderr == f"rungwise: {file}, line 2, name: '' is not allowed; give some text\n"


@pytest.mark.parametrize(
    ("option", "value", "allowed"),
    [
        ("--turn-range", "333", TURN_RANGES_DEG_S),
        ("--range", "3", FORCE_RANGES_G),
        ("--rate", "5", SET_RATE_HZ),
        ("--rate", "2000", SET_RATE_HZ),
        ("--rate", "nan", SET_RATE_HZ),
    ],
)
def test_a_setting_that_there_is_not_is_refused_with_those_that_there_are(
    tmp_path: Path, option: str, value: str, allowed: tuple[float, ...]
) -> None:
    result = said("--home", tmp_path, "sensor", option, value)
    assert result.exit_code == 2
    assert option in result.stderr
    for one in allowed:
        assert f"{one:g}" in re.findall(r"[\d.]+\d|\d", result.stderr.replace(value, "", 1))
    assert not list(tmp_path.iterdir())


def test_an_empty_log_says_what_fills_it(tmp_path: Path) -> None:
    result = said("--home", tmp_path, "log")
    assert result.exit_code == 0
    assert result.stdout == ""
    assert "rungwise train" in result.stderr


@pytest.mark.parametrize(
    ("words", "named"),
    [
        (("--superset", "  "), "--superset"),
        (("--hang", "nan"), "--hang"),
        (("--hang", "1e9"), "--hang"),
        (("--hang", "2"), "--hang"),
        (("--test", "--hang", "20"), "--test"),
        (("--test", "--superset", "press-up"), "--test"),
        (("--mount", "fixed-bar", "--place", "chest"), "--mount body only"),
    ],
)
def test_what_cannot_be_trained(tmp_path: Path, words: tuple[str, ...], named: str) -> None:
    result = said("--home", tmp_path, "train", "Jonas Reiter", *words)
    assert result.exit_code == 2
    assert named in result.stderr
    assert not list(tmp_path.iterdir())
