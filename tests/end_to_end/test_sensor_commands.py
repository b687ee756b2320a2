"""`rungwise scan` and `rungwise sensor` over the virtual radio: the whole way, from advertising to the words."""

from __future__ import annotations

import json
import re
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from datetime import UTC, datetime
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from sensor.radio import Backends
from sensor.virtual.device import NAME
from sensor.virtual.process_setup import TABLE_TOP_ADDRESS
from tests.sensor.fakeradio import FakeRadio
from tui.cli import main
from tui.home import Home
from tui.sensors import scan, sensor
from tui.sensors.scan import NOTHING_FOUND
from tui.sensors.sensors import Met, SensorFile


def rungwise(folder: Path, *words: str) -> Result:
    return CliRunner().invoke(main, ["--home", str(folder), *words])


def test_scan_lists_what_each_says_and_remembers_it(tmp_path: Path) -> None:
    done = rungwise(tmp_path, "scan", "--virtual", "--seconds", "1")
    assert done.exit_code == 0, done.output
    head, row = done.stdout.splitlines()
    assert head.split() == ["name", "address", "signal", "battery", "firmware", "calibration"]
    assert row.split("  ")[0] == NAME
    for part in (TABLE_TOP_ADDRESS, "dBm", "87 %", "0.1", "none yet"):
        assert part in row
    assert SensorFile(Home(tmp_path).sensors).met()[TABLE_TOP_ADDRESS].advertised == NAME


def test_a_sensor_is_named_set_and_found_again_by_its_name(tmp_path: Path) -> None:
    wishes = ["--rate", "200", "--range", "4", "--name", "belt"]
    first = rungwise(tmp_path, "sensor", "--virtual", "--seconds", "2", "--json", *wishes)
    assert first.exit_code == 0, first.output
    said = json.loads(first.stdout)
    assert (said["format"], said["name"], said["address"]) == ("rungwise.sensor/1", "belt", TABLE_TOP_ADDRESS)
    assert (said["rate_hz"], said["range_g"], said["resends"]) == (200.0, 4.0, True)
    assert said["loss"] == 0.0
    again = rungwise(tmp_path, "sensor", "belt", "--virtual", "--seconds", "1")
    assert again.exit_code == 0, again.output
    assert again.stdout.startswith(f"belt ({TABLE_TOP_ADDRESS})")
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


def test_what_lies_still_shows_noise_and_bias(tmp_path: Path) -> None:
    """The virtual sensor's densities, 100 µg/√Hz and 0.007 °/s/√Hz, over half of 100 Hz; 30 mg, 1 % and 0.3 °/s off at
    most."""
    done = rungwise(tmp_path, "sensor", "--virtual", "--seconds", "4", "--json")
    assert done.exit_code == 0, done.output
    said = json.loads(done.stdout)
    assert said["noise_mg"] == pytest.approx([0.1 * 50**0.5] * 3, rel=0.25)
    assert said["turn_noise_dps"] == pytest.approx([0.007 * 50**0.5] * 3, rel=0.25)
    assert 0.5 < abs(said["off_1g_mg"]) < 65
    assert 0.02 < max(map(abs, said["turn_bias_dps"])) < 0.35
    words = rungwise(tmp_path, "sensor", "--virtual", "--seconds", "2").stdout
    assert re.search(r"at rest +noise \d\.\d\d \d\.\d\d \d\.\d\d mg · off 1 g by [+-]\d+\.\d mg", words)


@pytest.fixture
def air(monkeypatch: pytest.MonkeyPatch) -> FakeRadio:
    air = FakeRadio()

    @asynccontextmanager
    async def radio(virtual: bool, *, side_s: float = 0.0) -> AsyncIterator[Backends]:
        yield air.backends()

    for module in (scan, sensor):
        monkeypatch.setattr(module, "radio", radio)
    return air


@pytest.mark.parametrize("as_json", [[], ["--json"]])
def test_a_scan_that_finds_nothing_says_what_to_do_next(tmp_path: Path, air: FakeRadio, as_json: list[str]) -> None:
    air.sensors = []
    done = rungwise(tmp_path, "scan", "--seconds", "1", *as_json)
    assert done.exit_code == NOTHING_FOUND == 1
    assert done.stdout == ""
    (line,) = done.stderr.splitlines()
    for step in ("Wake one", "within a few metres", "connected to", "rungwise scan --seconds 20"):
        assert step in line
    assert "1 where none is" in rungwise(tmp_path, "scan", "--help").stdout


def test_a_scan_that_finds_nothing_still_lists_who_was_met_before(tmp_path: Path, air: FakeRadio) -> None:
    SensorFile(Home(tmp_path).sensors).keep_met({"AA": Met(seen_utc_us=1, name="belt")})
    air.sensors = []
    done = rungwise(tmp_path, "scan", "--seconds", "1")
    assert done.exit_code == NOTHING_FOUND
    head, line = done.stdout.splitlines()
    assert head == "met before, not in range now:"
    assert line.split()[:2] == ["belt", "AA"]


def test_a_name_from_the_air_cannot_take_hold_of_the_terminal(
    tmp_path: Path, air: FakeRadio, monkeypatch: pytest.MonkeyPatch
) -> None:
    """ECMA-48: a sequence that begins with ESC, or with the one character 0x9B, is a command to the terminal."""
    monkeypatch.setattr(sensor, "FIND_S", 0.2)
    air.sensors = [("AA", "be\x1b[2Jlt\x9b3m\r\n\x07", -40)]
    listed = rungwise(tmp_path, "scan", "--seconds", "1")
    asked = rungwise(tmp_path, "sensor", "bar")
    for said in (listed.stdout, asked.stderr):
        assert "be[2Jlt3m" in said
        assert not re.search(r"[\x00-\x09\x0b-\x1f\x7f-\x9f]", said)


def test_an_unknown_name_is_answered_by_what_is_in_range(
    tmp_path: Path, air: FakeRadio, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sensor, "FIND_S", 0.2)
    air.sensors = [("AA", "RW-1", -40), ("BB", "RW-2", -70)]
    SensorFile(Home(tmp_path).sensors).keep_met({"BB": Met(seen_utc_us=1, name="belt")})
    done = rungwise(tmp_path, "sensor", "blet")
    assert done.exit_code == 2
    (line,) = done.stderr.splitlines()
    assert "No sensor called blet found, but in range: RW-1 at AA, belt at BB" in line
    assert "(`rungwise sensor AA`)" in line


def test_of_two_in_range_one_is_asked_for_as_this_command_takes_it(tmp_path: Path, air: FakeRadio) -> None:
    air.sensors = [("AA", "RW-1", -40), ("BB", "RW-2", -70)]
    done = rungwise(tmp_path, "sensor")
    assert done.exit_code == 2
    assert "(`rungwise sensor AA`)" in done.stderr
    assert "--sensor" not in done.stderr


def test_a_calibration_can_be_tried_without_hardware_and_every_sensor_met_is_known(tmp_path: Path) -> None:
    file = SensorFile(Home(tmp_path).sensors)
    file.keep_met({"AA": Met(seen_utc_us=1_772_440_000_000_000, advertised="RW-1", firmware="0.1", calibrated=True)})
    assert rungwise(tmp_path, "sensor", "--virtual", "--seconds", "1", "--name", "belt").exit_code == 0
    calibrated = rungwise(tmp_path, "sensor", "--virtual", "--calibrate")
    assert calibrated.exit_code == 0, calibrated.output
    as_it_came, corrected = map(float, re.findall(r"by ([\d.]+) mg", calibrated.stdout))
    assert corrected < 1.0 < as_it_came
    head, *rows = rungwise(tmp_path, "sensor", "--known").stdout.splitlines()
    assert re.split(r" {2,}", head) == ["name", "address", "last met", "firmware", "calibration"]
    today = f"{datetime.now(UTC).astimezone():%Y-%m-%d}"
    assert re.split(r" {2,}", rows[0]) == ["belt", TABLE_TOP_ADDRESS, today, "0.1", f"six sides, {today}"]
    assert re.split(r" {2,}", rows[1]) == ["RW-1", "AA", "2026-03-02", "0.1", "its maker's"]
    assert rows[2].startswith(f"{TABLE_TOP_ADDRESS}: from six sides")
    documents = [json.loads(line) for line in rungwise(tmp_path, "sensor", "--known", "--json").stdout.splitlines()]
    assert [(one["address"], one["name"], one["firmware"]) for one in documents] == [
        (TABLE_TOP_ADDRESS, "belt", "0.1"),
        ("AA", "RW-1", "0.1"),
    ]
    assert documents[0]["calibration"]["how"] == "six sides"


def test_what_a_sensor_runs_is_known_after_a_scan(tmp_path: Path) -> None:
    assert rungwise(tmp_path, "scan", "--virtual", "--seconds", "1").exit_code == 0
    met = SensorFile(Home(tmp_path).sensors).met()[TABLE_TOP_ADDRESS]
    assert (met.firmware, met.calibrated) == ("0.1", False)


@pytest.mark.parametrize(
    ("words", "named"),
    [
        (["--known", "--rate", "200"], "--rate"),
        (["--known", "belt"], "SENSOR"),
        (["--known", "--calibrate", "--seconds", "5"], "--seconds, --calibrate"),
        (["--known", "--name", "belt"], "--name"),
        (["--calibrate", "--seconds", "5"], "--seconds"),
        (["--free", "--range", "4", "--json"], "--range, --json"),
    ],
)
def test_options_that_do_not_go_together_are_refused_not_passed_over(
    tmp_path: Path, words: list[str], named: str
) -> None:
    done = rungwise(tmp_path, "sensor", *words)
    assert done.exit_code == 2
    assert f"goes without {named}" in done.stderr
    assert not list(tmp_path.iterdir())
