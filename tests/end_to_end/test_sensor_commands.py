"""`rungwise scan` and `rungwise sensor` over the virtual radio: the whole way, from advertising to the words."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from sensor.virtual.device import NAME
from sensor.virtual.process_setup import SENSOR_ADDRESS
from tui.cli import main
from tui.home import Home
from tui.sensors import SensorFile


def rungwise(folder: Path, *words: str) -> Result:
    return CliRunner().invoke(main, ["--home", str(folder), *words])


def test_scan_lists_what_each_says_and_remembers_it(tmp_path: Path) -> None:
    done = rungwise(tmp_path, "scan", "--virtual", "--seconds", "1")
    assert done.exit_code == 0, done.output
    head, row = done.stdout.splitlines()
    assert head.split() == ["name", "address", "signal", "battery", "firmware", "calibration"]
    assert row.split("  ")[0] == NAME
    for part in (SENSOR_ADDRESS, "dBm", "87 %", "0.1", "none yet"):
        assert part in row
    assert SensorFile(Home(tmp_path).sensors).met()[SENSOR_ADDRESS].advertised == NAME


def test_a_sensor_is_named_set_and_found_again_by_its_name(tmp_path: Path) -> None:
    wishes = ["--rate", "200", "--range", "4", "--name", "belt"]
    first = rungwise(tmp_path, "sensor", "--virtual", "--seconds", "2", "--json", *wishes)
    assert first.exit_code == 0, first.output
    said = json.loads(first.stdout)
    assert (said["format"], said["name"], said["address"]) == ("rungwise.sensor/1", "belt", SENSOR_ADDRESS)
    assert (said["rate_hz"], said["range_g"], said["resends"]) == (200.0, 4.0, True)
    assert said["loss"] == 0.0
    again = rungwise(tmp_path, "sensor", "belt", "--virtual", "--seconds", "1")
    assert again.exit_code == 0, again.output
    assert again.stdout.startswith(f"belt ({SENSOR_ADDRESS})")
    assert "200 Hz" in again.stdout
    assert "±4 g" in again.stdout
    (listed,) = rungwise(tmp_path, "scan", "--virtual", "--seconds", "1", "--json").stdout.splitlines()
    assert json.loads(listed)["name"] == "belt"


def test_what_a_sensor_refuses_is_told_and_not_kept(tmp_path: Path) -> None:
    done = rungwise(tmp_path, "sensor", "--virtual", "--seconds", "1", "--turn-range", "4000")
    assert done.exit_code == 2
    assert "did not take it" in done.stderr
    assert "±125, 250, 500, 1000 or 2000 °/s" in done.stderr
    assert not Home(tmp_path).sensors.exists()


@pytest.mark.parametrize("words", [("scan",), ("sensor",)])
def test_without_bluetooth_one_line_says_what_is_missing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...]
) -> None:
    monkeypatch.setenv("DBUS_SYSTEM_BUS_ADDRESS", f"unix:path={tmp_path}/no-bus")
    done = rungwise(tmp_path, *words)
    assert done.exit_code == 2
    assert len(done.stderr.splitlines()) == 1
    assert "Traceback" not in done.output
