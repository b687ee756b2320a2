"""Descriptions: what counts mean by them, and what is said of wrong ones."""

from __future__ import annotations

import math
import re
import struct
from contextlib import suppress
from pathlib import Path
from time import perf_counter

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tags import SENSOR, Tag

from sensor.assembly import Assembler, Block
from sensor.own.description import is_description
from sensor.own.fit import Fit
from sensor.own.loading import MOST_BYTES, DescriptionError, parse, read_description
from sensor.own.toml_lines import line_of, read_toml
from sensor.protocol import Info
from sensor.source import Arrival, Channel

G = 9.80665  # m/s², exact: 3rd CGPM (1901)
PLAIN = Tag().text.replace("samples = 5\n", "")


def force_m_s2(kinds: str, force: str, payload: bytes, order: str = "little") -> np.ndarray:
    """What one notification of one sample means."""
    text = PLAIN.replace("i16", kinds).replace("unit = 'mg'\nscale = 1\n", force)
    text = text.replace("[motion]", f'[motion]\nbyte_order = "{order}"')
    assembler = Assembler(SENSOR)
    assembler.push(Arrival(SENSOR, 0.0, Channel.INFO, text.encode()))
    (block,) = assembler.push(Arrival(SENSOR, 1.0, Channel.DATA, payload))
    assert isinstance(block, Block)
    return np.array([*block.force_m_s2[0], block.saturated])


@pytest.mark.parametrize(
    ("kinds", "force", "payload", "expected_g", "saturated"),
    [
        ("i16", 'unit = "g"\nscale = 0.001', struct.pack("<3h", 1000, -500, 2000), (1, -0.5, 2), False),
        ("i16", 'unit = "m/s2"\nscale = 0.01', struct.pack("<3h", 981, 0, -981), (9.81 / G, 0, -9.81 / G), False),
        ("i8", 'unit = "mg"\nscale = 16', struct.pack("<3b", 64, -64, 1), (1.024, -1.024, 0.016), False),
        ("u8", 'unit = "g"\nscale = 0.02\nzero = 128', bytes([178, 128, 78]), (1, 0, -1), False),
        ("u16", 'unit = "mg"\nscale = 0.5\nzero = 32768', struct.pack("<3H", 34768, 32768, 0), (1, 0, -16.384), True),
        ("i16", 'unit = "mg"\nscale = 8\nrange = 16000', struct.pack("<3h", 125, 1999, 0), (1, 15.992, 0), True),
        ("i32", 'unit = "mg"\nscale = 0.001\nrange = 4000', struct.pack("<3i", 10**6, -(10**6), 0), (1, -1, 0), False),
        ("f32", 'unit = "g"\nscale = 1\nrange = 8', struct.pack("<3f", 1.0, -0.25, 7.9998), (1, -0.25, 7.9998), True),
    ],
)
def test_counts_mean_what_unit_scale_zero_and_range_say(
    kinds: str, force: str, payload: bytes, expected_g: tuple[float, ...], saturated: bool
) -> None:
    """By multiplying out; wide numbers are rounded to the range ÷ 32768."""
    got = force_m_s2(kinds, force + "\n", payload)
    np.testing.assert_allclose(got[:3] / G, expected_g, rtol=1e-6, atol=8 / 65536 if kinds in ("i32", "f32") else 1e-9)
    assert bool(got[3]) is saturated


@given(st.lists(st.integers(-(2**23), 2**23 - 1), min_size=3, max_size=3), st.sampled_from(["little", "big"]))
def test_three_bytes_are_rounded_to_sixteen_bits_of_the_range(counts: list[int], order: str) -> None:
    payload = b"".join(count.to_bytes(3, order, signed=True) for count in counts)
    got = force_m_s2("i24", f'unit = "g"\nscale = {16 / 2**23}\nrange = 16\n', payload, order)
    true_g = np.clip(np.array(counts) * 16 / 2**23, -16, 16 * 32767 / 32768)
    np.testing.assert_allclose(got[:3] / G, true_g, atol=16 / 65536 * 1.0001)


def test_turning_is_read_in_degrees_and_radians() -> None:
    """π rad/s is 180 deg/s."""
    for unit, scale in (("deg/s", 0.01), ("mdeg/s", 10), ("rad/s", math.radians(0.01))):
        text = PLAIN.replace("'i16 az']", "'i16 az', 'i16 gx', 'i16 -gy', 'i16 gz']")
        assembler = Assembler(SENSOR)
        information = f'{text}[turn]\nunit = "{unit}"\nscale = {scale}\n'
        assembler.push(Arrival(SENSOR, 0.0, Channel.INFO, information.encode()))
        (block,) = assembler.push(Arrival(SENSOR, 1.0, Channel.DATA, struct.pack("<6h", 0, 0, 0, 18000, 9000, -1)))
        assert block.rate_rad_s[0] == pytest.approx([math.pi, -math.pi / 2, -math.radians(0.01)], rel=1e-6)


@pytest.mark.parametrize(
    ("instead_of", "this", "said"),
    [
        ('name = "tag"\n[find]', "[find]", "name: is missing"),
        ("\nsample = ", "\nsamples = ", "motion.samples: sample is missing, and this is not it"),
        ('[find]\nname = "tag"', "[find]", "find: holds neither"),
        ("'i16 ay', ", "", "motion.sample: holds no ay"),
        ("'i16 ay'", "'i16 ax'", "motion.sample.1: 'ax' is there already"),
        ("'i16 az']", "'i16 az', 'i16 gx']", "motion.sample: holds no gy"),
        ("header = []", "header = ['i16 time']", "motion.header.0: 'i16 time' is not allowed; give u8"),
        ("header = []", "header = ['u8 time']\n", "time: is missing"),
        ("header = []", "header = 3", "motion.header: 3 is not allowed"),
        ("header = []", "header = ['skip 600']", "motion.sample: makes a notification longer than 512"),
        ('"ff01"', '"ff1"', "motion.characteristic: 'ff1' is not allowed; give a UUID"),
        (
            "scale = 1",
            "scale = 1\nzeros = 3",
            "force.zeros: is not known here; perhaps zero is meant; allowed are unit, scale, zero, range",
        ),
        ("scale = 1", "scale = 100", "force.scale: gives a range of ±3.2768e+06 mg"),
        ("'i16 az'", "'i32 az'", "force.range: is missing"),
        ("[force]", "[time]\ntick_us = 1\n[force]", 'time: needs a number "time"'),
        ("[force]", "[sequence]\ncounts = 'samples'\n[force]", 'sequence: needs a number "sequence"'),
        ("[force]", "[turn]\nunit = 'deg/s'\n[force]", "turn: needs gx, gy, gz"),
        ("[force]", "[force.x]\n[force]", "force.x: is not known here"),
        ("[find]", "find = 3\n[other]", "find: 3 is no table"),
        ("rate_hz", "rate_error = true\nrate_hz", "motion.rate_error: True is not allowed"),
        (
            "rate_hz",
            "samples = 300\nrate_hz",
            "motion.samples: 300 is not allowed; give a whole number from 1 to 85: a",
        ),
        (
            "[motion]",
            'address = "xx"\n[motion]',
            "find.address: 'xx' is not allowed; give an address as `rungwise scan`",
        ),
        ("[force]", "[[force]]", "force: there is one only; write [force], not [[force]]"),
        ("[force]", "[start]\nhex = '01'\n[force]", "start: there may be several; write [[start]], not [start]"),
        ("'mg'", "mg", 'line 11: Invalid value; write a text in quotes: "mg"'),
        ('"ff01"', "ff01", 'line 6: Invalid value; write a text in quotes: "ff01"'),
        ("['i16 ax'", "[i16 ax", "write it as TOML with each text in quotes"),
        ("scale = 1", "scale = True # yes", "line 12: Invalid value; write true, in small letters"),
    ],
)
def test_a_wrong_key_is_named_with_what_is_allowed(instead_of: str, this: str, said: str) -> None:
    assert instead_of in PLAIN
    with pytest.raises(DescriptionError) as told:
        parse(PLAIN.replace(instead_of, this), "x.toml")
    assert str(told.value).startswith("x.toml, line ")
    assert said in str(told.value)


def test_a_missing_table_is_asked_for_by_its_head_where_it_can_be_added() -> None:
    for head in ("find", "motion", "force"):
        without = re.sub(rf"(?m)^\[{head}\]\n(?:[^\[\n].*\n?)*", "", PLAIN) + "\n# the end\n\n"
        last = len(without.rstrip().split("\n"))
        with pytest.raises(DescriptionError) as told:
            parse(without, "x.toml")
        assert str(told.value) == f"x.toml, line {last}, {head}: is missing; give the table [{head}] below this line"


def test_a_missing_key_of_the_top_has_its_place_above_the_tables() -> None:
    with pytest.raises(DescriptionError, match=r"x.toml, line 1, name: .*; give some text, above the first \[table\]"):
        parse(PLAIN.replace('name = "tag"\n', "", 1), "x.toml")


@pytest.mark.parametrize(
    "filling", ["#\n", "\n", "a{}=1\n", "[t{}]\n", "[[t]]\n", "x{}=[1,\n2]\n", "s{}='''\n'''\n"], ids=repr
)
def test_the_line_of_a_key_is_found_in_time_that_grows_with_the_text(filling: str) -> None:
    """The longest description that is read, with the fault at its end; trying line by line took half a minute."""
    n = MOST_BYTES // len(filling.format(1000))
    text = "".join(filling.format(k) for k in range(n)) + "[last]\nkey = 1\n"
    began = perf_counter()
    assert line_of(text, ("last", "key")) == text.count("\n")
    assert perf_counter() - began < 2.0


def test_the_line_of_one_of_very_many_elements_is_found_as_soon() -> None:
    text = "key = [\n" + "'''\n''',\n" * (MOST_BYTES // 10) + "]\n"
    began = perf_counter()
    assert line_of(text, ("key", 1000)) == 2002
    assert perf_counter() - began < 2.0


def test_the_line_of_a_key_in_tables_of_an_array() -> None:
    text = "[[a]]\nx = 1\n[a.b]\ny = 1\n[[a.c]]\nz = 1\n[[a]]\nx = [\n  ['#'],\n  2]\n[[a.c]]\n[[a.c]]\nz.w = 1\n"
    read_toml(text)
    lines = {("a",): 1, ("a", 0, "x"): 2, ("a", 0, "b", "y"): 4, ("a", 0, "c", 0, "z"): 6, ("a", 1): 7}
    lines |= {("a", 1, "x", 0): 9, ("a", 1, "x", 1): 10, ("a", 1, "c", 1): 12, ("a", 1, "c", 1, "z", "w"): 13}
    assert {path: line_of(text, path) for path in lines} == lines


def test_a_file_that_cannot_be_read_says_why(tmp_path: Path) -> None:
    path = tmp_path / "x.toml"
    with pytest.raises(DescriptionError, match="no such file"):
        read_description(path)
    with pytest.raises(DescriptionError, match="cannot be read"):
        read_description(tmp_path)
    path.write_bytes(b"\xff\xfe")
    with pytest.raises(DescriptionError, match="is no text"):
        read_description(path)
    path.write_text("#" * (MOST_BYTES + 1))
    with pytest.raises(DescriptionError, match="longer than"):
        read_description(path)
    path.write_text(PLAIN)
    assert read_description(path).name == "tag"


def test_files_of_other_editors_are_read_as_well(tmp_path: Path) -> None:
    """A byte order mark, line ends of two characters, and characters that only Unicode takes for line ends."""
    path = tmp_path / "x.toml"
    path.write_bytes(b"\xef\xbb\xbf" + PLAIN.replace("\n", "\r\n").encode())
    assert read_description(path).name == "tag"
    path.write_text(PLAIN.replace('name = "tag"', 'name = "t\u2028g"', 1).replace("scale = 1", "scale = 'x'"))
    with pytest.raises(DescriptionError, match=f"line {PLAIN[: PLAIN.index('scale')].count(chr(10)) + 1}, force.scale"):
        read_description(path)


@given(st.text(max_size=200))
def test_any_text_is_a_description_or_is_refused(text: str) -> None:
    with pytest.raises(DescriptionError):
        parse(text)


@given(st.data())
def test_a_description_cut_or_changed_anywhere_is_read_or_refused(data: st.DataObject) -> None:
    at = data.draw(st.integers(0, len(PLAIN)))
    more = data.draw(st.text(st.sampled_from("[]{}'\"=.\n 019ax"), max_size=4))
    with suppress(DescriptionError):  # and nothing else
        parse(PLAIN[:at] + more + PLAIN[at + data.draw(st.integers(0, 3)) :])


@given(
    st.lists(
        st.sampled_from(["# c", "", "x = 1", "y = [1,\n  2,\n  3]", 's = """\nz = 1\n"""', "[t]\nz = 2"]), max_size=9
    )
)
def test_the_line_of_a_key_is_where_it_is_written(parts: list[str]) -> None:
    """Against counting: each part occurs once at most, and the key is put after them."""
    parts = [part for n, part in enumerate(parts) if not part or part[0] == "#" or part not in parts[:n]]
    text = "\n".join([*parts, "[last]", "key = [ # one", "  1,", "  2]", ""])
    read_toml(text)
    above = text.split("[last]")[0].count("\n")
    assert line_of(text, ("last",)) == above + 1
    assert line_of(text, ("last", "key")) == above + 2
    assert line_of(text, ("last", "key", 1)) == above + 4
    assert line_of(text, ("last", "missing")) == above + 1


def test_the_information_of_the_wire_format_is_no_description() -> None:
    assert not is_description(bytes(Info(boot_id=1, rate_hz=100.0, axes=3, force_g_per_count=0.001)))
    assert not is_description(b"")
    assert not is_description(b"\x02\x21")  # a later version of the wire format
    assert is_description(b"\n# a comment\n")
    assert is_description(PLAIN.encode())


def fitted(text: str, payload: bytes, n: int = 200) -> None:
    fit, assembler = Fit(), Assembler(SENSOR)
    assembler.push(Arrival(SENSOR, 0.0, Channel.INFO, text.encode()))
    for k in range(n):
        fit.look(assembler, assembler.push(Arrival(SENSOR, 0.05 * (k + 1), Channel.DATA, payload)))


def test_a_sensor_that_sends_something_else_is_told_early() -> None:
    still = struct.pack("<15h", *[0, 0, 1000] * 5)
    fitted(PLAIN, still)
    with pytest.raises(DescriptionError, match="None of the first 100 notifications"):
        fitted(PLAIN, b"\x00" * 7)
    with pytest.raises(DescriptionError, match=r"reads 1e\+03 g as a rule"):
        fitted(PLAIN.replace("'mg'", "'g'").replace("scale = 1\n", "scale = 1\nrange = 1000\n"), still)
    with pytest.raises(DescriptionError, match="reads 0 g as a rule"):
        fitted(PLAIN, b"\x00" * 30)
