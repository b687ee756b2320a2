"""One trainee's session: arrivals → track → board, with a keeper beside it. Runs without a screen.

Raw packets go into the recording before anything interprets them; what the motion core said goes in after them, as it
was said. Every set is in the logbook as soon as it is refined, so whatever ends the session leaves a complete log.
"""

from __future__ import annotations

from collections.abc import Iterable

from analysis.motion.events import BoutClosed, BoutRefined, Event
from analysis.training.corrections import Because
from sensor.clock import ClockEstimate
from sensor.counted import counted_last
from sensor.postures import Postures
from sensor.source import Arrival, Channel, HostClock, LinkState
from tui.mending.again import AT_ONCE, Again, Heard, hear
from tui.mending.key_wishes import KeyWishes, Wish
from tui.session.board import Board
from tui.session.control import Feed
from tui.session.keeping import Keeper, keep_found, keep_over
from tui.session.messages import Moment, Stage
from tui.session.sensor_check import wants_check, with_check
from tui.session.track import Track
from tui.words.format import notice_line

FAULT = "a fault of the program stopped the analysis; the packets go on being recorded: end the session to see why"
LEFT_ALONE_S = 600.0
"""So long after the last set that was asked for a session closes itself, session seconds."""


class Session:
    """One trainee's session.

    Parameters
    ----------
    track
        From arrivals to events.
    board
        From events to what is shown.
    clock
        The session's clock.
    feed
        Who looks on.
    keeper
        Who keeps it; None in a replay.

    Attributes
    ----------
    by_key
        What a person says of sets by one key.
    again
        The arrivals that wait.
    has_past
        Whether something of before is still to be taken again (`relive`).
    """

    def __init__(
        self, *, track: Track, board: Board, clock: HostClock, feed: Feed, keeper: Keeper | None = None
    ) -> None:
        self.board = board
        self._track, self._clock, self._feed = track, clock, feed
        self.keeper = keeper
        self._opened, self._here = False, ""
        self._fault: Exception | None = None
        """What the analysis died of, while packets go on being recorded."""
        self._moved_s = clock.now_s()
        self.again, self.has_past = Again(track), False
        self._reliving_s: float | None = None
        self._link, self._sensor_clock, self._felt = track.link, track.clock, track.felt
        self.by_key = KeyWishes(board, keeper, self._now_s, self._tell)

    def begin(self) -> None:
        """Begin to wait for a sensor; what is asked is told once there is one."""
        self._tell(self.board.searching_moments(self._clock.now_s()))
        self.tick()
        if self.has_past:
            self._show()

    def after(
        self, past: Iterable[Arrival], wishes: Iterable[Wish] = (), *, here: str = "", keep: bool = False
    ) -> None:
        """Go on behind what came before; `relive` takes it again.

        Parameters
        ----------
        wishes
            What was asked by keys then, in order of time.
        here
            The session was never broken off: what to say once all of it is taken again. Empty: it was, and the sensor
            was away meanwhile.
        keep
            Keep all of it as this session's; else it is kept already.
        """
        past = self._kept(past) if keep else tuple(past)
        self.again.add(past)
        self._here, self.has_past = here, True
        self.by_key.again(wishes, keep=keep)
        if not here:
            self.handle(Arrival(counted_last(past), self._now_s(), Channel.LINK, LinkState.AWAY.value.encode()))

    def catch_up(self, arrivals: Iterable[Arrival]) -> None:
        """Take what came a while ago: kept at once, and read beside the screen (`relive`)."""
        self.again.add_since(self._kept(arrivals))

    def _kept(self, arrivals: Iterable[Arrival]) -> tuple[Arrival, ...]:
        kept = tuple(arrivals)
        for arrival in kept:
            if self.keeper:
                self.keeper.arrived(arrival)
        return kept

    @property
    def is_behind(self) -> bool:
        """Whether anything waits to be taken, of before or of now."""
        return self.has_past or self.again.waits

    def relive(self, most: int, *, wait: bool = False) -> bool:
        """Take what was read of the arrivals that wait, have the next ones read, and return whether that was all.

        Those of before are told by nobody, but what they led to holds. Parameters as of `Again.heard`.
        """
        for heard in self.again.heard(most, wait=wait):
            (self._relive if heard.is_past else self._take)(heard)
        if self.has_past and self.again.share >= 1.0:
            self._relived()
        return not self.is_behind

    def _relive(self, heard: Heard) -> None:
        self._reliving_s = heard.arrival.at_s
        self.by_key.again_until(heard.arrival.at_s)
        self._take(heard)
        self._pass_time(heard.arrival.at_s)
        self._reliving_s = None

    def _relived(self) -> None:
        self.has_past = False
        self.by_key.again_until(float("inf"))
        if self.keeper:
            self.keeper.relived()
        if self._here:
            self.remark(f"{self._here}: {len(self.board.sets)} of {self.board.prescription.sets} sets done so far")
        else:
            self._track.postures = Postures()  # those of before were learnt from, where the session was closed

    def leave_to(self, how: str, why: Because) -> None:
        """Close without a set: another session takes all that was recorded; `how` says which."""
        self._finish()
        self.by_key.leave_all_out(how, why)
        self.give_way()

    def let_go(self) -> None:
        """End here without closing: another session goes on."""
        self.board.ended = True
        if self.keeper:
            self.keeper.let_go()

    def _now_s(self) -> float:
        return self._clock.now_s() if self._reliving_s is None else self._reliving_s

    def handle(self, arrival: Arrival) -> None:
        """Take one arrival; a fault of the analysis costs no packet its place in the recording."""
        came = self._kept((arrival,))
        if self.is_behind:
            self.again.add_since(came)
        elif not self._fault:
            self._take(hear(self._track, arrival))

    def _take(self, heard: Heard) -> None:
        if self._fault:
            return
        try:
            if heard.fault:
                raise heard.fault
            self._follow(heard)
        except Exception as error:
            from tui.expected import EXPECTED  # late: it knows all parts of the program

            if self.keeper is None or isinstance(error, EXPECTED):
                raise
            self._fault, self._reliving_s = error, None  # this is new, and told
            self.remark(FAULT)

    def _follow(self, heard: Heard) -> None:
        arrival, self._link, self._sensor_clock = heard.arrival, heard.link, heard.clock
        if heard.counted not in ("", heard.link.sensor):
            self.remark(f"{heard.link.sensor} counts from now on, in the place of {heard.counted}")
        if arrival.channel is not Channel.DATA:
            self._on_link(self._now_s())
        elif arrival.sensor_id == heard.link.sensor:
            self.board.heard(self._now_s())
        if arrival.channel is Channel.NOTICE:
            self.remark(notice_line(arrival.sensor_id, arrival.payload))
        self._fold(heard.events, heard.clock)
        if heard.events and not self.is_behind:
            self._show()  # whoever looks on, a coach far away among them, waits for no tick

    def tick(self) -> None:
        """Let time pass on the screen; until what was before is taken again, for what is kept alone."""
        if self.keeper:
            self.keeper.tick()
            for line in self.keeper.setbacks():
                self.remark(line)
        if not self.has_past:
            self._pass_time(self._now_s())
            self._show()

    def _show(self) -> None:
        shown, last = self.board.snapshot(self._now_s()), next(reversed(self.board.all_sets), None)
        if wants_check(shown):
            self._felt = self._felt if self.is_behind else self._track.felt
            shown = with_check(shown, self._felt, last)
        self._feed.post_snapshot(shown)

    def _pass_time(self, now_s: float) -> None:
        self._on_link(now_s)
        waited = self.board.waiting
        self._tell(self.board.tick(now_s))
        if waited and not self.board.waiting and self.keeper:  # a cluster set whose gap is over
            keep_over(self.keeper, self.board, waited)

    @property
    def is_catching_up(self) -> bool:
        """Whether the sensor is there and samples are missing that it may still send again."""
        return self._link.state is LinkState.CONNECTED and self._link.missing_s > 0

    @property
    def is_left_alone(self) -> bool:
        """Whether all that was asked is done, and nothing has moved since for so long that nobody goes on."""
        is_over = self.board.stage is Stage.DONE and not (self.board.ended or self.is_behind)
        return is_over and self._now_s() - self._moved_s >= LEFT_ALONE_S

    def remark(self, text: str) -> None:
        """Tell something that is about no set."""
        self._tell(self.board.remark(text, self._now_s()))

    def tell_set(self, count: int, ended_s: float | None = None, how: str = "told") -> bool:
        """Count a set that was done without the sensor (`KeyWishes.tell_set`); return whether that can be told now."""
        return self.by_key.tell_set(count, self._sensor_clock, ended_s, how) is not None

    def end(self) -> None:
        """Nothing more comes: judge what there is, close the log, then raise what stopped the analysis."""
        if self.board.ended:
            return
        while self.is_behind:
            self.relive(AT_ONCE, wait=True)
        try:
            self._finish()
        finally:  # whatever happens to the last bout, what was done before it gets its place in the log
            self.board.ended = True
            if self.keeper:
                self.board.next_text = self.keeper.ended(self.board)
        self._learn()
        self._tell(self.board.closing_moments(self._now_s()))
        self.tick()
        if self._fault:
            raise self._fault

    def give_way(self) -> None:
        """End before anything was done, because another session takes the place: nothing is told."""
        self.board.ended = True
        if self.keeper:
            self.keeper.ended(self.board)

    def renew_next(self) -> None:
        """Work out the next session again: more was said since this one was closed."""
        if self.keeper and self.board.ended:
            self.board.next_text = self.keeper.next_lines()
            self.tick()

    def _on_link(self, now_s: float) -> None:
        self._tell(self.board.on_link(self._link, now_s))
        if not self._opened and self._link.state is LinkState.CONNECTED:
            self._opened = True
            self._tell(self.board.opening_moments(now_s))

    def _learn(self) -> None:
        sensor_id = self._track.link.sensor
        for line in self.keeper.learnt(sensor_id, self._track.seen) if self.keeper and sensor_id else ():
            self.remark(line)

    def _finish(self) -> None:
        self._fold(() if self._fault else self._track.finish(), self._track.clock)

    def _fold(self, events: Iterable[Event], clock: ClockEstimate) -> None:
        for event in events:
            self._moved_s = self._now_s()
            if self.keeper:
                self.keeper.emitted(event)
            unwanted = self.by_key.is_unwanted
            self._tell(self.board.on_event(event, clock, self._now_s()))
            if self.keeper and isinstance(event, BoutClosed | BoutRefined):
                keep_found(self.keeper, self.board, event)
            if unwanted and isinstance(event, BoutClosed) and self.board.set_of(event.bout):
                self.by_key.drop_last()

    def _tell(self, moments: Iterable[Moment]) -> None:
        for moment in moments:
            if self._reliving_s is None:
                self._feed.post_moment(moment)
