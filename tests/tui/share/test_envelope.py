"""Events against the standards: CloudEvents 1.0.2, JSON Schema 2020-12, RFC 3339, RFC 8259."""

import json
from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import UUID

import pytest
from cloudevents.core.formats.json import JSONFormat
from hypothesis import given
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from tui.share.checked import MOST_BYTES, RefusedError, check, schema_of, schemas
from tui.share.envelope import Event, from_bytes, to_bytes
from tui.share.topics import Kind

STATION = "/station/rack-3/2f1c1e0a-7a55-4d0f-9b0e-0d4f6c1a9e11"
MARK = {"coach": str(UUID(int=1)), "epoch": str(UUID(int=2)), "through": 17, "noted_utc_us": 1_780_056_000_000_000}
RECORD = {
    "epoch": str(UUID(int=2)),
    "change": "trainee",
    "before_utc_us": 0,
    "row": {"uuid": str(UUID(int=3)), "name": "Mara Lindt"},
}


def event(kind: Kind = Kind.HEARD, data: dict[str, Any] | None = None, **values: Any) -> Event:
    given_ = {"source": STATION, "id": "e-17", "at_utc_us": 1_780_000_000_123_456, **values}
    return Event(kind=kind, data=data or MARK, **given_)


def spoilt(**values: Any) -> bytes:
    """Return an event with some of its envelope said otherwise; None leaves it out."""
    envelope = {**json.loads(to_bytes(event())), **values}
    return json.dumps({name: value for name, value in envelope.items() if value is not None}).encode()


MOMENTS = st.integers(0, 4_000_000_000_000_000)


@given(MOMENTS, st.integers(0, 10**18) | st.none(), st.uuids().map(str) | st.just(""), st.text("abc-0:.", min_size=1))
def test_an_event_comes_back_as_it_was(at: int, sequence: int | None, subject: str, name: str) -> None:
    sent = event(Kind.RECORD, RECORD, at_utc_us=at, sequence=sequence, subject=subject, id=name[:80])
    assert from_bytes(to_bytes(sent), Kind.RECORD) == sent


@given(MOMENTS)
def test_the_reference_reader_reads_it(at: int) -> None:
    # CloudEvents SDK for Python, which checks the attributes (CloudEvents 1.0.2, 3.1) and the time (RFC 3339)
    sent = event(Kind.RECORD, RECORD, at_utc_us=at, sequence=17, subject=str(UUID(int=5)))
    found = JSONFormat().read(None, to_bytes(sent))
    assert (found.get_id(), found.get_source(), found.get_subject()) == ("e-17", STATION, str(UUID(int=5)))
    assert found.get_type() == "rungwise.record.1"
    assert found.get_time() == datetime(1970, 1, 1, tzinfo=UTC) + timedelta(microseconds=at)
    assert found.get_extension("sequence") == "00000000000000000017"
    assert found.get_data() == RECORD


def test_sequences_are_in_order_as_text() -> None:
    # CloudEvents extension "sequence": lexicographically-orderable
    texts = [json.loads(to_bytes(event(sequence=number)))["sequence"] for number in (2, 9, 10, 11, 999, 10**15)]
    assert texts == sorted(texts)


def test_every_kind_has_a_schema_that_is_one() -> None:
    for name, schema in schemas().items():
        Draft202012Validator.check_schema(schema)
        assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema", name
    assert {schema_of(kind) for kind in Kind} < set(schemas())


@pytest.mark.parametrize(
    ("payload", "why"),
    [
        (b"", "no JSON"),
        (b"\xff\xfe{}", "no JSON"),
        (b"[]", "no JSON object"),
        (b'{"a": NaN}', "NaN is no number"),
        (b'{"a":' * 20_000, "no JSON"),
        (b'{"\\ud800": 1}', "no JSON"),  # RFC 8259, 8.2: an unpaired surrogate
        (spoilt(id="\ud800"), "no JSON"),
        (spoilt(data={**MARK, "\udfff": 1}), "no JSON"),
        (b" " * (MOST_BYTES + 1), "at most"),
        (spoilt(specversion="0.3"), "specversion"),
        (spoilt(id=None), "'id' is a required property"),
        (spoilt(id="x" * 81), "id: "),
        (spoilt(source="/station/../../etc/" + str(UUID(int=1))), "source"),
        (spoilt(time="yesterday"), "time"),
        (spoilt(time="2026-13-45T10:00:00Z"), "no time of RFC 3339"),
        (spoilt(subject="'; DROP TABLE session; --"), "subject"),
        (spoilt(type="rungwise.now.1"), "rungwise.heard.1 is expected"),
        (spoilt(type=7), "rungwise.heard.1 is expected"),
        (spoilt(type="rungwise.heard.2"), "version 2, and this Rungwise reads version 1: update"),
        (spoilt(data={**MARK, "through": -1}), "through"),
        (spoilt(data={**MARK, "path": "../../x"}), "path"),
        (spoilt(data=[]), "data"),
    ],
)
def test_what_is_not_an_event_of_this_version_is_refused_in_words(payload: bytes, why: str) -> None:
    with pytest.raises(RefusedError, match=r".") as refused:
        from_bytes(payload, Kind.HEARD)
    assert why in str(refused.value)
    assert len(str(refused.value)) < 400


def test_half_a_letter_in_a_row_is_refused_and_a_whole_one_is_not() -> None:
    for row, is_whole in (({"name": "\N{MOUNTAIN}"}, True), ({"a\ud800": 1}, False), ({"name": "\ud83c"}, False)):
        payload = json.dumps({**json.loads(to_bytes(event(Kind.RECORD, RECORD))), "data": {**RECORD, "row": row}})
        assert "\\u" in payload
        if is_whole:
            assert from_bytes(payload.encode(), Kind.RECORD).data["row"] == row
        else:
            with pytest.raises(RefusedError, match="surrogates"):
                from_bytes(payload.encode(), Kind.RECORD)


@given(st.binary(max_size=300))
def test_noise_is_refused_and_never_more_than_that(noise: bytes) -> None:
    with pytest.raises(RefusedError):
        from_bytes(noise, Kind.NOW)


def test_what_nobody_would_read_is_not_sent() -> None:
    with pytest.raises(RefusedError, match="at most"):
        to_bytes(event(Kind.RECORD, {**RECORD, "row": {"name": "x" * MOST_BYTES}}))


@pytest.mark.parametrize("lacks", ["epoch", "last"])
def test_who_is_there_says_of_which_history_its_records_are(lacks: str) -> None:
    here, schema = {"state": "here", "epoch": str(UUID(int=2)), "last": 3}, schema_of(Kind.PRESENCE)
    check(here, schema)
    check({"state": "gone"}, schema)  # also a last will, written before anything was told
    with pytest.raises(RefusedError, match=lacks):
        check({name: value for name, value in here.items() if name != lacks}, schema)


def test_a_value_is_told_with_its_place() -> None:
    with pytest.raises(RefusedError, match=r"^through: -1"):
        check({**MARK, "through": -1}, schema_of(Kind.HEARD))


VALUES = st.recursive(
    st.none() | st.booleans() | st.integers(-2, 20_000) | st.floats(allow_nan=False) | st.text(max_size=4),
    lambda inner: st.lists(inner, max_size=2) | st.dictionaries(st.sampled_from(["text", "what", "row"]), inner),
    max_leaves=4,
)


@given(st.sampled_from(list(MARK)), VALUES, st.dictionaries(st.sampled_from(["path", *RECORD]), VALUES))
def test_what_is_refused_is_what_the_reference_refuses(name: str, value: Any, more: dict[str, Any]) -> None:
    # JSON Schema 2020-12 as the Python library `jsonschema` has it; the one that decides is another
    for kind, good in ((Kind.HEARD, {**MARK, name: value}), (Kind.RECORD, {**RECORD, **more})):
        told = Draft202012Validator(schemas()[schema_of(kind)]).is_valid(good)
        try:
            check(good, schema_of(kind))
        except RefusedError:
            assert not told
        else:
            assert told


def test_a_line_feed_behind_a_pattern_is_refused() -> None:
    # ECMA-262: without the flag `m`, `$` is the very end; Python's own is not (from memory)
    with pytest.raises(RefusedError, match=r"."):
        check({**MARK, "epoch": f"{UUID(int=2)}\n"}, schema_of(Kind.HEARD))
