"""What is told of the sensor's link: each state when it comes, a low battery once, with what to do."""

from __future__ import annotations

from dataclasses import replace

import pytest
from screen_feed import PRESCRIPTION

from analysis.motion.mounts import Mount
from analysis.motion.pipeline import Pipeline
from sensor.source import Arrival, Channel, LinkState
from tui.session.board import Board
from tui.session.messages import Link
from tui.session.track import Track
from tui.widgets import labels
from tui.words.link_news import LinkNews

GOOD = Link(state=LinkState.CONNECTED, sensor="AA", rate_hz=100.0, battery=87)


def told(*links: Link) -> list[str]:
    news = LinkNews()
    return [line for link in links for line in news.of(link)]


def falling(*percents: int) -> list[str]:
    return told(GOOD, *[replace(GOOD, battery=percent) for percent in percents])[1:]


def test_a_new_state_is_told_once_and_a_new_sensor_when_it_said_what_it_is() -> None:
    lines = told(replace(GOOD, rate_hz=None), GOOD, GOOD, replace(GOOD, state=LinkState.LOST), GOOD)
    assert lines == [
        "AA connected at 100 Hz, battery 87 %",
        "AA lost: what is done now is not measured; looking for it",
        "AA connected at 100 Hz, battery 87 %",
    ]


KEEPS = replace(GOOD, keeps_s=60.0)


def test_a_loss_is_told_once_with_what_the_sensor_keeps() -> None:
    lost = replace(KEEPS, state=LinkState.LOST)
    lines = told(KEEPS, lost, replace(lost, state=LinkState.SEARCHING), KEEPS)
    assert lines[1:2] == ["AA lost: go on; it keeps the last 60 s, fetched once it is back"]
    assert not [line for line in lines if "looking" in line]


@pytest.mark.parametrize(
    ("fetched_s", "lost_s", "line"),
    [
        (8.7, 0.0, "8.7 s fetched: nothing is missing"),
        (5.5, 3.2, "5.5 s fetched, 3.2 s stay a gap: the sensor could not send them again"),
        (0.0, 40.0, "40.0 s stay a gap: the sensor could not send them again"),
    ],
)
def test_what_became_of_the_missing_seconds_is_told_once_when_none_is_missing_any_more(
    fetched_s: float, lost_s: float, line: str
) -> None:
    half = replace(KEEPS, missing_s=lost_s + fetched_s / 2, fetched_s=fetched_s / 2)
    whole = replace(KEEPS, fetched_s=fetched_s, lost_s=lost_s)
    assert told(KEEPS, replace(KEEPS, missing_s=fetched_s + lost_s), half, whole, whole)[1:] == [line]


def test_a_packet_that_was_missing_for_a_moment_is_not_told() -> None:
    assert told(KEEPS, replace(KEEPS, missing_s=0.1), replace(KEEPS, fetched_s=0.1))[1:] == []


def test_a_battery_that_runs_low_is_told_at_each_limit_with_what_to_do() -> None:
    assert falling(16, 15, 14, 15, 16, 15) == ["AA has 15 % of its battery left; charge it after this session"]
    assert falling(9, 5, 4) == [
        "AA has 9 % of its battery left; charge it after this session",
        "AA has 5 % of its battery left; it may stop in mid-set: charge it now",
    ]
    assert falling(3) == ["AA has 3 % of its battery left; it may stop in mid-set: charge it now"]


def test_the_level_that_a_sensor_notifies_becomes_a_line_of_the_session() -> None:
    """From the byte of the standard characteristic (0x2A19: percent) to what the screen is told."""
    track, board = Track(Pipeline(Mount.BODY)), Board(trainee="Mara Lindt", prescription=PRESCRIPTION, began_s=0.0)
    texts = []
    for percent in (87, 9):
        track.push(Arrival("AA", 0.0, Channel.BATTERY, bytes([percent])))
        texts += [moment.text for moment in board.on_link(track.link, 0.0) if moment.kind == "link"]
    assert texts == ["the sensor has 9 % of its battery left; charge it after this session"]


def test_a_battery_that_is_not_known_is_not_told() -> None:
    assert told(replace(GOOD, battery=None)) == ["AA connected at 100 Hz"]


def test_bluetooth_that_is_off_is_told_with_what_to_do() -> None:
    (line,) = told(replace(GOOD, state=LinkState.BLOCKED))
    assert line == "Bluetooth is off or not running; switch it on, AA is looked for by itself then"


@pytest.mark.parametrize(("percent", "words"), [(16, "sensor good"), (15, "sensor good, battery 15 %: charge it")])
def test_the_heading_keeps_a_low_battery_in_view(percent: int, words: str) -> None:
    assert labels.link_words(replace(GOOD, battery=percent)) == words
