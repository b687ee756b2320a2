"""`firmware_notes/own_sensor.md`: the example is loaded, its vectors are read, its mistakes are made."""

from __future__ import annotations

import inspect
import re
import tomllib
from pathlib import Path

import numpy as np
import pytest

from sensor.assembly import Assembler, Block
from sensor.own import loading
from sensor.own.description import Write
from sensor.own.loading import DescriptionError, parse
from sensor.protocol import ProtocolError
from sensor.source import Arrival, Channel

TEXT = (Path(__file__).parents[3] / "firmware_notes" / "own_sensor.md").read_text(encoding="utf-8")
EXAMPLE, VECTORS_TEXT = re.findall(r"```toml\n(.*?)```", TEXT, re.DOTALL)
VECTORS = tomllib.loads(VECTORS_TEXT)
G = 9.80665  # m/s², exact: 3rd CGPM (1901)


def rows(title: str) -> list[list[str]]:
    section = TEXT.split(f"\n## {title}\n", 1)[1].split("\n## ")[0]
    table = re.findall(r"(?:^\|.*\|\n?)+", section, re.MULTILINE)[0]
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in table.splitlines()[2:]]


def test_the_example_is_what_the_text_says_of_it() -> None:
    sensor = parse(EXAMPLE)
    assert (sensor.name, sensor.rate_hz, sensor.layout.axes, sensor.layout.samples) == ("Fellbrook Tag", 104.0, 6, 3)
    assert sensor.per_sequence == 3
    assert sensor.battery == "00002a19-0000-1000-8000-00805f9b34fb"  # Bluetooth SIG assigned number 0x2A19
    assert sensor.start == (Write("4a7c0003-52e1-4b19-9a51-0c83c1d9e001", b"\x01\x68", response=True),)
    assert bytes(sensor).decode() == EXAMPLE


@pytest.mark.parametrize("vector", VECTORS["notification"], ids=lambda vector: str(vector["sequence"]))
def test_a_notification_is_read_as_the_vector_says(vector: dict[str, object]) -> None:
    payload = bytes.fromhex(str(vector["hex"]))
    reading = parse(EXAMPLE).layout.decode(payload)
    assert (reading.sequence, reading.ticks) == (vector["sequence"], vector["time"])
    assembler = Assembler("tag")
    assembler.push(Arrival("tag", 0.0, Channel.INFO, EXAMPLE.encode()))
    (block,) = assembler.push(Arrival("tag", 1.0, Channel.DATA, payload))
    assert isinstance(block, Block)
    np.testing.assert_allclose(block.force_m_s2 / G, vector["force_g"], rtol=1e-6, atol=1e-9)
    np.testing.assert_allclose(np.degrees(block.rate_rad_s), vector["turn_deg_s"], rtol=1e-6, atol=1e-9)
    assert block.saturated is vector["saturated"]


@pytest.mark.parametrize("vector", VECTORS["refused"], ids=lambda vector: vector["why"])
def test_what_is_no_notification_is_refused(vector: dict[str, str]) -> None:
    with pytest.raises(ProtocolError):
        parse(EXAMPLE).layout.decode(bytes.fromhex(vector["hex"]))


@pytest.mark.parametrize("row", rows("Mistakes, and what is said of them"), ids=lambda row: row[1] or "nothing")
def test_a_mistake_is_answered_by_file_line_key_and_what_is_allowed(row: list[str]) -> None:
    right, wrong, answer = row
    assert right.strip("`") in EXAMPLE
    with pytest.raises(DescriptionError) as told:
        parse(EXAMPLE.replace(right.strip("`"), wrong.strip("`")), "tag.toml")
    assert str(told.value) == f"tag.toml, {answer}"


def test_the_keys_of_the_table_are_those_that_are_read() -> None:
    read = set(
        re.findall(
            r'\.(?:choice|text|uuid|address|number|octets|truth|texts|whole)\("(\w+)"', inspect.getsource(loading)
        )
    )
    read |= {"header", "sample", "trailer"}  # asked for by name
    named = {row[0].split(".")[-1] for row in rows("Keys")}
    assert named == read
