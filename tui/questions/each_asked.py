"""The questions to whoever has the bar: who gets it by a key is asked as the first one was."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from tui.questions.asking import Asking
from tui.questions.interview import AskView
from tui.training.live import LiveRun


class EachAsked:
    """The questions to one after another (`tui.session.control.Asked`).

    Parameters
    ----------
    of
        Gives the questions to somebody, by name.
    asked
        Those that were given so far.
    run
        The sessions.
    """

    def __init__(self, of: Callable[[str], Asking], asked: Mapping[str, Asking], run: LiveRun) -> None:
        self._of, self._asked, self._run = of, asked, run

    @property
    def _now(self) -> Asking:
        return self._of(self._run.trainee)

    @property
    def wants_answers(self) -> bool:
        """Whether who has the bar has not looked here yet after their last set."""
        return self._now.wants_answers

    def look(self) -> AskView | None:
        """Return what to ask who has the bar (`Asking.look`)."""
        return self._now.look()

    def press(self, key: str, character: str = "") -> bool:
        """Take one key for them (`Asking.press`)."""
        return self._now.press(key, character)

    def leave(self) -> None:
        """Keep what was answered of questions that are left in the middle."""
        for one in self._asked.values():
            one.leave()
