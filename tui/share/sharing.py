"""Puts a station beside a session: between it and the screen, and on the way out."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from dataclasses import replace

from analysis.logbook.book import Logbook
from sensor.source import HostClock, SystemClock
from tui.home import Home
from tui.running import new_runner
from tui.session.control import Driver, Feed
from tui.session.messages import CoachView, Moment, Snapshot
from tui.share.now import UNASKED, Felt
from tui.share.station import LEAVE_S, LONGEST_LEAVE_S, Station
from tui.share.words import refusal
from tui.training.live import LiveRun
from tui.wanted import Share


class Tap:
    """Passes on what a session tells (`tui.session.control.Feed`), with what the coach says; the station sees it, too.

    Parameters
    ----------
    feed
        Who looks on.
    run
        The sessions whose targets a coach may change.
    watched
        Whether there is a screen that says what it has drawn; else what is passed on counts as shown.
    """

    def __init__(self, feed: Feed, station: Station, run: LiveRun, *, watched: bool) -> None:
        self._feed, self._station, self._run, self._watched = feed, station, run, watched
        self._told: frozenset[str] = frozenset()

    def post_snapshot(self, snapshot: Snapshot) -> None:
        """Pass it on with the coach's words."""
        shown = snapshot
        try:
            self._take_targets()
            shown = self._with_coach(snapshot)
        except Exception as error:  # a set goes on whatever a coach sends
            self._station.faults.note(f"a word of the coach: {type(error).__name__}: {error}")
        self._feed.post_snapshot(shown)
        self._station.saw(snapshot)

    def post_moment(self, moment: Moment) -> None:
        """Pass it on."""
        self._feed.post_moment(moment)

    def _with_coach(self, snapshot: Snapshot) -> Snapshot:
        view, link = self._station.words.view(snapshot), self._station.link
        if view and not self._watched:
            self._tell(view, snapshot.elapsed_s)
        return replace(snapshot, coach=view, link_to_coach=link) if view or link else snapshot

    def _tell(self, view: CoachView, at_s: float) -> None:
        """Tell as text what was not told yet."""
        for word, line in zip(view.words, view.lines, strict=True):
            if word not in self._told:
                self._feed.post_moment(Moment(at_s=at_s, kind="note", text=line))
        if not self._told.issuperset(view.words):
            self._told |= frozenset(view.words)
            self._station.drawn(view.words)

    def _take_targets(self) -> None:
        """Change what is asked of those who are here, as the coach said; of who is not, once they are.

        What was shown holds until the session is over, also for one that takes its place.
        """
        words = self._station.words
        for person in tuple(self._run.bar.people.values()):
            session = person.session
            if session.board.ended:
                words.over(person.name)
                continue
            for changed in () if session.is_behind else tuple(words.targets(person.name)):
                asked = session.board.prescription
                why = refusal(asked, changed)
                if why:
                    self._station.answer(changed.word, "refused", why)
                    continue
                if changed.word not in {one.word for one in asked.changes}:
                    person.ask_anew(changed)
                words.took(changed.word)


class Sharing:
    """A session that is shared.

    Parameters
    ----------
    share
        With whom.
    home
        Whose logbook.
    run
        The sessions.
    felt
        Gives what somebody said of themselves today, by name.
    watched
        As of `Tap`.
    """

    def __init__(
        self,
        share: Share,
        home: Home,
        run: LiveRun,
        *,
        felt: Callable[[str], Felt] = lambda _: UNASKED,
        watched: bool,
    ) -> None:
        self._share, self._home, self._run, self._felt, self._watched = share, home, run, felt, watched
        self._clock: HostClock = SystemClock()
        self._station: Station | None = None

    def driver(self, driver: Driver) -> Driver:
        """Return a session that has the station beside it."""

        async def drive(feed: Feed) -> None:
            async with self._open(self._felt) as station:
                self._station = station
                await driver(Tap(feed, station, self._run, watched=self._watched))

        return drive

    def drawn(self, words: Iterable[str]) -> None:
        """Take note that words of the coach are on the screen."""
        if self._station:
            self._station.drawn(words)

    def left(self, logbook: Logbook) -> Iterator[str]:
        """Send what was said since the session was closed, and yield what there is to tell of the sharing."""
        station = self._station
        if station is None:
            return
        records = station.records
        through = records.through if records else 0
        if not station.link_lost and through < logbook.stream().last:
            with new_runner(network=True) as runner:
                through = max(through, runner.run(self._send_rest()))
        yield from station.faults
        if station.link_lost and station.why:
            yield f"coach: {station.why}"
        has_heard = records is not None and records.has_heard
        yield from unsent_lines(logbook.stream().last - through, has_heard, self._share)

    async def _send_rest(self) -> int:
        async with self._open(lambda _: UNASKED) as station:
            with suppress(TimeoutError):
                async with asyncio.timeout(LEAVE_S):
                    records = await station.up()
                    await records.heard()
                await records.all_sent(LEAVE_S, LONGEST_LEAVE_S)
            return station.records.through if station.records else 0

    def _open(self, felt: Callable[[str], Felt]) -> Station:
        share = self._share
        return Station(share.address, share.access, share.station, self._home, self._clock, felt)


def unsent_lines(count: int, has_heard: bool, share: Share) -> Iterator[str]:
    """Say what did not reach a coach, and how it will."""
    ca = f" --ca {share.access.ca}" if share.access.ca else ""
    password = "" if share.access.password is None else ", with the password as now,"
    again = f"rungwise share {share.address} --station {share.station}{ca}"
    later = f"{again}{password} sends it later, and so does the next session"
    if not has_heard:
        yield f"No coach was heard. What is in the log is kept: {later}."
    elif count > 0:
        yield f"{count} changes of the log did not reach the coach yet: {later}."
