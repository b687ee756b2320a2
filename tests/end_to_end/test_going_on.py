"""A session that was broken off is gone on with as one, by keys only."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from itertools import chain, pairwise
from pathlib import Path

import pytest
from at_the_keys import NAME, SCRIPT, Clock, Person
from virtual_session import arrivals

from analysis.logbook.book import Logbook
from sensor.recording import Recording
from sensor.source import Arrival, Channel, LinkState
from sensor.virtual.motion import TraineeFeed
from sensor.virtual.trainee import perform
from tui.book.motion_out import recorded_blocks
from tui.home import Home
from tui.mending.going_on import broken_off
from tui.replay.replay import recomputed_events, stored_events
from tui.retrace.recorded import recorded
from tui.session.messages import Stage
from tui.session.stored import encode_event

CUT_S, AWAY_S = 36.0, 5.0
"""In the middle of the first rest."""


async def cut_off(jonas: Person, folder: Path, by: str = "power") -> tuple[Clock, Iterator[Arrival]]:
    """Train until the first rest and leave in `folder` what a power cut then leaves, or `q` does.

    Returns
    -------
    The clock of a new process, and the same sensor, which went on meanwhile.
    """
    async with jonas.at_the_screen():
        await jonas.press("0", *"105", "enter", "enter", "enter", "enter")
        await jonas.until(Stage.REST)
        await jonas.sensor.until(lambda: jonas.clock.at_s >= CUT_S)
        if by == "power":
            shutil.copytree(jonas.folder, folder)
        cut_s = jonas.clock.at_s
        await jonas.press("q", "q")
    if by == "q":
        shutil.copytree(jonas.folder, folder)
    (info,) = (one for one in arrivals(TraineeFeed(SCRIPT)) if one.channel is Channel.INFO)
    link = replace(info, channel=Channel.LINK, payload=LinkState.CONNECTED.value.encode())
    later_s = cut_s + AWAY_S
    rest = (one for one in jonas.sent if one.at_s > later_s)
    return Clock(later_s), chain((replace(link, at_s=later_s), replace(info, at_s=later_s)), rest)


@pytest.mark.parametrize("by", ["power", "q"])
async def test_a_session_that_was_cut_off_is_gone_on_with_as_one(by: str, jonas: Person, tmp_path: Path) -> None:
    folder = tmp_path.parent / f"{tmp_path.name}-after"
    clock, sent = await cut_off(jonas, folder, by)
    with Logbook.open(Home(folder).logbook) as book:
        again = Person(folder, book, clock, sent)
        (before,) = again.sessions
        assert (before.ended_utc_us is None) == (by == "power")
        assert [one.verdict.count for one in before.sets] == [5]
        async with again.at_the_screen():
            assert "1 of 3 sets done?" in await again.press()
            assert "Pain now" in await again.press("y")
            await again.sensor.until(lambda: again.training.run.has_sets)
            assert "seconds left of 20" in await again.press("0")
            await again.until(Stage.DONE)
            assert "Next:" in await again.press("6", "0")
            await again.press("q")
        (after,) = again.sessions
        assert after.session_id == before.session_id
        assert [one.verdict.count for one in after.sets] == [5, 5, 5]
        assert after.ended_utc_us is not None
        assert (after.rpe, after.set_up.bar_cm) == (6, 105)
        true = [after[0].start_s - before[-1].end_s for before, after in pairwise(perform(SCRIPT, 1).truth[:3])]
        assert [one.rest_before_s for one in after.sets[1:]] == pytest.approx(true, abs=0.6)  # the time away included
        with Recording.open(Home(folder).recording(after.session_id)) as recording:
            told, computed = stored_events(recording), recomputed_events(recording)
        assert [encode_event(one) for one in told] == [encode_event(one) for one in computed]


async def test_who_wants_a_new_session_leaves_the_other_as_it_is(jonas: Person, tmp_path: Path) -> None:
    folder = tmp_path.parent / f"{tmp_path.name}-after"
    clock, sent = await cut_off(jonas, folder)
    with Logbook.open(Home(folder).logbook) as book:
        again = Person(folder, book, clock, sent)
        async with again.at_the_screen():
            assert "Worst pain" in await again.press("n", "0")
            await again.press("q")
        (before,) = again.sessions
        assert before.ended_utc_us is None
        today = before.day
        assert broken_off(Home(folder), book, NAME, today) is not None
        assert broken_off(Home(folder), book, NAME, today + timedelta(days=1)) is None
        assert broken_off(Home(folder), book, "Ines Falk", today) is None


async def test_a_set_done_before_the_answer_joins_the_session_that_is_gone_on_with(
    jonas: Person, tmp_path: Path
) -> None:
    folder = tmp_path.parent / f"{tmp_path.name}-after"
    clock, sent = await cut_off(jonas, folder)
    with Logbook.open(Home(folder).logbook) as book:
        again = Person(folder, book, clock, sent)
        async with again.at_the_screen():
            assert "1 of 3 sets done?" in await again.until(Stage.REST)  # a set is done, and it is still asked
            await again.press("y")
            await again.sensor.until(lambda: not again.training.run.bar.is_busy)
            assert "before set 3 of 3" in await again.press("0")
            await again.until(Stage.DONE)
            await again.press("6", "0")
            await again.press("q")
        whole, other = again.sessions
        assert [one.verdict.count for one in whole.sets] == [5, 5, 5]
        true = [after[0].start_s - before[-1].end_s for before, after in pairwise(perform(SCRIPT, 1).truth[:3])]
        assert [one.rest_before_s for one in whole.sets[1:]] == pytest.approx(true, abs=0.6)
        assert other.sets == ()
        (made,) = book.corrections(other.session_id)
        assert made.text.startswith("it joined the session of ")
        with Recording.open(Home(folder).recording(whole.session_id)) as recording:
            told, computed = stored_events(recording), recomputed_events(recording)
        assert [encode_event(one) for one in told] == [encode_event(one) for one in computed]
        assert broken_off(Home(folder), book, NAME, whole.day) is None


async def test_another_sensor_counts_where_a_session_is_gone_on_with(jonas: Person, tmp_path: Path) -> None:
    folder = tmp_path.parent / f"{tmp_path.name}-after"
    clock, sent = await cut_off(jonas, folder)
    with Logbook.open(Home(folder).logbook) as book:
        again = Person(folder, book, clock, (replace(one, sensor_id="clip-12") for one in sent))
        async with again.at_the_screen():
            assert "Pain now" in await again.press("y")
            await again.sensor.until(lambda: again.training.run.has_sets)
            await again.press("0")
            await again.until(Stage.SET)
            assert "clip-12" in await again.look()
            await again.until(Stage.DONE)
            await again.press("6", "0", "q")
        (whole,) = again.sessions
        assert [one.verdict.count for one in whole.sets] == [5, 5, 5]
        true = [after[0].start_s - before[-1].end_s for before, after in pairwise(perform(SCRIPT, 1).truth[:3])]
        assert [one.rest_before_s for one in whole.sets[1:]] == pytest.approx(true, abs=0.6)
        path = Home(folder).recording(whole.session_id)
        with Recording.open(path) as recording:
            assert {one.sensor_id for one in recording.arrivals()} == {"virtual", "clip-12"}
            assert any(key == "calibration of clip-12" for key in recording.meta)
            told, computed = stored_events(recording), recomputed_events(recording)
            blocks = list(recorded_blocks(recording))
        assert [encode_event(one) for one in told] == [encode_event(one) for one in computed]
        assert {one.sensor_id for one in blocks} == {"virtual", "clip-12"}
        assert all(later.t_s[0] > before.t_s[-1] for before, later in pairwise(blocks))
        opened = recorded(path, book)
        assert opened.load() is not None
        assert [len(one.reps) for one in opened.view.sets] == [5, 5, 5]
