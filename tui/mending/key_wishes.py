"""What a person says of sets by one key while a session goes on: the board follows it, the keeper keeps it.

A set is left out, told without the sensor, or taken for the other exercise's; the last of the first two can be taken
back. Of a set in progress it can be said that it shall not count: it is left out once it is over, since only then it is
known where it is.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from analysis.training.corrections import Act, Because
from analysis.training.pointing import Draft, set_dropped
from sensor.clock import ClockEstimate
from tui.session.board import Board
from tui.session.keeping import Keeper
from tui.session.messages import Moment, Offer, Stage
from tui.session.tally import Tally
from tui.words.set_news import counts_again_line, dropped_line, left_out_line

BETWEEN_SETS = "A set is told before and between sets."


@dataclass(frozen=True, slots=True)
class Wish:
    """What a key said of a set, and when (host seconds)."""

    at_s: float
    what: Draft


class KeyWishes:
    """The wishes of one session.

    Parameters
    ----------
    keeper
        Who keeps it; None in a replay.
    now_s
        The session's clock, or what it was when that was taken that is taken again.
    tell
        Takes what there is to say.
    """

    def __init__(
        self, board: Board, keeper: Keeper | None, now_s: Callable[[], float], tell: Callable[[Iterable[Moment]], None]
    ) -> None:
        self._board, self._keeper, self._now_s, self._tell = board, keeper, now_s, tell
        self._past: deque[Wish] = deque()

    def drop_last(self, how: str = "dropped", why: Because = Because.OTHER) -> None:
        """Do not count the last set, or the one in progress once it is over; what was recorded stays."""
        if self._board.stage is Stage.SET:
            self._leave_out(True)
            self._say("note", left_out_line(self._tally.undo))
            return
        record = self._tally.drop_last(self._board.clock)
        if record is None:
            return
        self._keep(set_dropped(record), how, why)
        self._say("set", dropped_line(record))

    def say_of_last(self, what: Draft, how: str, why: Because) -> None:
        """Take what is told of the last set: reps that were none of it, another count; `how` says it for the log."""
        self._tally.say_again(what, self._board.clock)
        self._keep(what, how, why)
        self._say("set", *self._tally.lines_of(self._board.all_sets[-1]))

    def take_back(self) -> None:
        """Count the set that was left out last again, or no longer the one that was told last."""
        if self._board.stage is Stage.SET:
            self._leave_out(False)
            return
        what = self._tally.take_back(self._board.clock)
        if what is None:
            return
        if self._keeper:
            self._keeper.taken_back(what)
        self._say("set", counts_again_line(what, self._tally.set_within(what)))

    def relabel_last(self) -> None:
        """Take the last set of a superset for the other exercise's."""
        record = self._tally.relabel_last(self._board.clock)
        if record is None:
            return
        self._keep(Draft(Act.RELABEL, record.start_s, record.end_s, record.kind.value), "relabelled")
        self._say("set", *self._tally.lines_of(record))

    def tell_set(
        self, count: int, clock: ClockEstimate, ended_s: float | None = None, how: str = "told"
    ) -> Draft | None:
        """Count a set of so many reps, or a hold of so many seconds, that was done without the sensor.

        Parameters
        ----------
        clock
            The sensor's, as known now.
        ended_s
            When it was over, on the session's clock; None: now.
        how
            In words, how that is known.

        Returns
        -------
        What is kept of it; None where no set can be told now.
        """
        if Offer.TELL_SET not in self._board.offers:
            self._say("note", BETWEEN_SETS)
            return None
        self._board.clock = clock
        told = self._tally.tell(count, clock.to_device(self._now_s() if ended_s is None else ended_s), clock)
        self._keep(told, how)
        record = self._tally.set_within(told)
        self._tell(self._board.told(self._tally.over_lines(record) if record else (), self._now_s()))
        return told

    def leave_all_out(self, how: str, why: Because) -> None:
        """Count none of the sets, because another session takes them; `how` says which."""
        sets = self._board.all_sets
        if sets:
            every = Draft(Act.DROP, sets[0].start_s, sets[-1].end_s)
            self._tally.say_again(every, self._board.clock)
            self._keep(every, how, why)

    def again(self, past: Iterable[Wish], *, keep: bool = False) -> None:
        """Wish again, each in its time (`again_until`), what was wished before.

        Parameters
        ----------
        keep
            Keep it, too: it was said of another session.
        """
        for one in past:
            self._past.append(one)
            if keep:
                self._keep(one.what, "said again")

    def again_until(self, until_s: float) -> None:
        """Let come true what was wished until then."""
        while self._past and self._past[0].at_s <= until_s:
            self._tally.say_again(self._past.popleft().what, self._board.clock)

    @property
    def is_unwanted(self) -> bool:
        """Whether there is a set in progress that shall not count."""
        return self._tally.open is not None and self._tally.open.unwanted

    def _keep(self, what: Draft, how: str, why: Because = Because.OTHER) -> None:
        if self._keeper:
            self._keeper.said(what, how, why)

    def _leave_out(self, unwanted: bool) -> None:
        if self._tally.open:
            self._tally.open.unwanted = unwanted

    @property
    def _tally(self) -> Tally:
        return self._board.tally

    def _say(self, kind: str, *lines: str) -> None:
        self._tell(self._board.told(((kind, line) for line in lines), self._now_s()))
