"""A sensor that sits elsewhere than was thought: by one key what was recorded is read again, and nothing is lost."""

from __future__ import annotations

import shutil
from collections.abc import Iterable
from pathlib import Path

from at_the_keys import NAME, SCRIPT, Person
from virtual_session import arrivals

from analysis.logbook.book import Logbook
from analysis.logbook.entries import RunKind
from analysis.motion.mounts import Mount
from analysis.training.records import SessionRecord
from sensor.recording import Recording
from sensor.source import Arrival, Channel
from sensor.virtual.motion import TraineeFeed
from tui.home import Home, day_of
from tui.mending.going_on import broken_off, plan_of
from tui.replay.replay import recomputed_events, stored_events
from tui.session.messages import Stage
from tui.session.plans import todays_plan
from tui.session.stored import encode_event


async def read_as_on_a_strap(jonas: Person, folder: Path) -> SessionRecord:
    """Do the session with the sensor taken for one on a strap until the first rest; `folder` keeps it as mended."""
    async with jonas.at_the_screen():
        assert "w wrong mount" in await jonas.press("0", "enter", "enter", "enter", "enter")
        await jonas.press("w", "5")
        await jonas.sensor.until(lambda: jonas.clock.at_s > 45)  # the first set, and half a rest
        assert jonas.is_in(Stage.SET)  # as on a strap, walking about in the rest is read as a second set
        asked = await jonas.press("w")
        assert "Where does the sensor sit?" in asked
        assert "Until now: strap or ring" in asked
        assert "1  belt or vest" in asked
        await jonas.press("1")
        await jonas.sensor.until(lambda: not jonas.training.run.bar.is_busy)
        assert "before set 2 of 3" in await jonas.look()
        shutil.copytree(jonas.folder, folder)  # as a power cut would leave it
        await jonas.until(Stage.DONE)
        await jonas.press("6", "0")
        await jonas.press("q")
    (session,) = jonas.sessions
    return session


def data_of(arrivals: Iterable[Arrival]) -> list[bytes]:
    return [one.payload for one in arrivals if one.channel is Channel.DATA]


async def test_sets_and_rests_are_as_if_the_mount_had_been_right(jonas: Person, tmp_path: Path) -> None:
    folder = tmp_path.parent / f"{tmp_path.name}-after"
    session = await read_as_on_a_strap(jonas, folder)
    assert [one.verdict.count for one in session.sets] == [5, 5, 5]
    assert (session.mount, session.prescription.exercise.mount) == (Mount.BODY, Mount.BODY)
    assert session.ended_utc_us is not None
    assert all(one.rest_before_s is not None for one in session.sets[1:])
    found = [one.kind for one in jonas.book.runs(session.session_id)]
    assert found[-1] is RunKind.REFINED
    assert found.count(RunKind.LIVE) > 1  # both answers are there
    with Recording.open(Home(jonas.folder).recording(session.session_id)) as recording:
        assert recording.meta["mount"] == "body"
        assert "suspension" in [value for key, value in recording.meta.items() if key.startswith("mount of")]
        told, computed = stored_events(recording), recomputed_events(recording)
        kept = data_of(recording.arrivals())
    assert [encode_event(one) for one in told] == [encode_event(one) for one in computed]
    assert kept == data_of(arrivals(TraineeFeed(SCRIPT)))[: len(kept)]  # none is missing, and none there twice
    with Logbook.open(Home(folder).logbook) as book:
        broken = broken_off(Home(folder), book, NAME, session.day)
        assert broken is not None
        assert [one.verdict.count for one in broken.record.sets] == [5]  # the strap's answer answers no more
        assert plan_of(Home(folder), book, NAME, broken).mount is Mount.BODY


async def test_where_the_sensor_sits_is_known_next_time(jonas: Person) -> None:
    home, today = Home(jonas.folder), day_of(jonas.clock.utc_us())
    async with jonas.at_the_screen():
        await jonas.press("0", "enter", "enter", "enter", "enter", "w", "2")
        await jonas.until(Stage.REST)
        await jonas.press("q", "q")
    assert jonas.sessions[0].mount is Mount.LIMB
    assert todays_plan(home, jonas.book, NAME, today).mount is Mount.LIMB
    assert todays_plan(home, jonas.book, NAME, today, Mount.MOVING_BAR).mount is Mount.MOVING_BAR  # named is named


async def test_what_came_before_the_questions_were_answered_is_read_again_too(jonas: Person) -> None:
    async with jonas.at_the_screen():
        await jonas.press("w", "3")
        await jonas.sensor.until(lambda: jonas.clock.at_s > 5)
        assert jonas.sessions == ()
        await jonas.press("w", "1")
        await jonas.until(Stage.REST)
        await jonas.press("0", "enter", "enter", "enter", "enter", "q", "q")
    (session,) = jonas.sessions
    assert (session.mount, [one.verdict.count for one in session.sets]) == (Mount.BODY, [5])
    with Recording.open(Home(jonas.folder).recording(session.session_id)) as recording:
        kept = data_of(recording.arrivals())
    assert kept == data_of(arrivals(TraineeFeed(SCRIPT)))[: len(kept)]
