"""A session learns what its sensor errs by, the next one uses it, and a recording keeps what was used."""

from __future__ import annotations

from pathlib import Path
from uuid import uuid4

import numpy as np
import pytest
from biased_sensor import BIAS, GAIN, SIDES, G, session_table, turned_table
from click.testing import CliRunner
from virtual_session import BEGAN_UTC_US, SENSOR, Gym, HandClock, Notebook, arrivals

from analysis.logbook.book import Logbook
from sensor.calibration import Calibration
from sensor.recording import Recording
from sensor.source import Channel
from sensor.virtual.motion import FileFeed
from tui.cli import main
from tui.home import Home
from tui.replay.replay import applied_calibration, recomputed_events, stored_events
from tui.sensors.sensors import Known, SensorFile
from tui.session.stored import encode_event


def train(home: Home, logbook: Logbook, feed: FileFeed) -> Gym:
    """Do one session."""
    gym = Gym(home, logbook, HandClock(), Notebook())
    session = gym.opening().open_session("", gym.book)
    session.begin()
    gym.run(session, feed)
    session.end()
    return gym


def off_1g_mg(gym: Gym) -> float:
    """How far the session's readings were off 1 g, as it told."""
    (told,) = [one.text for one in gym.book.moments if one.text.startswith("sensor learnt")]
    return float(told.split("off 1 g by ")[1].split(" mg ")[0])


class Two:
    """Two sessions with the same sensor, and what was known of it after each."""

    def __init__(self, folder: Path) -> None:
        self.home = Home(folder)
        feed = FileFeed(session_table(folder / "belt.csv"))
        self.gyms: list[Gym] = []
        self.known: list[Known] = []
        self.recordings: list[Path] = []
        with Logbook.open(self.home.logbook) as logbook:
            for _ in range(2):
                self.gyms.append(train(self.home, logbook, feed))
                self.known.append(SensorFile(self.home.sensors).read()[SENSOR])
                self.recordings += [one for one in self.home.recordings_of("") if one not in self.recordings]
            self.records = self.gyms[-1].records()


@pytest.fixture(scope="module")
def two(tmp_path_factory: pytest.TempPathFactory) -> Two:
    return Two(tmp_path_factory.mktemp("two"))


def test_the_bias_is_learnt_within_its_own_uncertainty(two: Two) -> None:
    correction = two.known[0].belief.correction
    off = (np.array(correction.bias) - BIAS) / np.array(two.known[0].belief.bias_sd_m_s2)
    assert np.abs(off).max() < 2.5
    assert np.abs((np.array(correction.gain) - GAIN) / np.array(two.known[0].belief.gain_sd)).max() < 2.5
    assert max(two.known[0].belief.bias_sd_m_s2) < 0.05 * G


def test_the_next_session_uses_it(two: Two) -> None:
    first, second = (off_1g_mg(gym) for gym in two.gyms)
    assert first > 15
    assert second < 3.0  # what a posture of a few moments is good for
    assert sum(two.known[1].belief.bias_sd_m_s2) < sum(two.known[0].belief.bias_sd_m_s2)


def test_the_count_is_right_before_and_after(two: Two) -> None:
    assert [[one.verdict.count for one in record.sets] for record in two.records] == [[5]] * 2


def test_each_recording_keeps_what_was_applied(two: Two) -> None:
    applied = []
    for path in two.recordings:
        with Recording.open(path) as recording:
            applied.append(applied_calibration(recording))
    assert applied == [Calibration(), two.known[0].calibration]
    assert two.known[1].calibration not in applied


@pytest.mark.parametrize("number", [0, 1])
def test_a_new_analysis_is_the_same_to_the_last_digit_although_more_is_known_now(two: Two, number: int) -> None:
    with Recording.open(two.recordings[number]) as recording:
        stored = [encode_event(event) for event in stored_events(recording)]
        assert stored
        assert stored == [encode_event(event) for event in recomputed_events(recording)]


def test_what_was_applied_does_matter_to_the_last_digit(two: Two) -> None:
    """Both sessions were the same motion: only what was known of the sensor differs."""
    texts = []
    for path in two.recordings:
        with Recording.open(path) as recording:
            texts.append([encode_event(event) for event in stored_events(recording)])
    assert texts[0] != texts[1]


def test_a_file_that_breaks_during_a_session_leaves_the_log_complete(gym: Gym, tmp_path: Path) -> None:
    feed = FileFeed(session_table(tmp_path / "belt.csv"))
    session = gym.opening().open_session("", gym.book)
    for number, arrival in enumerate(arrivals(feed)):
        gym.give(session, arrival)
        if number == 300:
            gym.home.sensors.write_text("{")
    session.end()
    (record,) = gym.records()
    assert record.ended_utc_us is not None
    assert "is not kept" in gym.book.text
    assert gym.home.sensors.read_text() == "{"


@pytest.mark.parametrize(
    "command", [("train", "Jonas Reiter"), ("demo", "--headless"), ("sensor", "--known"), ("scan",), ("sensor",)]
)
def test_a_broken_file_is_told_in_one_line_before_anything_begins(tmp_path: Path, command: tuple[str, ...]) -> None:
    Home(tmp_path).sensors.write_text("{")
    result = CliRunner().invoke(main, ["--home", str(tmp_path), *command])
    assert result.exit_code == 2
    assert "sensors.json" in result.stderr
    assert "move it elsewhere" in result.stderr
    assert len(result.stderr.splitlines()) == 1
    assert Home(tmp_path).sensors.read_text() == "{"


def test_a_recording_through_the_demo_is_no_lesson_about_the_virtual_sensor(tmp_path: Path) -> None:
    path = turned_table(tmp_path / "belt.csv", SIDES[:4])
    words = ["--home", str(tmp_path), "demo", "--headless", "--speed", "40", "--motion", str(path), "--mount", "body"]
    result = CliRunner().invoke(main, words)
    assert result.exit_code == 0, result.output
    assert "sensor learnt" not in result.output
    assert not Home(tmp_path).sensors.exists()


def test_a_recording_from_before_calibrations_had_none(tmp_path: Path) -> None:
    path = tmp_path / "old.rungwise"
    Recording.create(path, session_id=uuid4(), clock=HandClock(), meta={"mount": "body"}).close()
    with Recording.open(path) as recording:
        assert applied_calibration(recording) == Calibration()


def test_a_session_without_motion_learns_nothing(gym: Gym) -> None:
    session = gym.opening().open_session("", gym.book)
    for arrival in arrivals(FileFeed(session_table(gym.home.folder / "belt.csv"))):
        if arrival.channel is not Channel.DATA:
            gym.give(session, arrival)
    session.end()
    assert SensorFile(gym.home.sensors).read() == {}


def test_whoever_trains_with_a_sensor_has_met_it(gym: Gym) -> None:
    session = gym.opening().open_session("", gym.book)
    gym.run(session)
    met = SensorFile(gym.home.sensors).met()[SENSOR]
    assert (met.firmware, met.seen_utc_us) == ("0.1", BEGAN_UTC_US)
