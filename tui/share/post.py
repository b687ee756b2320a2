"""A station's letters: what it tells, as events on its own topics; pure."""

from __future__ import annotations

from collections.abc import Mapping
from importlib.metadata import version
from typing import Any
from uuid import UUID, uuid4

from analysis.logbook.changes import Change, Stream
from sensor.broker import Letter
from tui.share.checked import RefusedError
from tui.share.envelope import Event, to_bytes
from tui.share.topics import Kind, Topic
from tui.share.words import Answer


class Post:
    """Writes the letters of a station.

    Parameters
    ----------
    station
        Its name.
    uuid
        Of its logbook.
    gym
        Stands before its topics; empty for none.
    """

    def __init__(self, station: str, uuid: UUID, gym: str) -> None:
        self._station, self._gym = station, gym
        self._source = f"/station/{station}/{uuid}"

    def topic(self, kind: Kind) -> str:
        """Return where what is told of a kind goes, or comes."""
        return str(Topic(self._station, kind, self._gym))

    def here(self, stream: Stream, at_utc_us: int) -> Letter:
        """Return the letter that the station is there; the broker keeps it."""
        data = {"state": "here", "version": version("rungwise"), "epoch": stream.epoch, "last": stream.last}
        return self._letter(Kind.PRESENCE, data, str(uuid4()), at_utc_us, retain=True)

    def gone(self, at_utc_us: int) -> Letter:
        """Return the letter that it is not there any more; also its last will."""
        return self._letter(Kind.PRESENCE, {"state": "gone"}, str(uuid4()), at_utc_us, retain=True)

    def now(self, data: Mapping[str, Any], at_utc_us: int) -> Letter:
        """Return the letter of what is shown now; the broker keeps it."""
        return self._letter(Kind.NOW, data, str(uuid4()), at_utc_us, retain=True)

    def record(self, change: Change, epoch: str) -> Letter:
        """Return the letter of a change of the logbook.

        One that is longer than anybody reads is told without its row: the coach's logbook refuses it, says so, and goes
        on with those that follow.
        """
        subject, id_ = str(change.session or ""), f"{epoch}-{change.sequence}"
        data = {**change.data, "before_utc_us": change.before_utc_us}
        told = (Kind.RECORD, id_, change.at_utc_us, subject, change.sequence)
        try:
            return self._record(data, *told)
        except RefusedError:
            return self._record({**data, "row": {}}, *told)

    def shown(self, answer: Answer, at_utc_us: int) -> Letter:
        """Return the letter of what became of a word; the same for the same answer."""
        data = {"word": answer.word, "state": answer.state, "text": answer.text[:400]}
        return self._letter(Kind.SHOWN, data, f"{answer.word}-{answer.state}", at_utc_us)

    def _record(
        self, data: Mapping[str, Any], kind: Kind, id_: str, at_utc_us: int, subject: str, sequence: int
    ) -> Letter:
        event = Event(
            source=self._source,
            id=id_,
            kind=kind,
            data=dict(data),
            at_utc_us=at_utc_us,
            subject=subject,
            sequence=sequence,
        )
        return Letter(self.topic(kind), to_bytes(event))

    def _letter(self, kind: Kind, data: Mapping[str, Any], id_: str, at_utc_us: int, *, retain: bool = False) -> Letter:
        event = Event(source=self._source, id=id_, kind=kind, data=dict(data), at_utc_us=at_utc_us)
        return Letter(self.topic(kind), to_bytes(event), retain)
