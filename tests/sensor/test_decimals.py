"""The quick reader of plain decimals against Python's own `float`, to the last bit."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sensor.decimals import read_decimals

HEAD = b"t_s,ax_g,ay_g,az_g\n"
PLACES = (4, 5, 1, 8)


def _read(body: str) -> np.ndarray | None:
    return read_decimals(HEAD + body.encode(), len(HEAD), len(PLACES))


def _cells(places: int) -> st.SearchStrategy[str]:
    digits = st.text("0123456789", min_size=places, max_size=places)
    return st.tuples(st.sampled_from(["", "-"]), st.text("0123456789", min_size=1, max_size=7), digits).map(
        lambda parts: f"{parts[0]}{parts[1]}.{parts[2]}"
    )


@given(rows=st.lists(st.tuples(*map(_cells, PLACES)), min_size=2, max_size=20), end=st.sampled_from(["", "\n"]))
def test_decimals_are_what_python_reads(rows: list[tuple[str, ...]], end: str) -> None:
    values = _read("\n".join(map(",".join, rows)) + end)
    theirs = np.array([[float(cell) for cell in row] for row in rows])
    assert values is not None
    assert values.tobytes() == theirs.tobytes()


def test_more_rows_than_are_read_at_once() -> None:
    rows = [f"{i / 1e4:.4f},{-i / 1e5:.5f},{i % 7 - 3:.1f},{i:.8f}" for i in range(9000)]
    values = _read("\n".join(rows))
    assert values is not None
    assert values.tolist() == [[float(cell) for cell in row.split(",")] for row in rows]


@pytest.mark.parametrize(
    "cell",
    ["1", "1e3", "nan", "1.00", "1.0000 ", "+1.0000", "1-2.0000", "--1.0000", ".5000", "1.2.3456", "12345678.0000", ""],
)
def test_anything_else_is_left_to_the_careful_reader(cell: str) -> None:
    plain = "1.0000,1.00000,1.0,1.00000000"
    assert _read(f"{plain}\n{cell},1.00000,1.0,1.00000000\n{plain}") is None
    assert _read(f"{plain}\n{plain}") is not None


@pytest.mark.parametrize("body", ["", "1.0000,1.00000,1.0,1.00000000", "1.0000,1.0\n1.0000,1.0", "1.0\n,1.0,1.0,1.0"])
def test_too_few_rows_or_cells_are_left_to_the_careful_reader(body: str) -> None:
    assert _read(body) is None
