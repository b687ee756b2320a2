"""`firmware_notes/packet.md` is the specification; its tables and vectors are held against the codec, both ways.

The tables are read here into `struct` formats of their own, so that a vector is checked three ways: hex against the
table, hex against the codec's reading, and the codec's writing against hex.
"""

import re
import struct
import tomllib
from pathlib import Path

import numpy as np
import pytest

from sensor import protocol
from sensor.protocol import (
    Info,
    InfoFlags,
    Layout,
    Marked,
    Packet,
    PacketFlags,
    ProtocolError,
    decode,
    decode_command,
    encode,
    encode_command,
    layout_for,
    max_samples,
    unwrap,
)

TEXT = (Path(__file__).parents[2] / "firmware_notes" / "packet.md").read_text(encoding="utf-8")
VECTORS = tomllib.loads(re.findall(r"```toml\n(.*?)```", TEXT, re.DOTALL)[0])
CODES = {"u8": "B", "u16": "H", "u32": "I", "f32": "f"}
SECTIONS = {
    "information": "Information",
    "small": "Packet, small layout",
    "large": "Packet, large layout",
    "mark": "Mark",
}
READERS = {"packet": decode, "information": Info.from_bytes, "command": decode_command, "mark": Marked.from_bytes}


def tables(title: str) -> list[list[list[str]]]:
    """Tables of a section, each a list of rows of cells, without head and rule."""
    section = re.split(r"\n#+ ", TEXT.split(f"# {title}\n", 1)[1])[0]
    blocks = re.findall(r"(?:^\|.*\|\n?)+", section, re.MULTILINE)
    return [[[c.strip() for c in row.strip("|").split("|")] for row in b.splitlines()[2:]] for b in blocks]


def by_table(title: str, payload: bytes) -> dict[str, float]:
    """Read the fixed part of `payload` as the table of a section says."""
    rows = [row for row in tables(title)[0] if row[1] in CODES]
    form = struct.Struct("<" + "".join(CODES[row[1]] for row in rows))
    offsets = [struct.calcsize("<" + "".join(CODES[r[1]] for r in rows[:k])) for k in range(len(rows))]
    assert [int(row[0]) for row in rows] == offsets
    return dict(zip((row[2] for row in rows), form.unpack_from(payload), strict=True))


def ids(vector: dict[str, object]) -> str:
    return str(vector.get("why") or vector["hex"])


@pytest.mark.parametrize("vector", VECTORS["information"], ids=ids)
def test_information(vector):
    payload = bytes.fromhex(vector["hex"])
    fields = {k: v for k, v in vector.items() if k != "hex"}
    assert by_table(SECTIONS["information"], payload) == fields
    info = Info(
        version=fields["version"],
        boot_id=fields["boot_id"],
        rate_hz=fields["rate_millihz"] / 1000,
        force_g_per_count=fields["force_g_per_count"],
        turn_deg_s_per_count=fields["turn_deg_s_per_count"],
        axes=6 if fields["bits"] & 0x20 else 3,
        ring_samples=fields["ring_samples"],
        firmware=(fields["firmware_major"], fields["firmware_minor"]),
        flags=InfoFlags(fields["bits"] & 0x03),
    )
    assert Info.from_bytes(payload) == info
    assert bytes(info) == payload
    assert Info.from_bytes(payload + b"later") == info
    assert len(payload) == 22


@pytest.mark.parametrize("vector", VECTORS["packet"], ids=ids)
def test_packet(vector):
    payload, layout = bytes.fromhex(vector["hex"]), Layout[vector["layout"].upper()]
    fields = {k: v for k, v in vector.items() if k not in ("hex", "layout", "counts")}
    assert by_table(SECTIONS[vector["layout"]], payload) == fields
    rows = tables(SECTIONS[vector["layout"]])[0]
    assert int(rows[-1][0]) == layout.header_bytes
    packet = Packet(
        boot_tag=fields["boot_tag"],
        first_index=fields["first_index"],
        device_us=fields["ticks"] * (64 if layout is Layout.SMALL else 1),
        counts=np.array(vector["counts"], np.int16),
        flags=PacketFlags(fields["head"] & 0x0F),
        wrap_us=65536 * 64 if layout is Layout.SMALL else 2**32,
    )
    assert decode(payload) == packet
    assert encode(packet, layout) == payload


@pytest.mark.parametrize("vector", VECTORS["command"], ids=ids)
def test_command(vector):
    command = getattr(protocol, vector["name"])(*vector["arguments"])
    opcodes = {row[0]: int(row[1]) for row in tables("Control")[0]}
    assert bytes.fromhex(vector["hex"])[0] == opcodes[vector["name"]]
    assert decode_command(bytes.fromhex(vector["hex"])) == command
    assert encode_command(command) == bytes.fromhex(vector["hex"])


def test_every_command_of_the_table_has_a_vector():
    assert {row[0] for row in tables("Control")[0]} == {v["name"] for v in VECTORS["command"]}


@pytest.mark.parametrize("vector", VECTORS["mark"], ids=ids)
def test_mark(vector):
    payload = bytes.fromhex(vector["hex"])
    fields = {k: v for k, v in vector.items() if k != "hex"}
    assert by_table(SECTIONS["mark"], payload) == fields
    marked = Marked(**fields)
    assert Marked.from_bytes(payload) == marked
    assert bytes(marked) == payload


@pytest.mark.parametrize("vector", VECTORS["refused"], ids=ids)
def test_refused(vector):
    with pytest.raises(ProtocolError):
        READERS[vector["reads"]](bytes.fromhex(vector["hex"]))


def test_flags_table():
    assert {row[1]: int(row[0], 16) for row in tables("Flags")[0]} == {f.name: f.value for f in PacketFlags if f.value}


def test_samples_by_mtu():
    rows = tables("Packet, large layout")[1]
    assert len(rows) == 6
    for mtu, layout, six, three in rows:
        assert layout_for(int(mtu)) is Layout[layout.upper()]
        assert (max_samples(int(mtu), 6), max_samples(int(mtu), 3)) == (int(six), int(three))


def test_extending_what_wraps():
    rows = tables("Extending what wraps")[0]
    assert len(rows) == 5
    for value, modulus, expected, extended in rows:
        assert unwrap(int(value), int(modulus), int(expected)) == int(extended)
