"""The keys of a shared bar, before and between sets: who is next, who sits out, who goes, whose the last set was."""

from __future__ import annotations

from tui.views.turn_view import TurnsView
from tui.widgets.key_line import Keys


def turn_keys(view: TurnsView | None) -> Keys:
    """Return the keys that change something now; none while somebody is in a set."""
    if view is None:
        return ()
    several = len(_in_turn(view)) > 1
    keys = [("p", "two people's")] if view.parted else []
    keys += [("o", "another's set")] if view.takers else []
    keys += [("t", "who is next")] if view.in_order and there(view) else []
    keys += [("l", "later"), ("s", "sits out")] if view.in_order and several else []
    keys += [("h", "goes home")] if there(view) else []
    return tuple(keys)


def there(view: TurnsView) -> tuple[str, ...]:
    """Return who is at the bar: neither gone nor refused."""
    return tuple(row.name for row in view.rows if row.state in ("", "in a set", "done"))


def given_words(view: TurnsView) -> str:
    """Return what the key says that takes back a set that was given; empty where none was."""
    return "not theirs" if view.is_given else ""


def _in_turn(view: TurnsView) -> tuple[str, ...]:
    return tuple(row.name for row in view.rows if row.state in ("", "in a set"))
