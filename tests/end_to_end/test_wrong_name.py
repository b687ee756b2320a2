"""A session that was begun under another's name becomes theirs by one key, with all that was recorded."""

from __future__ import annotations

from at_the_keys import NAME, SCRIPT, Person
from virtual_session import arrivals

from analysis.logbook.people import newcomer
from analysis.training.corrections import Act, Because
from analysis.training.records import SessionRecord
from sensor.recording import Recording
from sensor.source import Channel
from sensor.virtual.motion import TraineeFeed
from tui.home import Home
from tui.mending.going_on import broken_off
from tui.replay.replay import recomputed_events, stored_events
from tui.session.messages import Stage
from tui.session.stored import encode_event

INES = "Ines Falk"


async def test_the_session_so_far_is_hers_and_goes_on_as_hers(jonas: Person) -> None:
    hers = await begun_under_his_name(jonas)
    assert [one.verdict.count for one in hers.sets] == [5, 4, 5]
    assert hers.ended_utc_us is not None
    with Recording.open(Home(jonas.folder).recording(hers.session_id)) as recording:
        assert recording.meta["trainee"] == INES
        told, computed = stored_events(recording), recomputed_events(recording)
        kept = [one.payload for one in recording.arrivals() if one.channel is Channel.DATA]
    assert [encode_event(one) for one in told] == [encode_event(one) for one in computed]
    sent = [one.payload for one in arrivals(TraineeFeed(SCRIPT)) if one.channel is Channel.DATA]
    assert kept == sent[: len(kept)]
    (his,) = jonas.sessions
    assert hers.started_utc_us <= his.started_utc_us
    assert his.sets == ()
    assert broken_off(Home(jonas.folder), jonas.book, NAME, his.day) is None
    (made,) = [one for one in jonas.book.corrections(his.session_id) if one.kind is Act.DROP]
    assert (made.who, made.reason, made.text) == (NAME, Because.SOMEBODY_ELSE, "all of it was Ines Falk's: by key")


async def begun_under_his_name(jonas: Person) -> SessionRecord:
    """Do two sets in his name, one of them told, and a third one in hers; return her session."""
    async with jonas.at_the_screen():
        await jonas.press("0", "enter", "enter", "enter", "enter")
        await jonas.until(Stage.REST)
        await jonas.press("a", "4", "enter")
        assert "Whose session is this?" in await jonas.press("o")
        await jonas.press("enter", *INES, "enter")
        await jonas.sensor.until(lambda: not jonas.training.run.bar.is_busy)
        shown = await jonas.look()
        assert "Ines Falk · before set 3" in shown
        await jonas.until(Stage.SET)
        await jonas.sensor.until(lambda: not jonas.is_in(Stage.SET))
        await jonas.press("q", "q")
    ines = jonas.book.trainee(INES)
    assert ines is not None
    (hers,) = jonas.book.sessions(ines.id, with_reps=True)
    return hers


async def test_before_anything_was_done_nothing_is_left_of_the_wrong_one(jonas: Person) -> None:
    jonas.book.keep_trainee(newcomer(INES))
    async with jonas.at_the_screen():
        await jonas.press("o", "enter", *INES, "enter")
        await jonas.until(Stage.REST)
        assert "Ines Falk" in await jonas.look()
        await jonas.press("q", "q")
    assert jonas.sessions == ()
    ines = jonas.book.trainee(INES)
    assert ines is not None
    (hers,) = jonas.book.sessions(ines.id)
    assert [one.verdict.count for one in hers.sets] == [5]


async def test_who_may_not_train_today_gets_no_session(jonas: Person) -> None:
    home = Home(jonas.folder)
    home.plan("ines falk").write_text("this is no plan", encoding="utf-8")
    async with jonas.at_the_screen():
        await jonas.press("0", "enter", "enter", "enter", "enter")
        await jonas.until(Stage.REST)
        assert "Ines Falk: " in await jonas.press("o", "enter", *INES, "enter")
        await jonas.press("q", "q")
    (his,) = jonas.sessions
    assert [one.verdict.count for one in his.sets] == [5]
