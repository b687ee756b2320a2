"""What the host has to tell of a sensor reaches whoever looks on, also of one that does not count."""

from __future__ import annotations

import pytest
from live_gym import ASKED, Clock, Lookout, Silence

from sensor.source import Arrival, Channel
from tui.session.board import Board
from tui.session.session import Session
from tui.session.track import Track


@pytest.mark.parametrize("sensor_id", ["belt", "bar"])
def test_a_notice_is_told_with_the_sensor_that_it_is_about(sensor_id: str) -> None:
    feed = Lookout()
    board = Board(trainee="Jonas Reiter", prescription=ASKED, began_s=0.0)
    session = Session(track=Track(Silence()), board=board, clock=Clock(), feed=feed)
    session.handle(Arrival(sensor_id, 0.0, Channel.NOTICE, b"is not recorded any more: No sensor found."))
    assert [moment.text for moment in feed.moments] == [f"{sensor_id} is not recorded any more: No sensor found."]
