"""The bytes of a notification, against `int.to_bytes` and `struct`; and whatever else may come."""

from __future__ import annotations

import struct
from dataclasses import dataclass

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sensor.own.layout import FORCE, TURN, WIDTHS, Cell, CellError, Layout
from sensor.protocol import ProtocolError


def bounds(kind: str) -> tuple[int, int]:
    values = 1 << 8 * WIDTHS[kind]
    return (0, values - 1) if kind[0] == "u" else (-values // 2, values // 2 - 1)


def octets(kind: str, value: float, order: str) -> bytes:
    if kind == "f32":
        return struct.pack(">f" if order == "big" else "<f", value)
    return int(value).to_bytes(WIDTHS[kind], order, signed=kind[0] == "i")


@dataclass
class Case:
    """A layout, and a notification made for it by other means."""

    layout: Layout
    payload: bytes
    single: dict[str, int]
    values: list[list[float]]


@st.composite
def cases(draw: st.DrawFn) -> Case:
    order = draw(st.sampled_from(["little", "big"]))
    names = [*FORCE, *(TURN if draw(st.booleans()) else ())]
    kinds = {name: draw(st.sampled_from(sorted(WIDTHS))) for name in names}
    sample = [f"{kinds[name]} {name}" for name in draw(st.permutations(names))]
    sample.insert(draw(st.integers(0, len(sample))), f"skip {draw(st.integers(1, 5))}")
    singles = draw(st.lists(st.sampled_from(["sequence", "time"]), unique=True))
    edges = [f"{draw(st.sampled_from(['u8', 'u16', 'u24', 'u32']))} {name}" for name in singles]
    edges += [draw(st.sampled_from(["skip 3", "is 55", "is a0 0B"]))]
    cut = draw(st.integers(0, len(edges)))
    n, single, values = draw(st.integers(1, 6)), {}, []

    def filled(cells: list[str], into: dict[str, float]) -> bytes:
        out = b""
        for text in cells:
            kind, name = text.split(" ", 1)
            if kind == "skip":
                out += draw(st.binary(min_size=int(name), max_size=int(name)))
            elif kind == "is":
                out += bytes.fromhex(name)
            else:
                numbers = st.floats(width=32, allow_nan=False, allow_infinity=False)
                value = draw(numbers if kind == "f32" else st.integers(*bounds(kind)))
                into[name] = value
                out += octets(kind, value, order)
        return out

    payload = filled(edges[:cut], single)
    for _ in range(n):
        row: dict[str, float] = {}
        payload += filled(sample, row)
        values.append([row[name] for name in names])
    payload += filled(edges[cut:], single)
    parts = [tuple(Cell.read(text) for text in cells) for cells in (edges[:cut], sample, edges[cut:])]
    samples = draw(st.sampled_from([None, n]))
    return Case(Layout(*parts, samples, big_endian=order == "big"), payload, single, values)


@given(cases())
def test_every_layout_reads_what_was_written(case: Case) -> None:
    reading = case.layout.decode(case.payload)
    assert (reading.sequence, reading.ticks) == (case.single.get("sequence"), case.single.get("time"))
    np.testing.assert_array_equal(reading.values, np.array(case.values, float))
    assert len(reading) == len(case.values)


@given(cases(), st.data())
def test_a_notification_of_another_length_is_refused(case: Case, data: st.DataObject) -> None:
    each = sum(cell.width for cell in case.layout.sample)
    cut = data.draw(st.integers(1, each - 1))
    for payload in (case.payload[:-cut], case.payload + bytes(cut)):
        with pytest.raises(ProtocolError):
            case.layout.decode(payload)


@given(cases(), st.binary(max_size=600))
def test_whatever_comes_is_read_or_refused(case: Case, payload: bytes) -> None:
    try:
        reading = case.layout.decode(payload)
    except ProtocolError:
        return
    assert reading.values.shape == (len(reading), case.layout.axes)
    assert np.isfinite(reading.values).all()


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_a_number_that_is_none_is_refused(value: float) -> None:
    layout = Layout((), tuple(Cell.read(f"f32 {name}") for name in FORCE))
    assert layout.decode(struct.pack("<3f", 0.5, -1.0, 2.0)).values.tolist() == [[0.5, -1.0, 2.0]]
    with pytest.raises(ProtocolError, match="finite"):
        layout.decode(struct.pack("<3f", 0.5, value, 2.0))


@pytest.mark.parametrize("text", ["", "i16", "i12 ax", "i16  ax", "i16 AX", "skip 0", "skip x", "is 5", "is", "f64 ax"])
def test_other_texts_are_no_cells(text: str) -> None:
    with pytest.raises(CellError):
        Cell.read(text)
