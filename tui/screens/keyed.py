"""What the screens with keys of their own have in common."""

from __future__ import annotations

from typing import Protocol, runtime_checkable

from tui.widgets.key_line import Keys


@runtime_checkable
class Explained(Protocol):
    """A screen on which more is drawn than hills: it says how that is read."""

    def legend(self) -> tuple[str, ...]:
        """Return a line for each."""
        ...


@runtime_checkable
class Keyed(Protocol):
    """A screen that says which of its keys do something now; only over such a one help and rooms are opened."""

    def keys(self) -> Keys:
        """Return the keys that do something now."""
        ...
