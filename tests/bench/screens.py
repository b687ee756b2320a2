"""Draw the screens that README shows: `python -m tests.bench.screens [FOLDER]`.

The demonstration's session is done as in the tests, by virtual trainee and sensor; set and rest are frames of it,
check and replay look at it afterwards. The ladder is that of an invented recruit's seven weeks.
"""

from __future__ import annotations

import asyncio
import io
import re
import sys
import tempfile
from collections.abc import Awaitable, Callable, Iterator, Sequence
from pathlib import Path

from rich.console import Console
from textual.pilot import Pilot

from analysis.logbook.book import Logbook
from analysis.motion.events import Phase
from tests.end_to_end.virtual_session import Gym, HandClock, Notebook
from tests.tui.past_weeks import JONAS, TODAY, past_weeks
from tui.app import RungwiseApp
from tui.home import Home, day_of
from tui.occasion import Occasion
from tui.palette import DARK
from tui.rooms import Library, rooms_of
from tui.screens.visit import VisitScreen
from tui.session.control import Feed
from tui.session.messages import Snapshot, Stage
from tui.session.plans import DEMO_TRAINEE

FOLDER = Path(__file__).parent / "pictures"
Ready = Callable[[RungwiseApp, Pilot[None]], Awaitable[None]]
"""Waits for what is to be seen, or works up to it by keys."""
SMALL, LARGE = (80, 24), (120, 36)
_SOON_S = 12.0
"""The rest is drawn when so much of it is left."""

_PAGE = f"""<svg viewBox="-8 -8 WIDE HIGH" xmlns="http://www.w3.org/2000/svg">
<style>
.{{unique_id}}-matrix {{{{ font: 21px ui-monospace, Menlo, Consolas, 'DejaVu Sans Mono', monospace; }}}}
{{styles}}
</style>
<defs>{{lines}}</defs>
<rect x="-8" y="-8" width="WIDE" height="HIGH" fill="{DARK.background}"/>
{{backgrounds}}
<g class="{{unique_id}}-matrix">{{matrix}}</g>
</svg>
"""
"""As Rich fills it in: the cells alone, without a window around them and without a font from elsewhere.

Letters are a little larger than Rich's, so that blocks meet from line to line.
"""


_CELL = (12.2, 24.4)
"""Width and height of a cell in Rich's pictures."""
_GROUND = re.compile(rf'<rect fill="{DARK.background}" x=[^>]*/>')
"""What is painted under single runs in the colour of the ground."""


def picture_of(app: RungwiseApp) -> str:
    """Return what is on the screen as SVG."""
    width, height = app.size
    console = Console(
        width=width,
        height=height,
        file=io.StringIO(),
        force_terminal=True,
        color_system="truecolor",
        record=True,
        legacy_windows=False,
    )
    console.print(app.screen._compositor.render_update(full=True))
    wide, high = (round(cells * size + 16) for cells, size in zip((width, height), _CELL, strict=True))
    box = _PAGE.replace("WIDE", f"{wide}").replace("HIGH", f"{high}")
    return _GROUND.sub("", console.export_svg(title="", code_format=box, unique_id="s"))


def drawn() -> dict[str, str]:
    """Return each picture by its name."""
    with tempfile.TemporaryDirectory() as folder:
        return asyncio.run(_drawn(Path(folder)))


async def _drawn(folder: Path) -> dict[str, str]:
    done, weeks = folder / "done", folder / "weeks"
    done.mkdir()
    weeks.mkdir()
    home, weeks_book = past_weeks(weeks)
    with weeks_book, Logbook.open(Home(done).logbook) as book:
        gym = Gym(Home(done), book, HandClock(), Notebook())
        session = gym.opening().open_session("", gym.book)
        session.begin()
        gym.run(session)
        session.end()
        last = day_of(gym.clock.utc_us())
        told = Library(home=gym.home, logbook=book, who=lambda: DEMO_TRAINEE, today=lambda: last)
        past = Library(home=home, logbook=weeks_book, who=lambda: JONAS, today=lambda: TODAY)
        shots = gym.book.snapshots
        return {
            "set": await _live(next(one for one in shots if _in_third_rep(one))),
            "rest": await _live(next(one for one in shots if _resting(one))),
            "check": await _room(told, "c", LARGE),
            "ladder": await _room(past, "d", LARGE),
            "replay": await _room(told, "r", LARGE, _TO_THE_FOURTH_REP),
        }


def _in_third_rep(one: Snapshot) -> bool:
    return one.stage is Stage.SET and one.set_number == 2 and one.count == 3 and one.phase is Phase.DOWN


def _resting(one: Snapshot) -> bool:
    return one.stage is Stage.REST and one.rest_left_s is not None and one.rest_left_s <= _SOON_S


async def _live(snapshot: Snapshot) -> str:
    async def hold(feed: Feed) -> None:
        feed.post_snapshot(snapshot)
        await asyncio.Event().wait()

    async def seen(app: RungwiseApp, pilot: Pilot[None]) -> None:
        app.frame()

    return await _taken(RungwiseApp(Occasion(hold)), SMALL, seen)


_TO_THE_FOURTH_REP = ("right_square_bracket", "enter", "n", "n", "n")
"""Of the second set: the live row is uncovered up to there."""


async def _room(library: Library, key: str, size: tuple[int, int], keys: Sequence[str] = ()) -> str:
    async def read(app: RungwiseApp, pilot: Pilot[None]) -> None:
        reading = [one for one in app.workers if isinstance(one.node, VisitScreen)]
        await app.workers.wait_for_complete(reading)
        await pilot.pause()
        await app.workers.wait_for_complete()
        await pilot.press(*keys)

    return await _taken(RungwiseApp(Occasion(rooms=rooms_of(library), first=key)), size, read)


async def _taken(app: RungwiseApp, size: tuple[int, int], ready: Ready) -> str:
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        await ready(app, pilot)
        await pilot.pause()
        return picture_of(app)


def main(folder: Path = FOLDER) -> Iterator[str]:
    """Write the pictures; yield what was written."""
    for name, text in drawn().items():
        path = folder / f"screen-{name}.svg"
        path.write_text(text, encoding="utf-8")
        yield f"{path}: {len(text.encode()) / 1000:.0f} kB"


if __name__ == "__main__":
    for line in main(*map(Path, sys.argv[1:2])):
        sys.stdout.write(f"{line}\n")
