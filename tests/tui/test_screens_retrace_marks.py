"""Marks beside moments of a replay, by keys alone."""

from __future__ import annotations

import pytest
from golden import screen_text
from retrace_feed import FIRST_S, NOTES, REP_S, opened, view
from test_screens_retrace import Hand, Logbook, replay, settled

from tui.retrace.desk import Desk
from tui.retrace.marks import Marking
from tui.retrace.recorded import Opened
from tui.retrace.view import Note
from tui.screens.pick import PickScreen
from tui.screens.retrace import RetraceScreen
from tui.screens.write import WriteScreen

DAY = "Mon 2 March 2026"
AT_S = FIRST_S + 2 * REP_S + 1.0
"""In the third rep, far from the note that is there."""


def keys_of(screen: RetraceScreen) -> set[str]:
    """The keys of marks that are named now."""
    named = screen.keys()
    return {key for key, _ in named} & {"m", "w", "x", "u", "t T", "a"}


async def test_one_key_marks_at_once_and_goes_on_playing() -> None:
    book, hand = Logbook(), Hand()
    async with replay(desk=book.desk(), at_s=AT_S, now=hand) as (app, pilot, screen):
        await pilot.press("space", "m")
        await settled(app, pilot)
        assert screen.place.playing
        assert book.notes[1:] == [Note(AT_S, "", "", DAY)]
        assert f"◆ marked ({DAY})" in screen_text(app)


async def test_where_there_is_a_mark_there_is_no_second_one() -> None:
    book = Logbook()
    async with replay(desk=book.desk(), at_s=AT_S) as (app, pilot, _):
        await pilot.press("m")
        await settled(app, pilot)
        await pilot.press("m")
        await settled(app, pilot)
        assert len(book.notes) == 2


async def test_words_are_added_later_and_changed_by_whoever_says_so() -> None:
    book = Logbook()
    async with replay(desk=book.desk(), at_s=AT_S) as (app, pilot, _):
        await pilot.press("m")
        await settled(app, pilot)
        await pilot.press("w")
        await pilot.pause()
        assert isinstance(app.screen, WriteScreen)
        assert "Words to this mark" in screen_text(app)
        await pilot.press(*"wrists bent", "tab", "end", *" and coach", "enter")
        await settled(app, pilot)
        assert book.notes[1:] == [Note(AT_S, "wrists bent", "Mara Lindt and coach", DAY)]
        assert f"◆ wrists bent (Mara Lindt and coach · {DAY})" in screen_text(app)
        await pilot.press("w", "end", *" again", "enter")
        await settled(app, pilot)
        assert book.notes[1:] == [Note(AT_S, "wrists bent again", "Mara Lindt and coach", DAY)]


async def test_words_without_a_mark_make_one_and_nothing_written_makes_none() -> None:
    book = Logbook()
    async with replay(desk=book.desk(), at_s=AT_S) as (app, pilot, _):
        await pilot.press("w", "enter", "escape")
        await settled(app, pilot)
        assert book.notes == list(NOTES)
        assert isinstance(app.screen, RetraceScreen)
        await pilot.press("w", *"late", "enter")
        await settled(app, pilot)
        assert book.notes[1:] == [Note(AT_S, "late", "Mara Lindt", DAY)]


async def test_what_was_done_to_marks_is_taken_back_step_by_step() -> None:
    book = Logbook()
    async with replay(desk=book.desk(), at_s=AT_S) as (app, pilot, screen):
        stood = [list(book.notes)]
        for keys in (("m",), ("w", *"late", "enter"), ("w", "end", *"r", "enter"), ("x",)):
            await pilot.press(*keys)
            await settled(app, pilot)
            stood.append(list(book.notes))
        assert [[note.text for note in notes[1:]] for notes in stood] == [[], [""], ["late"], ["later"], []]
        assert "u" in keys_of(screen)
        for was in reversed(stood[:-1]):
            await pilot.press("u")
            await settled(app, pilot)
            assert [(note.at_s, note.text, note.who) for note in book.notes] == [
                (note.at_s, note.text, note.who) for note in was
            ]
        assert "u" not in keys_of(screen)


async def test_marks_are_walked_and_chosen_from_a_list() -> None:
    book = Logbook()
    noted = Opened(view(faults=()), opened().load)
    async with replay(what=noted, desk=book.desk(), at_s=AT_S) as (app, pilot, screen):
        await pilot.press("m")
        await settled(app, pilot)
        for key, at_s in (("t", NOTES[0].at_s), ("t", AT_S), ("T", NOTES[0].at_s), ("T", AT_S)):
            await pilot.press(key)
            assert screen.place.head_s == at_s
        await pilot.press("a")
        await pilot.pause()
        assert isinstance(app.screen, PickScreen)
        shown = screen_text(app)
        assert "0:15.5  set 1 · rep 2 · top  ◆ elbows wide (Katrin Vogt)" in shown
        assert "▸ 0:20.0  set 1 · rep 3 · top  ◆ marked  " in shown
        await pilot.press("up", "enter")
        await pilot.pause()
        assert screen.place.head_s == NOTES[0].at_s


async def test_the_keys_are_those_that_do_something() -> None:
    book = Logbook()
    book.notes = []
    async with replay(what=Opened(view(notes=()), opened().load), desk=book.desk(), at_s=AT_S) as (app, pilot, screen):
        assert keys_of(screen) == {"m", "w"}
        await pilot.press("x", "u", "t", "T", "a")
        await settled(app, pilot)
        assert app.screen is screen
        await pilot.press("m")
        await settled(app, pilot)
        assert keys_of(screen) == {"m", "w", "x", "u", "t T", "a"}
        await pilot.press("home")
        assert keys_of(screen) == {"m", "w", "u", "t T", "a"}


@pytest.mark.parametrize("keys", [("m",), ("w", "x", "enter")])
async def test_a_mark_that_cannot_be_kept_says_so(keys: tuple[str, ...]) -> None:
    def full(made: Marking) -> tuple[Note, ...]:
        raise OSError("the disk is full")

    async with replay(desk=Desk(lambda: (), full), at_s=AT_S) as (app, pilot, screen):
        await pilot.press(*keys)
        await settled(app, pilot)
        assert "The mark was not kept: the disk is full" in screen_text(app)
        assert "u" not in keys_of(screen)
