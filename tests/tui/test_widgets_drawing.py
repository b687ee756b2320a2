"""A drawing refreshes the lines that changed, and no more; whatever changes, the screen shows what is drawn."""

import asyncio

from hypothesis import given, settings
from hypothesis import strategies as st
from textual.app import App, ComposeResult
from textual.geometry import Region
from textual.reactive import reactive

from tests.tui.golden import screen_text
from tui.palette import DARK, LIGHT
from tui.widgets.canvas import Ink, Rows
from tui.widgets.drawing import Column, Drawing

WIDTH, HEIGHT = 12, 5


class Words(Drawing):
    """Lines as they are given."""

    words: reactive[tuple[str, ...]] = reactive(())

    def draw(self, width: int, height: int) -> Rows:
        """Return a row a word."""
        return tuple(((word, Ink.TEXT),) for word in self.words)


class Shown(App[None]):
    """One drawing on a ground."""

    def __init__(self) -> None:
        super().__init__()
        self.words = Words()
        self.register_theme(DARK)
        self.register_theme(LIGHT)
        self.theme = DARK.name

    def compose(self) -> ComposeResult:
        """Lay the parts out."""
        yield Column(self.words)


def fitting(words: tuple[str, ...]) -> list[str]:
    """Return the lines of a screen that shows these words."""
    lines = [word[: WIDTH - 1] + "…" if len(word) > WIDTH else word.ljust(WIDTH) for word in words[:HEIGHT]]
    return lines + [" " * WIDTH] * (HEIGHT - len(lines))


def written(drawing: Drawing) -> dict[int, str]:
    """Return the lines that are sent to the terminal at the next frame, by row."""
    rows = {y for region in drawing._repaint_regions for y in region.line_range}
    return {y: drawing.render_lines(Region(0, y, WIDTH, 1))[0].text for y in rows}


@given(st.lists(st.lists(st.text("ab ", max_size=WIDTH + 2), max_size=HEIGHT + 1).map(tuple), min_size=1, max_size=6))
@settings(max_examples=20, deadline=None)
def test_what_is_sent_makes_the_terminal_show_the_last_words(series: list[tuple[str, ...]]) -> None:
    async def run() -> None:
        app = Shown()
        async with app.run_test(size=(WIDTH, HEIGHT)) as pilot:
            await pilot.pause()
            terminal = dict(enumerate(fitting(())))
            for words in series:
                app.words.words = words
                terminal |= written(app.words)
                assert list(terminal.values()) == fitting(words)
                await pilot.pause()
                assert screen_text(app).splitlines() == [line.rstrip() for line in fitting(words)]

    asyncio.run(run())


async def test_only_lines_that_changed_are_sent() -> None:
    app = Shown()
    async with app.run_test(size=(WIDTH, HEIGHT)) as pilot:
        app.words.words = ("one", "two", "three")
        await pilot.pause()
        app.words.words = ("one", "zwei", "three")
        assert written(app.words) == {1: "zwei".ljust(WIDTH)}


async def test_another_light_and_another_size_draw_all_lines_anew() -> None:
    app = Shown()
    async with app.run_test(size=(WIDTH, HEIGHT)) as pilot:
        app.words.words = ("one",)
        await pilot.pause()
        dark = app.words.render_lines(Region(0, 0, WIDTH, 1))[0]
        app.theme = LIGHT.name
        await pilot.pause()
        light = app.words.render_lines(Region(0, 0, WIDTH, 1))[0]
        assert dark.text == light.text
        assert [segment.style for segment in dark] != [segment.style for segment in light]
        await pilot.resize_terminal(WIDTH + 4, HEIGHT)
        await pilot.pause()
        assert app.words.render_lines(Region(0, 0, WIDTH + 4, 1))[0].cell_length == WIDTH + 4
