"""The order in which several people use one bar; knows no clock and no session."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace


def called(name: str, names: Sequence[str]) -> str:
    """Return how somebody is called among `names`: by the first name, by all of it where others have that, too."""
    first = name.split()[:1]
    alike = sum(other.split()[:1] == first for other in names)
    return " ".join(name.split() if alike > 1 else first)


@dataclass(frozen=True, slots=True)
class Turns:
    """Who is next, and who after them.

    Attributes
    ----------
    order
        Names of those who have sets to do, whose turn it is first; each once. Empty: nobody has.
    """

    order: tuple[str, ...]

    @property
    def first(self) -> str:
        """Whose turn it is; empty where nobody is left."""
        return self.order[0] if self.order else ""

    def passed(self, *, again: bool) -> Turns:
        """Return the order after a turn: who had it comes last, or, with all sets done, not again."""
        return replace(self, order=self.order[1:] + (self.order[:1] if again else ()))

    def one_later(self) -> Turns:
        """Let who is next and the one after them change places."""
        return replace(self, order=(*self.order[1:2], *self.order[:1], *self.order[2:]))

    def called(self, name: str) -> Turns:
        """Let somebody be next, wherever they stood, or come back; the others keep their order."""
        return replace(self, order=(name, *self.without(name).order))

    def without(self, name: str) -> Turns:
        """Let somebody go."""
        return replace(self, order=tuple(one for one in self.order if one != name))

    def joined(self, name: str) -> Turns:
        """Let somebody come last who was not there; who is there keeps their place."""
        return self if name in self.order else replace(self, order=(*self.order, name))
