"""A shared bar on the screen: who is next, everybody's own rest, and the keys that change the order. By keys alone."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import replace

import pytest
from golden import check_golden, screen_text
from screen_feed import FULL, hold, log_room, set_verdict, snapshot
from screen_wishes import TurnKeys, Wishes
from test_screens_live import settled
from textual.pilot import Pilot

from analysis.motion.events import Phase
from analysis.training.blocks import Step
from analysis.training.cautions import ANCHOR, cautions
from analysis.training.prescription import Tempo
from analysis.training.records import SetRecord
from analysis.training.setup import UNSAID
from analysis.training.verdict import Outcome, SetVerdict
from sensor.source import LinkState
from tui.app import RungwiseApp
from tui.occasion import Occasion
from tui.questions.interview import AskView
from tui.questions.questions import exertion, pain_before, set_up
from tui.screens.live import LiveScreen
from tui.screens.pick import PickScreen
from tui.session.messages import Link, Snapshot, Stage
from tui.views.turn_view import TurnEnd, TurnRow, TurnsView
from tui.widgets.block_digits import BlockText
from tui.widgets.canvas import plain
from tui.widgets.live_view import LiveView
from tui.widgets.turn_end_panel import draw_ends
from tui.widgets.turns import block_name, draw_turns

SIZES = ((80, 24), (120, 40), (200, 60))
EXERTION = next(exertion())
PAIN = replace(next(pain_before(trained=True)), text="Anselm Brunnthaler: Pain now, 0-9 or x for 10")
QUESTIONS = {"pain": PAIN, "set-up": next(set_up(UNSAID, frozenset({"low-bar"})))}
REST_OF_IT = "No pulling until pain is 3 or less and settled overnight; see your coach, and a clinician if it stays."
MET = replace(set_verdict(FULL[:6]), target_reps=6, tempo_outcome=Outcome.MET, outcome=Outcome.MET)


def done_set(number: int, verdict: SetVerdict) -> SetRecord:
    """Return somebody's set; what was measured of it is not shown here."""
    return SetRecord(
        number=number,
        bouts=(number,),
        start_s=0.0,
        end_s=40.0,
        reps=(),
        measured=True,
        why=None,
        rest_before_s=None,
        verdict=verdict,
    )


ROWS = (
    TurnRow(name="Mara Lindt", done=1, asked=3, rest_left_s=41.2, last=done_set(1, set_verdict())),
    TurnRow(name="Jonas Reiter", done=1, asked=3, rest_left_s=-12.0, last=done_set(1, MET)),
    TurnRow(name="Ines Falk", done=0, asked=4),
    TurnRow(name="Tom Arlt", done=3, asked=3, state="done"),
    TurnRow(name="Lea Brandt", state=f"No session: pain 6 of 10 on Mon 2 March 2026. {REST_OF_IT}"),
)
VIEW = TurnsView(next="Mara Lindt", rows=ROWS, last="Tom Arlt", takers=("Jonas Reiter", "Ines Falk"))
NOT_YET = tuple(replace(row, done=0, rest_left_s=None, state="", last=None) for row in ROWS[:3])
FIRST = TurnsView(next="Mara Lindt", rows=NOT_YET)
ASKED = "low-bar pull-up, heels down · 3 × 10 · up 1 · top 1 · down 2 · bottom 0 s · rest 90 s · pronated grip"


def trained(name: str, done: str, outcome: Outcome, coming: str, note: str = "") -> TurnEnd:
    """Return the end of a session after which another one is asked for."""
    return TurnEnd(name=name, done=done, outcome=outcome, note=note, next=coming, asked=ASKED)


TOO_QUICK = "To work on: lowering too quick in the last third of set 3 (1.4 s instead of 2 s), not before."
UNSEEN = "Set 1: the top could not be measured in 6 of 8 reps."
TOO_SHORT = "To work on: top too short in 4 reps."
ENDS = (
    trained("Mara Lindt", "3 of 3 sets, 2 met", Outcome.MISSED, "from Thursday 5 March, step 2 of 6", TOO_QUICK),
    trained("Jonas Reiter", "3 of 3 sets, 3 met", Outcome.MET, "from Wednesday 4 March, step 3 of 6"),
    trained("Ines Falk", "4 of 4 sets, 0 met", Outcome.NOT_MEASURABLE, "from Wednesday 4 March, step 1 of 6", UNSEEN),
    TurnEnd(name="Tom Arlt", done="no set done"),
    trained(
        "Anselm Brunnthaler", "2 of 3 sets, 2 met", Outcome.MISSED, "from Wednesday 4 March, step 2 of 6", TOO_SHORT
    ),
    TurnEnd(name="Lea Brandt", done=ROWS[-1].state),
)
OVER = TurnsView(rows=tuple(replace(row, state="gone") for row in ROWS), ends=ENDS, is_closed=True)
OPEN = TurnsView(rows=ROWS, ends=tuple(replace(end, next="", asked="") for end in ENDS[:3]))
REAL = cautions(Step(3, 10, Tempo(2, 0, 1, 1), 90.0), early=True, stepping_up=True)
SHOWN = {
    "ready": snapshot(Stage.READY, turns=FIRST),
    "rest": snapshot(Stage.REST, rest_left_s=41.2, turns=VIEW),
    "lost": snapshot(Stage.REST, rest_left_s=41.2, turns=VIEW, link=Link(state=LinkState.LOST, sensor="clip-07")),
    "over": snapshot(Stage.DONE, turns=OVER, offers=frozenset()),
    "over-of-three": snapshot(Stage.DONE, turns=replace(OVER, ends=ENDS[:3]), offers=frozenset()),
    "over-open": snapshot(Stage.DONE, turns=OPEN),
}


@asynccontextmanager
async def shared(
    shown: Snapshot, size: tuple[int, int] = (80, 24)
) -> AsyncIterator[tuple[RungwiseApp, Pilot[None], TurnKeys]]:
    keys = TurnKeys()
    app = RungwiseApp(Occasion(lambda feed: hold(feed, shown), control=Wishes(), turns=keys, rooms=[log_room()]))
    async with app.run_test(size=size) as pilot:
        await settled(app, pilot)
        yield app, pilot, keys


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
@pytest.mark.parametrize("name", SHOWN)
async def test_golden(name: str, size: tuple[int, int]) -> None:
    async with shared(SHOWN[name], size) as (app, _, _):
        check_golden(f"turns-{name}-{size[0]}x{size[1]}", screen_text(app))


@pytest.mark.parametrize("size", [(80, 24), (100, 30), (120, 40), (200, 60)])
async def test_who_is_next_stands_there_in_letters_of_three_rows_at_least(size: tuple[int, int]) -> None:
    async with shared(SHOWN["rest"], size) as (app, _, _):
        assert app.screen.query_one("#turn-name", BlockText).text == "MARA"
        for part in ("#turn-word", "#turn-name", "#turn-rest"):
            region = app.screen.query_one(part, BlockText).region
            lines = screen_text(app).split("\n")[region.y : region.bottom]
            assert len([line for line in lines if line[region.x : region.right].strip()]) >= 3
        assert "Mara Lindt" not in screen_text(app).split("\n")[region.y]


@pytest.mark.parametrize(
    ("keys", "asked"),
    [
        (("l",), ["later"]),
        (("s",), ["skip"]),
        (("t", "down", "enter"), ["call Jonas Reiter"]),
        (("t", "escape"), []),
        (("h", "down", "down", "enter"), ["home Ines Falk"]),
        (("o", "enter"), ["give Jonas Reiter"]),
        (("p",), []),
        (("u",), []),
    ],
)
async def test_one_key_each_changes_the_order(keys: tuple[str, ...], asked: list[str]) -> None:
    async with shared(SHOWN["rest"]) as (_, pilot, wishes):
        await pilot.press(*keys)
        await pilot.pause()
        assert wishes.asked == asked


async def test_a_set_with_one_taker_is_given_by_the_key_alone_and_taken_back_by_u() -> None:
    one = replace(VIEW, takers=("Ines Falk",))
    async with shared(replace(SHOWN["rest"], turns=one)) as (_, pilot, wishes):
        await pilot.press("o")
        assert wishes.asked == ["give Ines Falk"]
    given = replace(VIEW, takers=(), is_given=True)
    async with shared(replace(SHOWN["rest"], turns=given)) as (app, pilot, wishes):
        assert isinstance(app.screen, LiveScreen)
        assert dict(app.screen.keys())["u"] == "not theirs"
        await pilot.press("u")
        assert wishes.asked == ["take back"]


@pytest.mark.parametrize("size", SIZES)
async def test_a_set_that_may_be_two_peoples_is_asked_about(size: tuple[int, int]) -> None:
    doubt = "Tom Arlt, set 3: two people? Mend it in the check. 8 s from rep 3 to 4."
    async with shared(replace(SHOWN["rest"], turns=replace(VIEW, doubts=(doubt,))), size) as (app, _, _):
        assert doubt in " ".join(screen_text(app).split())


async def test_in_a_set_the_screen_is_that_of_who_is_on_and_the_order_stands() -> None:
    running = snapshot(Stage.SET, turns=replace(VIEW, next="", takers=()))
    async with shared(running) as (app, pilot, wishes):
        assert not app.screen.query_one("TurnPanel").display
        await pilot.press("l", "s", "t", "h", "o")
        assert wishes.asked == []
        assert not isinstance(app.screen, PickScreen)


async def test_who_hangs_sees_the_seconds_and_not_the_table() -> None:
    hanging = snapshot(Stage.REST, phase=Phase.HANG, phase_s=2.0, turns=VIEW)
    async with shared(hanging) as (app, _, _):
        assert not app.screen.query_one("TurnPanel").display


async def test_with_worn_sensors_there_is_no_order_to_change() -> None:
    worn = replace(VIEW, in_order=False, takers=())
    async with shared(replace(SHOWN["rest"], turns=worn)) as (_, pilot, wishes):
        await pilot.press("l", "s", "t")
        assert wishes.asked == []


def test_a_name_in_block_letters_tells_people_apart_and_has_no_accents() -> None:
    assert block_name("Zoë Hartl", ["Zoë Hartl", "Mara Lindt"]) == "ZOE"
    assert block_name("Mara Lindt", ["Mara Lindt", "Mara Aigner"]) == "MARA LINDT"


@pytest.mark.parametrize("width", [24, 40, 80, 200])
def test_the_table_keeps_within_its_width_and_names_everybody(width: int) -> None:
    rows = plain(draw_turns(VIEW, width))
    assert all(len(row) <= width for row in rows)
    firsts = tuple(row for row in rows if not row.startswith(" " * 5))
    assert all(one.name[:6] in row for one, row in zip(ROWS, firsts, strict=True))
    assert rows[: len(ROWS)] == firsts


@pytest.mark.parametrize("width", [40, 80, 120, 200])
def test_why_somebody_does_not_train_is_told_to_the_end(width: int) -> None:
    rows = plain(draw_turns(VIEW, width))
    assert f"pain 6 of 10 on Mon 2 March 2026. {REST_OF_IT}" in " ".join(" ".join(rows).split())


@pytest.mark.parametrize("question", [None, "pain", "set-up"])
@pytest.mark.parametrize("people", [2, 3, 6])
@pytest.mark.parametrize("size", [*SIZES, (100, 30)])
async def test_what_must_hold_before_anybody_hangs_is_read_whole(
    size: tuple[int, int], people: int, question: str | None
) -> None:
    """Bar locked, block, floor, load: with many people and a question open, too; the sensor's words without one."""
    many = replace(FIRST, rows=tuple(replace(ROWS[2], name=f"Person {number}") for number in range(people)))
    async with shared(snapshot(Stage.READY, turns=many, cautions=REAL), size) as (app, pilot, _):
        if question:
            app.screen.query_one(LiveView).ask = AskView(question=QUESTIONS[question])
            await pilot.pause()
        told = " ".join(screen_text(app).split())
        assert ANCHOR in told
        assert "MARA" in app.screen.query_one("#turn-name", BlockText).text
        assert question is not None or "Sensor good" in told
        assert (QUESTIONS[question].text in told) if question else True


async def test_once_somebody_did_a_set_the_screen_is_for_the_order_again() -> None:
    async with shared(replace(SHOWN["rest"], cautions=REAL)) as (app, _, _):
        assert ANCHOR not in " ".join(screen_text(app).split())


@pytest.mark.parametrize("asked", [False, True], ids=["alone", "with a question below"])
@pytest.mark.parametrize("people", [3, 4, 5, 6])
@pytest.mark.parametrize("size", SIZES)
async def test_at_the_end_everybody_stands_there(size: tuple[int, int], people: int, asked: bool) -> None:
    """What was done, whether it was met, when the next session is, and the one thing to say about it."""
    ends = ENDS[:people]
    shown = snapshot(Stage.DONE, turns=replace(OVER, ends=ends), offers=frozenset())
    async with shared(shown, size) as (app, pilot, _):
        if asked:
            app.screen.query_one(LiveView).ask = AskView(question=EXERTION)
            await pilot.pause()
        text = screen_text(app)
        assert asked == (EXERTION.text in text)
        for end in ends:
            line = next(line for line in text.split("\n") if line.startswith(f" {end.name[:8]}"))
            assert end.done[:24] in line
            assert str(end.outcome or "") in line
            assert not end.next or end.next.split(", ")[0] in text[text.index(line) :]
        assert text.count("To work on: ") + text.count("Set 1: ") == sum(bool(end.note) for end in ends)


@pytest.mark.parametrize("width", [40, 60, 80, 120])
@pytest.mark.parametrize("height", range(6, 40))
def test_the_end_keeps_within_its_box_and_leaves_nobody_out(width: int, height: int) -> None:
    rows = plain(draw_ends(OVER, width, height))
    assert len(rows) <= height
    assert all(len(row) <= width for row in rows)
    assert all(any(row.startswith(f" {end.name[:7]}") for row in rows) for end in ENDS)


async def test_the_sessions_are_closed_by_one_key_where_nobody_has_sets_to_do() -> None:
    async with shared(SHOWN["over-open"]) as (app, _, _):
        assert isinstance(app.screen, LiveScreen)
        assert dict(app.screen.keys())["e"] == "close all"
    async with shared(SHOWN["over"]) as (app, _, _):
        assert isinstance(app.screen, LiveScreen)
        assert "e" not in dict(app.screen.keys())
