"""The floor as lines, for a log or a pipe: who does what, once it changes."""

from __future__ import annotations

import asyncio
from collections.abc import Iterator

from tui.floor.desk import FloorDesk
from tui.floor.needs import Need
from tui.floor.view import FloorView, TileView, joined_words
from tui.words.lines import print_lines

LOOK_S = 0.2


def told(before: FloorView, now: FloorView) -> Iterator[str]:
    """Yield what is new between two looks, a line each."""
    if now.broker != before.broker:
        yield now.broker or "The broker is connected."
    if now.trouble and now.trouble != before.trouble:
        yield now.trouble
    was = {one.name: one for one in before.tiles}
    for one in now.tiles:
        line = _line(one)
        old = was.get(one.name)
        if old is None or line != _line(old):
            yield line
        if one.word and (old is None or one.word != old.word):
            yield f"{one.name}: {one.word}"


def _line(tile: TileView) -> str:
    """Return a station in one line; what changes with every tenth of a second is left out."""
    link = "" if tile.link.startswith("sensor: ") else _untimed(tile.link)
    if tile.look.need < Need.NONE:
        link = f"◆ {_untimed(tile.look.words) if tile.look.need is Need.LINK else tile.look.words}"
    return f"{tile.name}: {joined_words(tile.trainee, tile.where, tile.steady, tile.rung, link)}"


def _untimed(words: str) -> str:
    return words.partition(" for ")[0]


async def keep_telling(desk: FloorDesk) -> None:
    """Print what is new until cancelled."""
    before = FloorView()
    while True:
        now = desk.look()
        print_lines(f"{desk.time()}  {line}" for line in told(before, now))
        before = now
        await asyncio.sleep(LOOK_S)
