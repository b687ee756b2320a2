"""A sensor is found by the name given to it, and set to what is kept, no more often than needed."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from sensor.protocol import STANDARD_GRAVITY_M_S2, Info, SetRange, SetRate
from sensor.radio import RadioSettings
from tests.end_to_end.invented_sensor import SERVICE, description
from tui.home import Home
from tui.sensors.choosing import commands, radio_settings, ranges
from tui.sensors.sensors import MET_KEPT, Met, SensorFile
from tui.training.train_with import looked_for
from tui.trouble import Trouble

INFO = Info(boot_id=1, rate_hz=104.03, axes=6, force_g_per_count=8 / 32768, turn_deg_s_per_count=1000 / 32768)
MET = Met(seen_utc_us=5)


@pytest.fixture
def file(tmp_path: Path) -> SensorFile:
    return SensorFile(Home(tmp_path).sensors)


def test_ranges_are_those_of_sixteen_bits() -> None:
    assert INFO.force_m_s2_per_count == pytest.approx(8 * STANDARD_GRAVITY_M_S2 / 32768)
    assert ranges(INFO) == pytest.approx((8.0, 1000.0))


@pytest.mark.parametrize(
    ("met", "wanted"),
    [
        (MET, []),
        (replace(MET, rate_hz=104.0, force_g=8, turn_deg_s=1000), []),
        (replace(MET, rate_hz=200.0), [SetRate(200.0)]),
        (replace(MET, force_g=4), [SetRange(4, 0)]),
        (replace(MET, turn_deg_s=500), [SetRange(8, 500)]),
        (replace(MET, rate_hz=50.0, force_g=16, turn_deg_s=2000), [SetRate(50.0), SetRange(16, 2000)]),
    ],
)
def test_a_sensor_is_set_only_where_it_is_not_so(met: Met, wanted: list[object]) -> None:
    assert list(commands(met, INFO)) == wanted


def test_a_sensor_without_a_gyro_is_not_asked_to_turn() -> None:
    plain = replace(INFO, axes=3, turn_deg_s_per_count=0.0)
    assert not commands(replace(MET, turn_deg_s=500), plain)


def test_a_name_given_here_finds_the_address(file: SensorFile) -> None:
    file.keep_met({"F2:52:57:00:00:01": replace(MET, name="belt", rate_hz=200.0)})
    by_name = radio_settings(file, "belt")
    assert (by_name.address, by_name.name) == ("F2:52:57:00:00:01", None)
    assert list(by_name.set_to("F2:52:57:00:00:01", INFO)) == [SetRate(200.0)]
    assert list(by_name.set_to("F2:52:57:00:00:02", INFO)) == []
    own = radio_settings(file, "RW-2")
    assert (own.address, own.name) == (None, "RW-2")
    mac = radio_settings(file, "6B5E0001-B708-40F3-AD48-2B28EBDE7BBF")
    assert (mac.address, mac.name) == ("6B5E0001-B708-40F3-AD48-2B28EBDE7BBF", None)


def test_a_file_says_what_to_look_for_and_how_to_meet_it(file: SensorFile, tmp_path: Path) -> None:
    path = tmp_path / "tag.toml"
    path.write_text(
        description(sequence=True, time=True).replace(
            "[motion]", 'address = "C4:11:22:33:44:55"\nname = "FELLTAG"\n[motion]'
        )
    )
    settings = radio_settings(file, str(path))
    assert (settings.address, settings.name, settings.sort.service) == ("C4:11:22:33:44:55", "FELLTAG", SERVICE)
    assert settings.sort.description == path.read_bytes()


@pytest.mark.parametrize("ask_for", ["--sensor {}", "rungwise sensor {}"])
def test_messages_say_how_the_command_takes_a_sensor_and_what_each_is_called(file: SensorFile, ask_for: str) -> None:
    file.keep_met({"AA": replace(MET, name="belt"), "BB": MET})
    settings = radio_settings(file, None, ask_for)
    assert (settings.ask_for, settings.names) == (ask_for, {"AA": "belt"})


def test_a_file_that_is_not_called_as_descriptions_are_is_no_name_of_a_sensor(file: SensorFile, tmp_path: Path) -> None:
    path = tmp_path / "tag.txt"
    path.write_text(description(sequence=True, time=True))
    with pytest.raises(Trouble, match=r"tag.txt is a file, but its name does not end in .toml: rename it"):
        radio_settings(file, str(path))
    path.rename(tmp_path / "TAG.TOML")
    assert radio_settings(file, str(tmp_path / "TAG.TOML")).sort.service == SERVICE


def test_the_latest_are_remembered_and_those_with_a_name_for_good(file: SensorFile) -> None:
    file.keep_met({"old": Met(seen_utc_us=0, name="bar")})
    for k in range(1, MET_KEPT + 10):
        file.keep_met({f"s{k}": Met(seen_utc_us=k)})
    met = file.met()
    assert len(met) == MET_KEPT + 1
    assert next(iter(met)) == "old"
    assert list(met)[-1] == f"s{MET_KEPT + 9}"
    assert file.read() == {}


def test_a_name_belongs_to_the_sensor_that_it_was_given_to_last(file: SensorFile) -> None:
    file.keep_met({"old": Met(seen_utc_us=1, name="belt")})
    file.keep_met({"new": Met(seen_utc_us=2, name="belt")})
    assert radio_settings(file, "belt").name == "new"
    assert file.met()["old"].name is None


def test_the_search_lasts_as_long_as_somebody_watches_and_else_the_first_must_be_there_soon() -> None:
    both = [RadioSettings(find_s=30.0, name="clip"), RadioSettings(find_s=30.0, name="belt")]
    assert [one.find_s for one in looked_for(both, watched=True)] == [None, None]
    assert [one.find_s for one in looked_for(both, watched=False)] == [30.0, None]
    assert [one.name for one in looked_for(both, watched=True)] == ["clip", "belt"]
