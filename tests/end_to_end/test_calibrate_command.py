"""`rungwise sensor --calibrate`: the virtual sensor is turned over, and what it errs by is found and kept."""

from __future__ import annotations

from contextlib import nullcontext
from pathlib import Path

import click
import numpy as np
import pytest
from biased_sensor import BIAS, GAIN, MG, SIDES, G, turned_table, write
from click.testing import CliRunner
from virtual_session import SENSOR, Gym, HandClock, arrivals

from sensor.source import SystemClock
from sensor.virtual.link import link_available, packet_source, virtual_link
from sensor.virtual.motion import FileFeed, TableTopFeed
from sensor.virtual.process_setup import SENSOR_ADDRESS
from tui.cli import main
from tui.home import Home
from tui.sensors.bluetooth import TURNED_S
from tui.sensors.calibrate import calibrate
from tui.sensors.sensors import How, Known, SensorFile, calibration_of
from tui.session.track import Track

ORDER = SIDES[[4, 1, 2, 5, 0, 3]]


async def turn(folder: Path, table: Path, *, free: bool = False) -> Known:
    clock = HandClock()
    source = nullcontext(packet_source(FileFeed(table), clock))
    return await calibrate(source, clock, SensorFile(Home(folder).sensors), free=free)


def is_true(known: Known) -> bool:
    correction = known.belief.correction
    return bool(
        np.abs(np.array(correction.bias) - BIAS).max() < 2 * MG
        and np.abs(np.array(correction.gain) - GAIN).max() < 0.002
    )


async def test_six_sides_give_bias_and_gain(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    known = await turn(tmp_path, turned_table(tmp_path / "sides.csv", ORDER))
    assert is_true(known)
    assert (known.how, known.postures) == (How.SIDES, 6)
    assert SensorFile(Home(tmp_path).sensors).read() == {SENSOR: known}
    said = capsys.readouterr().out
    assert [line for line in said.splitlines() if line.endswith("of 6 sides")] == [
        f"{n} of 6 sides" for n in range(1, 7)
    ]
    assert said.index("connected") < said.index("Lay the sensor on a table") < said.index("1 of 6")
    assert "mg corrected" in said
    assert "Kept for this sensor" in said
    assert "\a" not in said


@pytest.mark.parametrize("free", [False, True])
async def test_the_virtual_sensor_lies_on_each_side_for_long_enough(tmp_path: Path, free: bool) -> None:
    clock, file = HandClock(), SensorFile(Home(tmp_path).sensors)
    source = nullcontext(packet_source(TableTopFeed(TURNED_S), clock))
    known = await calibrate(source, clock, file, free=free)
    assert known.postures == 6
    assert clock.at_s < 60.0  # nobody waits longer


async def test_it_takes_the_place_of_what_sessions_had_learnt(tmp_path: Path) -> None:
    file = SensorFile(Home(tmp_path).sensors)
    first = await turn(tmp_path, turned_table(tmp_path / "free.csv", _round(14)), free=True)
    assert first.how is How.FREE
    assert is_true(first)
    second = await turn(tmp_path, turned_table(tmp_path / "sides.csv", ORDER))
    assert file.read() == {SENSOR: second}


def _round(n: int) -> np.ndarray:
    """Postures all round (a Fibonacci lattice on the sphere)."""
    k = np.arange(n) + 0.5
    up, turn = 1 - 2 * k / n, np.pi * (1 + 5**0.5) * k
    flat = np.sqrt(1 - up**2)
    return G * np.column_stack([flat * np.cos(turn), flat * np.sin(turn), up])


@pytest.mark.skipif(not link_available(), reason="the extra `demo` is not installed")
async def test_it_works_over_the_virtual_radio_and_is_used_by_the_next_session(tmp_path: Path) -> None:
    table = turned_table(tmp_path / "sides.csv", ORDER)
    clock, file = SystemClock(20.0), SensorFile(Home(tmp_path).sensors)
    known = await calibrate(virtual_link(FileFeed(table), clock, speed=20.0), clock, file, free=False)
    assert is_true(known)
    (sensor_id,) = file.read()
    assert sensor_id == SENSOR_ADDRESS
    assert calibration_of(file.read(), sensor_id) == known.calibration


async def test_a_session_after_it_reads_1g(gym: Gym) -> None:
    known = await turn(gym.home.folder, turned_table(gym.home.folder / "sides.csv", ORDER))
    still = write(gym.home.folder / "still.csv", np.arange(1000) / 100, np.tile(SIDES[4] / GAIN + BIAS, (1000, 1)))
    forces: list[float] = []

    class Scales:
        def push_live(self, samples):  # type: ignore[no-untyped-def]
            return []

        def settle(self, samples):  # type: ignore[no-untyped-def]
            forces.extend(np.linalg.norm(samples.force_m_s2, axis=1))
            return []

        def finish(self):  # type: ignore[no-untyped-def]
            return []

    track = Track(Scales(), lambda sensor_id: calibration_of({SENSOR: known}, sensor_id))
    for arrival in arrivals(FileFeed(still)):
        track.push(arrival)
    assert np.mean(forces) == pytest.approx(G, abs=2 * MG)


async def test_a_sensor_that_goes_away_too_early_changes_nothing(tmp_path: Path) -> None:
    with pytest.raises(click.ClickException, match="went away"):
        await turn(tmp_path, turned_table(tmp_path / "sides.csv", ORDER[:5]))
    assert not Home(tmp_path).sensors.exists()


async def test_postures_that_no_bias_explains_change_nothing(tmp_path: Path) -> None:
    """A side pressed upon: half as much again as gravity."""
    pressed = np.concatenate([ORDER * 1.0, ORDER[:1] * 1.0])
    pressed[3] *= 1.5
    with pytest.raises(click.ClickException, match="do not go together"):
        await turn(tmp_path, turned_table(tmp_path / "sides.csv", pressed))
    assert not Home(tmp_path).sensors.exists()


def test_without_bluetooth_it_says_what_is_missing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DBUS_SYSTEM_BUS_ADDRESS", f"unix:path={tmp_path}/no-bus")
    result = CliRunner().invoke(main, ["--home", str(tmp_path), "sensor", "--calibrate"])
    assert result.exit_code == 2
    assert "Traceback" not in result.output
    assert len(result.stderr.splitlines()) == 1


async def test_known_prints_what_is_known(tmp_path: Path) -> None:
    empty = CliRunner().invoke(main, ["--home", str(tmp_path), "sensor", "--known"])
    assert empty.exit_code == 0
    assert "rungwise sensor --calibrate" in empty.stderr
    await turn(tmp_path, turned_table(tmp_path / "sides.csv", ORDER))
    shown = CliRunner().invoke(main, ["--home", str(tmp_path), "sensor", "--known"])
    assert f"{SENSOR}: from six sides, 6 postures" in shown.stdout
    x = shown.stdout.splitlines()[3]
    assert "+60." in x or "+59." in x
