"""One trainee's session: arrivals → track → board, with a keeper beside it. Runs without a screen.

Raw packets go into the recording before anything interprets them; what the motion core said goes in after them, as it
was said. Every set is in the logbook as soon as it is refined, so whatever ends the session leaves a complete log.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable

from analysis.logbook.entries import RunKind
from analysis.motion.events import BoutClosed, BoutRefined, Event
from analysis.training.corrections import Because
from analysis.training.records import SetRecord
from sensor.postures import Postures
from sensor.source import Arrival, Channel, HostClock, LinkState
from tui.board import Board
from tui.control import Feed
from tui.format import notice_line
from tui.keeping import Keeper
from tui.key_wishes import KeyWishes, Wish
from tui.messages import Moment, Stage
from tui.sensor_check import wants_check, with_check
from tui.track import Track

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
    """

    def __init__(
        self, *, track: Track, board: Board, clock: HostClock, feed: Feed, keeper: Keeper | None = None
    ) -> None:
        self.board = board
        self._track = track
        self._clock = clock
        self._feed = feed
        self.keeper = keeper
        self._opened, self._here = False, ""
        self._fault: Exception | None = None
        """What the analysis died of, while packets go on being recorded."""
        self._moved_s = clock.now_s()
        self._past: deque[Arrival] = deque()
        self._reliving_s: float | None = None
        self.by_key = KeyWishes(board, keeper, self._now_s, self._tell)

    def begin(self) -> None:
        """Begin to wait for a sensor; what is asked is told once there is one."""
        self._tell(self.board.searching_moments(self._clock.now_s()))
        self.tick()

    def after(self, past: Iterable[Arrival], wishes: Iterable[Wish] = (), *, here: str = "") -> None:
        """Go on behind what came before and is kept already; `relive` takes it again.

        Parameters
        ----------
        wishes
            What was asked by keys then, in order of time; it is in the log.
        here
            The session was never broken off: what to say once all of it is taken again. Empty: it was, and the sensor
            was away meanwhile.
        """
        self._past.extend(past)
        self._here = here
        self.by_key.again(wishes)

    def take(self, past: Iterable[Arrival], wishes: Iterable[Wish] = (), *, here: str) -> None:
        """Go on behind what came before and is to be kept as this session's; else as `after`."""
        past = tuple(past)
        for arrival in past:
            if self.keeper:
                self.keeper.arrived(arrival)
        self.after(past, here=here)
        self.by_key.again(wishes, keep=True)

    @property
    def has_past(self) -> bool:
        """Whether something of before is still to be taken again (`relive`)."""
        return bool(self._past)

    def relive(self, most: int) -> bool:
        """Take the next arrivals of before again: kept already, told by nobody, but what they led to holds.

        Parameters
        ----------
        most
            How many at most.

        Returns
        -------
        Whether that was all.
        """
        while self._past and most:
            arrival, most = self._past.popleft(), most - 1
            self._reliving_s = arrival.at_s
            self.by_key.again_until(arrival.at_s)
            self._take(arrival)
            self._pass_time(arrival.at_s)
        if not self._past:
            self.by_key.again_until(float("inf"))
            self._reliving_s = None
            if self.keeper:
                self.keeper.relived()
            if self._here:
                self.remark(f"{self._here}: {len(self.board.sets)} of {self.board.prescription.sets} sets done so far")
            else:
                self._was_away()
        return not self._past

    def _was_away(self) -> None:
        self._track.postures = Postures()  # those of before were learnt from, where the session was closed
        away = Arrival(self._track.link.sensor, self._now_s(), Channel.LINK, LinkState.AWAY.value.encode())
        self.handle(away)

    @property
    def was_away(self) -> bool:
        """Whether it was broken off, and the sensor away meanwhile."""
        return not self._here

    def leave_to(self, how: str, why: Because) -> None:
        """Close without a set: another session takes all that was recorded; `how` says which."""
        self._fold(() if self._fault else self._track.finish())
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
        if self.keeper:
            self.keeper.arrived(arrival)
        self._take(arrival)

    def _take(self, arrival: Arrival) -> None:
        if self._fault:
            return
        try:
            self._analyse(arrival)
        except Exception as error:
            from tui.expected import EXPECTED  # late: it knows all parts of the program

            if self.keeper is None or isinstance(error, EXPECTED):
                raise
            self._fault = error
            self.remark(FAULT)

    def _analyse(self, arrival: Arrival) -> None:
        before = self._track.link.sensor
        events = self._track.push(arrival)
        if before not in ("", self._track.link.sensor):
            self.remark(f"{self._track.link.sensor} counts from now on, in the place of {before}")
        if arrival.channel is not Channel.DATA:
            self._on_link(self._now_s())
        elif arrival.sensor_id == self._track.link.sensor:
            self.board.heard(self._now_s())
        if arrival.channel is Channel.NOTICE:
            said = notice_line(arrival.sensor_id, arrival.payload)
            self._tell(self.board.remark(said, self._now_s()))
        self._fold(events)

    def tick(self) -> None:
        """Let time pass on the screen."""
        now_s = self._now_s()
        if self.keeper:
            self.keeper.tick()
            self._tell(moment for line in self.keeper.setbacks() for moment in self.board.remark(line, now_s))
        self._pass_time(now_s)
        shown, last = self.board.snapshot(now_s), next(reversed(self.board.all_sets), None)
        shown = with_check(shown, self._track.felt, last) if wants_check(shown) else shown
        self._feed.post_snapshot(shown)

    def _pass_time(self, now_s: float) -> None:
        self._on_link(now_s)
        waited = self.board.waiting
        self._tell(self.board.tick(now_s))
        if waited and not self.board.waiting and self.keeper:  # a cluster set whose gap is over
            kind = RunKind.REFINED if self.board.is_refined(waited) else RunKind.LIVE
            self.keeper.set_found(self._measured(waited), kind, self.board.clock)

    @property
    def is_catching_up(self) -> bool:
        """Whether the sensor is there and samples are missing that it may still send again."""
        link = self._track.link
        return link.state is LinkState.CONNECTED and link.missing_s > 0

    @property
    def is_left_alone(self) -> bool:
        """Whether all that was asked is done, and nothing has moved since for so long that nobody goes on."""
        quiet_s = self._now_s() - self._moved_s
        return self.board.stage is Stage.DONE and not self.board.ended and quiet_s >= LEFT_ALONE_S

    def remark(self, text: str) -> None:
        """Tell something that is about no set."""
        self._tell(self.board.remark(text, self._now_s()))

    def tell_set(self, count: int, ended_s: float | None = None, how: str = "told") -> bool:
        """Count a set that was done without the sensor (`KeyWishes.tell_set`); return whether that can be told now."""
        return self.by_key.tell_set(count, self._track.clock, ended_s, how) is not None

    def end(self) -> None:
        """Nothing more comes: judge what there is, close the log, then raise what stopped the analysis."""
        if self.board.ended:
            return
        while self.has_past:
            self.relive(len(self._past))
        try:
            self._fold(() if self._fault else self._track.finish())
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
        self._tell(self.board.on_link(self._track.link, now_s))
        if not self._opened and self._track.link.state is LinkState.CONNECTED:
            self._opened = True
            self._tell(self.board.opening_moments(now_s))

    def _learn(self) -> None:
        sensor_id = self._track.link.sensor
        lines = self.keeper.learnt(sensor_id, self._track.seen) if self.keeper and sensor_id else ()
        for line in lines:
            self.remark(line)

    def _fold(self, events: Iterable[Event]) -> None:
        for event in events:
            self._moved_s = self._now_s()
            if self.keeper:
                self.keeper.emitted(event)
            unwanted = self.by_key.is_unwanted
            self._tell(self.board.on_event(event, self._track.clock, self._now_s()))
            if self.keeper and isinstance(event, BoutClosed | BoutRefined):
                self._keep_set(event, self.keeper)
            if unwanted and isinstance(event, BoutClosed) and self.board.set_of(event.bout):
                self.by_key.drop_last()

    def _keep_set(self, event: BoutClosed | BoutRefined, keeper: Keeper) -> None:
        record = self.board.set_of(event.bout)
        if record:
            kind = RunKind.REFINED if isinstance(event, BoutRefined) else RunKind.LIVE
            kind = RunKind.PART if record == self.board.waiting else kind
            keeper.set_found(self._measured(record), kind, self.board.clock)

    def _measured(self, record: SetRecord) -> SetRecord:
        """Return a set as it was found, whatever a person said of it."""
        return next(one for one in self.board.measured if record.bouts[0] in one.bouts)

    def _tell(self, moments: Iterable[Moment]) -> None:
        for moment in moments:
            if self._reliving_s is None:
                self._feed.post_moment(moment)
