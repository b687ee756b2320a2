"""`rungwise scan` and `rungwise sensor` with a file that describes the sensor: over a made-up radio."""

from __future__ import annotations

import json
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from sensor.radio import Backends
from tests.end_to_end.invented_sensor import ADDRESS, DATA, RATE_HZ, SERVICE, START, description
from tests.sensor.fakeradio import Connection, FakeClient, FakeRadio
from tui.cli import main
from tui.sensors import scan, sensor

BATTERY = "00002a19-0000-1000-8000-00805f9b34fb"


@pytest.fixture
def air(monkeypatch: pytest.MonkeyPatch) -> FakeRadio:
    properties = {DATA: ["notify"], START: ["write"], BATTERY: ["read"]}
    air = FakeRadio([Connection()], [(ADDRESS, "FELLTAG", -61)], service=SERVICE, characteristics=properties)

    @asynccontextmanager
    async def radio(virtual: bool, *, side_s: float = 0.0) -> AsyncIterator[Backends]:
        yield air.backends()

    for module in (scan, sensor):
        monkeypatch.setattr(module, "radio", radio)
    return air


def rungwise(folder: Path, *words: str) -> Result:
    return CliRunner().invoke(main, ["--home", str(folder / "home"), *words])


def written(folder: Path) -> str:
    path = folder / "felltag.toml"
    path.write_text(description(sequence=True, time=True))
    return str(path)


def test_scan_lists_what_the_file_describes_and_nothing_else(tmp_path: Path, air: FakeRadio) -> None:
    done = rungwise(tmp_path, "scan", written(tmp_path), "--seconds", "1", "--json")
    assert done.exit_code == 0, done.output
    (line,) = done.stdout.splitlines()
    said = json.loads(line)
    assert air.searched == [[SERVICE]]
    assert "read 0004" not in air.log
    assert (said["address"], said["name"], said["rssi_dbm"]) == (ADDRESS, "FELLTAG", -61)
    assert (said["rate_hz"], said["axes"], said["resends"]) == (RATE_HZ, 6, False)
    assert said["range_g"] == pytest.approx(0.000488 * 32768)
    assert said["battery_percent"] == ord("2")  # what the made-up radio answers to reading 2a19


def test_a_described_sensor_is_called_by_its_file_only(tmp_path: Path, air: FakeRadio) -> None:
    done = rungwise(tmp_path, "sensor", written(tmp_path), "--name", "bar")
    assert done.exit_code == 2
    assert "Leave --name out" in done.stderr
    assert air.log == []


def test_a_description_of_another_sensor_ends_in_one_sentence(tmp_path: Path, air: FakeRadio) -> None:
    del air.characteristics[START]
    done = rungwise(tmp_path, "sensor", written(tmp_path), "--seconds", "1")
    assert done.exit_code == 2
    assert len(done.stderr.splitlines()) == 1
    assert "Correct start.0.characteristic in its description." in done.stderr


def test_notifications_of_another_layout_end_in_one_sentence(tmp_path: Path, air: FakeRadio) -> None:
    def start(client: FakeClient) -> None:
        client.send(*[b"something else"] * 120, uuid=DATA)

    air.connections = [Connection(on_start=start)]
    text = Path(written(tmp_path))
    text.write_text(text.read_text().replace('hex = "01 64"', 'hex = "01"'))
    done = rungwise(tmp_path, "sensor", str(text), "--seconds", "1")
    assert done.exit_code == 2
    assert "None of the first 100 notifications fits the description" in done.stderr
