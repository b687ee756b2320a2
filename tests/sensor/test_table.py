"""The table of motion: values as Python's own csv and float read them, and one clear line for whatever is wrong."""

import csv
import gzip
import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sensor.table import TableError, read_motion, read_table

HEAD3 = "t_s,ax_g,ay_g,az_g"
HEAD6 = HEAD3 + ",gx_dps,gy_dps,gz_dps"
REAL = Path(__file__).parents[3] / "shared" / "data" / "real"


@pytest.fixture
def write(tmp_path):
    def write(content, name="m.csv"):
        path = tmp_path / name
        path.write_bytes(content if isinstance(content, bytes) else content.encode())
        return path

    return write


def test_units(write):
    table = read_table(write(f"{HEAD6}\n0.0,1,0,-0.5,180,0,-90\n0.01,0,2,0,0,1,0\n"))
    # Standard gravity 9.80665 m/s² (3rd CGPM, 1901); 180° = π rad.
    np.testing.assert_allclose(table.force_m_s2, [[9.80665, 0, -4.903325], [0, 19.6133, 0]], rtol=1e-15)
    np.testing.assert_allclose(table.rate_rad_s, [[math.pi, 0, -math.pi / 2], [0, math.pi / 180, 0]], rtol=1e-15)
    assert table.t_s.tolist() == [0.0, 0.01]
    assert (table.axes, len(table)) == (6, 2)


def test_three_axes(write):
    table = read_table(write(f"{HEAD3}\n0.0,1,0,0\n0.01,1,0,0"))
    assert table.rate_rad_s is None
    assert table.axes == 3


@pytest.mark.parametrize(
    "content",
    [
        f"{HEAD3}\n0,0,0,1\n1,0,0,1",
        f"{HEAD3}\r\n0,0,0,1\r\n1,0,0,1\r\n",
        f"\ufeff{HEAD3}\n0,0,0,1\n1,0,0,1\n\n",
        f"{HEAD3}\n 0 , 0,0e0,+1\n1.,-0,.0,1.0e+00\n",
    ],
    ids=["no last newline", "CR LF", "byte order mark, empty last lines", "blanks and other ways to write a number"],
)
def test_ways_to_write_the_same(write, content):
    table = read_table(write(content))
    assert table.t_s.tolist() == [0.0, 1.0]
    np.testing.assert_array_equal(table.force_m_s2, [[0, 0, 9.80665]] * 2)


def test_gzip(write):
    content = gzip.compress(f"{HEAD3}\n0,0,0,1\n1,0,0,1\n".encode())
    assert read_table(write(content, "m.csv.gz")).t_s.tolist() == [0.0, 1.0]


@given(st.lists(st.tuples(*[st.floats(-1e6, 1e6)] * 3), min_size=2, max_size=20))
def test_every_digit_is_read(tmp_path_factory, rows):
    path = tmp_path_factory.mktemp("t") / "m.csv"
    path.write_text("\n".join([HEAD3, *(f"{k},{x!r},{y!r},{z!r}" for k, (x, y, z) in enumerate(rows))]))
    np.testing.assert_array_equal(read_table(path).force_m_s2, np.array(rows) * 9.80665)


@pytest.mark.parametrize(
    ("content", "says"),
    [
        ("", "line 1, column 1: '' where 't_s' is expected"),
        ("time,ax_g,ay_g,az_g\n0,0,0,1\n1,0,0,1\n", "line 1, column 1: 'time' where 't_s'"),
        ("t_s,ax_g,az_g,ay_g\n0,0,0,1\n1,0,0,1\n", "line 1, column 3: 'az_g' where 'ay_g'"),
        (f"{HEAD3},gx_dps\n0,0,0,1,0\n1,0,0,1,0\n", "line 1, column 5: 5 columns"),
        (f"{HEAD6},more\n", "line 1, column 8: 8 columns"),
        ("t_s,ax_g\n0,0\n", "line 1, column 2: 2 columns"),
        ("0,0,0,1\n1,0,0,1\n", "line 1, column 1: '0' where 't_s'"),
        (HEAD3, "line 1, column 1 (t_s): the table ends after 0 samples"),
        (f"{HEAD3}\n0,0,0,1\n", "line 2, column 1 (t_s): the table ends after 1 samples"),
        (f"{HEAD3}\n0,0,0,1\n1,0,x,1\n", "line 3, column 3 (ay_g): 'x' is no number"),
        (f"{HEAD3}\n0,0,0,1\n1,0,,1\n", "line 3, column 3 (ay_g): '' is no number"),
        (f"{HEAD3}\n0,0,0,1\n1,0,1_0,1\n", "line 3, column 3 (ay_g): '1_0' is no number"),
        (f"{HEAD3}\n0,0,0,1\n1,0,0,٣\n", "line 3, column 4 (az_g): '٣' is no number"),
        (f"{HEAD3}\n0;0;0;1\n1;0;0;1\n", "line 2, column 1 (t_s): 1 of 4 columns"),
        (f"{HEAD3}\n0,0,0,1\n1,0,0\n2,0,0,1\n", "line 3, column 3 (ay_g): 3 of 4 columns"),
        (f"{HEAD3}\n0,0,0,1\n1,0,0,1,5\n", "line 3, column 4 (az_g): 5 of 4 columns"),
        (f"{HEAD3}\n0,0,0,1,0\n1,0,0,1,5\n", "line 2, column 4 (az_g): 5 of 4 columns"),
        (f"{HEAD3}\n0,0,0,1\n\n1,0,0,1\n", "line 3, column 1 (t_s): an empty line"),
        (f"{HEAD3}\n0,0,0,1\n1,0,nan,1\n", "line 3, column 3 (ay_g): nan is not finite"),
        (f"{HEAD3}\n0,0,0,1\n1,-inf,0,1\n", "line 3, column 2 (ax_g): -inf is not finite"),
        (f"{HEAD3}\n0,0,0,1\n1,1e999,0,1\n", "line 3, column 2 (ax_g): inf is not finite"),
        (f"{HEAD3}\n0,0,0,1\n2,0,0,1\n2,0,0,1\n", "line 4, column 1 (t_s): 2 s does not come after 2 s"),
        (f"{HEAD3}\n0,0,0,1\n2,0,0,1\n1,0,0,1\n3,0,0,1", "line 4, column 1 (t_s): 1 s does not come after 2 s"),
        (b"\xff\xfe\x00\x01" * 40, "line 1, column 1"),
        (HEAD3.encode() + b"\n0,0,0,1\n1,0,\xff\x00,1\n", "line 3, column 3 (ay_g)"),
    ],
)
def test_what_is_wrong_is_named_with_line_and_column(write, content, says):
    path = write(content)
    with pytest.raises(TableError) as caught:
        read_table(path)
    assert str(caught.value).startswith(f"{path}, {says}")
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    ("name", "content", "says"),
    [
        ("none.csv", None, "no such file"),
        ("m.txt", b"", "neither .csv nor .csv.gz"),
        ("m.gz", b"", "neither .csv nor .csv.gz"),
        ("m.csv.gz", b"t_s,ax_g,ay_g,az_g\n", "no whole gzip file"),
        ("m.csv.gz", gzip.compress(b"0,0,0,1\n" * 1000, mtime=0)[:-20], "no whole gzip file"),
        ("m.csv.gz", b"", "column 1: '' where"),
    ],
)
def test_files_that_cannot_be_read_are_named(write, tmp_path, name, content, says):
    path = tmp_path / name if content is None else write(content, name)
    with pytest.raises(TableError, match=says) as caught:
        read_table(path)
    assert str(caught.value).startswith(str(path))


def test_a_folder_is_named(tmp_path):
    (tmp_path / "m.csv").mkdir()
    with pytest.raises(TableError, match="cannot be read"):
        read_table(tmp_path / "m.csv")


@given(st.binary(max_size=200) | st.binary(max_size=100).map(lambda b: f"{HEAD3}\n0,0,0,1\n".encode() + b))
def test_any_bytes_are_read_or_refused_in_one_line(tmp_path_factory, content):
    path = tmp_path_factory.mktemp("t") / "m.csv"
    path.write_bytes(content)
    try:
        table = read_table(path)
    except TableError as error:
        message = str(error)
    else:
        message = ""
        assert np.all(np.diff(table.t_s) > 0)
    assert "\n" not in message


def test_the_rate_is_that_of_the_device_and_not_of_rounding_or_holes(write):
    t_s = np.round(np.delete(np.arange(5000), slice(1000, 1400)) / 104, 4)
    table = read_table(write("\n".join([HEAD3, *(f"{t:.4f},0,0,1" for t in t_s)])))
    assert table.rate_hz == pytest.approx(104.0, rel=1e-4)
    assert 1 / np.median(np.diff(t_s)) == pytest.approx(104.1667, rel=1e-5)
    assert read_table(write(f"{HEAD3}\n0,0,0,1\n0.01,0,0,1\n1.01,0,0,1\n")).rate_hz == pytest.approx(100.0)


@pytest.mark.skipif(not REAL.is_dir(), reason="the recordings of real people (data/real) are not here")
@pytest.mark.parametrize(
    "name", ["mex-thigh/subj01_ex2", "spar-watch/ABD_subj01_L_007", "mobgap-lowback/HA001_TimeMeasure1_Test5_Trial1"]
)
def test_a_real_recording_as_pythons_csv_reads_it(name):
    path = REAL / f"{name}.csv.gz"
    with gzip.open(path, "rt", newline="") as file:
        rows = [[float(cell) for cell in row] for row in list(csv.reader(file))[1:]]
    values, table = np.array(rows), read_table(path)
    np.testing.assert_array_equal(table.t_s, values[:, 0])
    np.testing.assert_array_equal(table.force_m_s2, values[:, 1:4] * 9.80665)
    if table.rate_rad_s is not None:
        np.testing.assert_array_equal(table.rate_rad_s, np.radians(values[:, 4:]))


def rest(write, *, step=0.01, force=(0.6, 0.0, 0.8)):
    rows = (f"{k * step:.6f},{','.join(f'{f:.6f}' for f in force)}" for k in range(100))
    return write("\n".join([HEAD3, *rows]))


@pytest.mark.parametrize(
    ("numbers", "says"),
    [
        ({"step": 10.0}, r"line 3, column 1 \(t_s\): lines are 10 s apart; give seconds"),
        ({"force": (5.884, 0.0, 7.845)}, r"line 2, column 2 \(ax_g\): the force is 9.81 g as a rule.*9\.80665"),
        ({"force": (600.0, 0.0, 800.0)}, "the force is 1e\\+03 g as a rule"),
        ({"force": (0.01, 0.0, 0.02)}, "with gravity in it"),
    ],
    ids=["times in ms", "m/s²", "mg", "gravity taken off"],
)
def test_other_units_are_refused_instead_of_counted(write, numbers, says):
    with pytest.raises(TableError, match=says):
        read_motion(rest(write, **numbers))


@pytest.mark.parametrize("size", [0.5, 1.0, 2.5])
def test_a_poor_scale_and_vigorous_motion_are_still_motion(write, size):
    assert len(read_motion(rest(write, force=(0.0, 0.0, size)))) == 100
