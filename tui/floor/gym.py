"""All stations, as letters make them: topics and bytes in, states and answers out; no clock and no network in here."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from uuid import UUID, uuid4

from analysis.logbook.changes import Change
from tui.floor.intake import Intake
from tui.floor.needs import Look, Order
from tui.floor.station import Station, StrangerError, source_of
from tui.floor.words import Word, Words
from tui.share.checked import RefusedError
from tui.share.envelope import Event, to_bytes
from tui.share.topics import UP, Kind, Topic, of_all, parse

MOST_STATIONS = 256
"""More names than that are not taken in: whoever can make up names cannot fill the memory."""


@dataclass(frozen=True, slots=True)
class Mark:
    """How far our logbook is with another one: `station` by its name, `source` by its UUID, the rest as `Intake`."""

    station: str
    source: UUID
    epoch: str
    through: int
    noted_utc_us: int


@dataclass(slots=True)
class Gym:
    """The coach's side of every station.

    Parameters
    ----------
    coach
        UUID of our logbook.
    gym
        Stands before all topics, where several gyms share a broker.
    words
        What was said to stations.

    Attributes
    ----------
    strangers
        Letters on topics that are no station's, or of stations beyond the most that are taken in.
    order
        In which the stations stand.
    is_deaf
        Whether nothing can be heard of anybody: then nobody is called silent.
    """

    coach: UUID
    gym: str = ""
    words: Words = field(default_factory=Words)
    strangers: int = 0
    order: Order = field(default_factory=Order)
    is_deaf: bool = False
    _stations: dict[str, Station] = field(default_factory=dict)
    _intakes: dict[UUID, Intake[Change]] = field(default_factory=dict)
    _owners: dict[UUID, str] = field(default_factory=dict)
    _answered: bool = False

    @property
    def topics(self) -> tuple[str, ...]:
        """What to listen to."""
        return tuple(of_all(kind, self.gym) for kind in sorted(UP))

    def take(self, topic: str, payload: bytes, at_s: float, utc_us: int, *, kept: bool = False) -> bool:
        """Take one letter, whatever it holds, which the broker had kept or not; return whether to do something now."""
        where = parse(topic, self.gym)
        station = self._station(where.station) if where and where.kind in UP else None
        if where is None or station is None:
            self.strangers += 1
        elif not station.passes(where.kind, at_s):
            return False
        elif where.kind is Kind.NOW:
            station.keep(payload, at_s, kept=kept)
        else:
            try:
                self._event(station, station.event(payload, where.kind), at_s, utc_us)
            except RefusedError as error:
                station.refuse(error)
            else:
                return True
        return False

    def _station(self, name: str) -> Station | None:
        if name not in self._stations and len(self._stations) < MOST_STATIONS:
            self._stations[name] = Station(name)
        return self._stations.get(name)

    def _event(self, station: Station, event: Event, at_s: float, utc_us: int) -> None:
        match event.kind:
            case Kind.PRESENCE:
                self._presence(station, event, at_s)
            case Kind.RECORD:
                self._record(station, event)
                station.heard_s = at_s
            case Kind.SHOWN:
                self._answered |= self.words.answer(station.name, event.data, utc_us)

    def _presence(self, station: Station, event: Event, at_s: float) -> None:
        is_here = event.data["state"] == "here"
        if is_here:
            intake = self._claim(station, source_of(event), is_new=True)
            intake.present(event.data["epoch"], int(event.data["last"]))
            self.words.came(station.name)
        station.told_here(is_here, at_s)

    def _record(self, station: Station, event: Event) -> None:
        if event.sequence is None:
            raise RefusedError("it is a record without its place in the logbook")
        data = event.data
        subject = UUID(event.subject) if event.subject else None
        change = Change(event.sequence, data["change"], subject, event.at_utc_us, data["before_utc_us"], data)
        self._claim(station, source_of(event), is_new=False).take(data["epoch"], change)

    def _claim(self, station: Station, source: UUID, *, is_new: bool) -> Intake[Change]:
        """Return the intake of a logbook: each is one station's, and a station has one at a time."""
        owner = self._owners.get(source, station.name)
        if owner != station.name and self._stations[owner].here:
            raise StrangerError(f"it says that it is the logbook of {owner}")
        if station.source not in (None, source):
            if not is_new:
                raise StrangerError("it sends records of another logbook than it said it has")
            self._forget(station.source)
        self._forget(source if owner != station.name else None)
        station.source, self._owners[source] = source, station.name
        return self._intakes.setdefault(source, Intake())

    def _forget(self, source: UUID | None) -> None:
        """Let an intake go; our mark is in our logbook."""
        if source is not None:
            self._intakes.pop(source, None)
            owner = self._owners.pop(source, "")
            if owner:
                self._stations[owner].source = None

    def unknown(self) -> Sequence[UUID]:
        """Return the logbooks of which our mark is to be looked up."""
        return [source for source, intake in self._intakes.items() if intake.through is None]

    def begin(self, source: UUID, epoch: str, through: int, noted_utc_us: int) -> None:
        """Take our mark of a logbook."""
        if intake := self._intakes.get(source):
            intake.begin(epoch, through, noted_utc_us)

    def ready(self, at_s: float) -> Iterator[tuple[UUID, str, Sequence[Change]]]:
        """Yield what can be applied now: whose, of which epoch, which changes."""
        for source, intake in self._intakes.items():
            epoch, batch = intake.ready(at_s)
            if batch:
                yield source, epoch, batch

    def applied(self, source: UUID, epoch: str, through: int, noted_utc_us: int, refused: int, at_s: float) -> None:
        """Take note of what our logbook took."""
        if intake := self._intakes.get(source):
            intake.applied(epoch, through, noted_utc_us, refused, at_s)

    def marks(self, at_s: float) -> Iterator[Mark]:
        """Yield the marks that are to be told now."""
        for source, intake in self._intakes.items():
            if intake.is_due(at_s):
                yield Mark(self._owners[source], source, intake.epoch, intake.through or 0, intake.noted_utc_us)

    def told(self, mark: Mark, at_s: float) -> None:
        """Take note that the broker has a mark."""
        if intake := self._intakes.get(mark.source):
            intake.told(at_s)

    def due_words(self, at_s: float) -> Sequence[Word]:
        """Return the words that are to be sent now."""
        return tuple(self.words.due({name: one.here for name, one in self._stations.items()}, at_s))

    def has_answers(self) -> bool:
        """Whether answers came since this was asked last."""
        answered, self._answered = self._answered, False
        return answered

    def heard(self, mark: Mark, utc_us: int) -> tuple[str, bytes]:
        """Return topic and payload that tell a mark."""
        data = {
            "coach": str(self.coach),
            "epoch": mark.epoch,
            "through": mark.through,
            "noted_utc_us": mark.noted_utc_us,
        }
        return self._letter(mark.station, Kind.HEARD, data, str(uuid4()), utc_us)

    def word(self, word: Word, utc_us: int) -> tuple[str, bytes]:
        """Return topic and payload of a word; its id is its own however often it is sent."""
        return self._letter(word.station, Kind.WORD, dict(word.data), word.id, utc_us)

    def _letter(self, station: str, kind: Kind, data: dict[str, object], name: str, utc_us: int) -> tuple[str, bytes]:
        event = Event(source=f"/coach/{self.coach}", id=name, kind=kind, data=data, at_utc_us=utc_us)
        return str(Topic(station, kind, self.gym)), to_bytes(event)

    def look(self, at_s: float, utc_us: int, key_s: float | None = None) -> Sequence[tuple[Station, Look]]:
        """Return the stations in the order in which they stand, each with why it needs a look."""
        for one in self._stations.values():
            one.is_deaf = self.is_deaf
            one.look()
        looks = {one.name: one.why(at_s, utc_us) for one in self._stations.values()}
        names = self.order.settle({name: look.need for name, look in looks.items()}, at_s, key_s)
        return [(self._stations[name], looks[name]) for name in names]

    def station(self, name: str) -> Station | None:
        """Return a station; None where nothing came from it."""
        return self._stations.get(name)

    def stations(self) -> tuple[Station, ...]:
        """Return all stations."""
        return tuple(self._stations.values())

    def name_of(self, source: UUID) -> str:
        """Return the station whose logbook that is; empty where none says so any more."""
        return self._owners.get(source, "")

    def intake_of(self, station: Station) -> Intake[Change] | None:
        """Return the way of a station's logbook into ours; None while it sent nothing."""
        return None if station.source is None else self._intakes.get(station.source)
