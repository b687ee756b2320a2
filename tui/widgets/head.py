"""The two lines above a live screen: who, what, how it should be; and how the sensor is."""

from __future__ import annotations

from dataclasses import dataclass

from textual.reactive import reactive

from sensor.source import LinkState
from tui.session.messages import Snapshot
from tui.views.turn_view import TurnsView
from tui.widgets.canvas import Ink, Row, Rows, size, spread
from tui.widgets.drawing import Drawing
from tui.widgets.labels import exercise_words, joined, link_words, reading_words, sensor_words, set_words, target_words


@dataclass(frozen=True, slots=True)
class HeadView:
    """The words of the heading; `sound` is false where the sensor needs a look, or what it sent is read again."""

    trainee: str
    doing: tuple[str, ...]
    target: str
    link: str
    sensor: tuple[str, ...]
    sound: bool


def head_view(snapshot: Snapshot) -> HeadView:
    """Put a snapshot's heading into words; at the end of a shared bar it is everybody's."""
    all_over = snapshot.turns if snapshot.turns and snapshot.turns.ends else None
    return HeadView(
        trainee="Shared bar" if all_over else snapshot.trainee,
        doing=_all_doing(all_over) if all_over else (set_words(snapshot), *exercise_words(snapshot.prescription)),
        target="" if all_over else target_words(snapshot.prescription),
        link=reading_words(snapshot) or link_words(snapshot.link),
        sensor=sensor_words(snapshot.link),
        sound=snapshot.read_again is None and snapshot.link.state in (LinkState.CONNECTED, LinkState.ENDED),
    )


def _all_doing(view: TurnsView) -> tuple[str, ...]:
    return f"{len(view.ends)} people", "sessions closed" if view.is_closed else "nobody has a set to do"


def draw_head(view: HeadView, width: int) -> Rows:
    """Return the two lines; the sensor at the right."""
    link = ((f"{view.link} ", Ink.MUTED if view.sound else Ink.ATTENTION),)
    who = _who(view, width - size(link) - 2)
    target = ((f" {view.target}", Ink.MUTED),)
    return spread(who, link, width), spread(
        target, ((_sensor(view.sensor, width - size(target) - 3), Ink.MUTED),), width
    )


def _who(view: HeadView, width: int) -> Row:
    """Say who does what; grip and load give way before the exercise is cut."""
    for parts in range(len(view.doing), 1, -1):
        row = ((f" {view.trainee}", Ink.STRONG), (f" · {joined(*view.doing[:parts])}", Ink.TEXT))
        if size(row) <= width:
            break
    return row


def _sensor(parts: tuple[str, ...], width: int) -> str:
    """Say as much of the sensor as there is room for."""
    words = " · ".join(parts)
    return f"{words} " if len(words) <= width or not parts else _sensor(parts[1:], width)


class Head(Drawing):
    """Heading of a live screen."""

    view: reactive[HeadView | None] = reactive(None)

    def draw(self, width: int, height: int) -> Rows:
        """Return the lines; nothing before the first snapshot."""
        return draw_head(self.view, width)[:height] if self.view else ()
