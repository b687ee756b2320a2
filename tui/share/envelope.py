"""An event as it travels: CloudEvents 1.0.2, structured JSON; pure.

`source` and `id` together name an event for good, so that it is applied once however often it comes. Nothing is ordered
by `time`: clocks are wrong.
"""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from tui.share.checked import MOST_BYTES, RefusedError, check, parsed, schema_of
from tui.share.topics import VERSION, Kind

ENVELOPE = f"urn:rungwise:share:envelope:{VERSION}"
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_TYPE = re.compile(r"rungwise\.([a-z]+)\.([0-9]+)")


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """One event.

    Attributes
    ----------
    source
        Who tells it: `/station/<name>/<uuid of its logbook>` or `/coach/<uuid of its logbook>`.
    id
        Its own among those of its source.
    kind, data
        What it is about, and what it says: as the schema of that kind has it.
    at_utc_us
        When it was told by the teller's clock, µs since 1970-01-01 UTC.
    subject
        UUID of the session that it is about; empty where it is about none.
    sequence
        Place of a record in its logbook; None for all else.
    """

    source: str
    id: str
    kind: Kind
    data: dict[str, Any]
    at_utc_us: int
    subject: str = ""
    sequence: int | None = None


def to_bytes(event: Event) -> bytes:
    """Return the payload of an event.

    Raises
    ------
    RefusedError
        When it would be longer than anybody reads.
    """
    envelope: dict[str, Any] = {
        "specversion": "1.0",
        "id": event.id,
        "source": event.source,
        "type": f"rungwise.{event.kind.value}.{VERSION}",
        "time": (_EPOCH + timedelta(microseconds=event.at_utc_us)).isoformat().replace("+00:00", "Z"),
        "datacontenttype": "application/json",
        "dataschema": schema_of(event.kind),
        **({"subject": event.subject} if event.subject else {}),
        **({} if event.sequence is None else {"sequence": f"{event.sequence:020d}"}),
        "data": event.data,
    }
    payload = json.dumps(envelope, ensure_ascii=False, allow_nan=False, separators=(",", ":")).encode("utf-8")
    if len(payload) > MOST_BYTES:
        raise RefusedError(
            f"this {event.kind.value} would take {len(payload)} bytes, and at most {MOST_BYTES} are read"
        )
    return payload


def from_bytes(payload: bytes, kind: Kind) -> Event:
    """Return the event that a payload is, on a topic of this kind.

    Raises
    ------
    RefusedError
        When it is not one of this version, not of this kind, or not as its schema has it. Nothing of it was used.
    """
    found = parsed(payload)
    _of_this_version(found, kind)
    check(found, ENVELOPE)
    check(found["data"], schema_of(kind))
    return Event(
        source=found["source"],
        id=found["id"],
        kind=kind,
        data=found["data"],
        at_utc_us=_utc_us(found["time"]),
        subject=found.get("subject", ""),
        sequence=int(found["sequence"]) if "sequence" in found else None,
    )


def _of_this_version(found: dict[str, Any], kind: Kind) -> None:
    """Tell a newer Rungwise from a stranger, so that whoever reads it knows what to do."""
    said = found.get("type")
    match = _TYPE.fullmatch(said) if isinstance(said, str) else None
    if not match or match[1] != kind.value:
        raise RefusedError(f"its type is {said!r:.80}, and rungwise.{kind.value}.{VERSION} is expected here")
    if match[2] != str(VERSION):
        raise RefusedError(
            f"it is of version {match[2][:10]}, and this Rungwise reads version {VERSION}: update the older one"
        )


def _utc_us(text: str) -> int:
    try:
        moment = datetime.fromisoformat(text)
        return round((moment - _EPOCH) / timedelta(microseconds=1))
    except (ValueError, TypeError, OverflowError) as problem:
        raise RefusedError(f"time: {text!r:.40} is no time of RFC 3339") from problem
