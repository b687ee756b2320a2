"""The reference firmware's codec against the vectors of packet.md, byte for byte, on CPython and on MicroPython."""

import json
import re
import tomllib

import pytest
from interpreters import BOTH, NOTES, run

from sensor.protocol import SERVICE_UUID, Info, InfoFlags, layout_for, max_samples

VECTORS = tomllib.loads(re.findall(r"```toml\n(.*?)```", (NOTES / "packet.md").read_text("utf-8"), re.DOTALL)[0])
OPCODES = {"Start": 1, "Stop": 2, "SetRate": 3, "SetRange": 4, "Resend": 5, "Mark": 6}
LAYOUTS = {"small": 0, "large": 1}
MTUS = (23, 63, 64, 185, 247, 512, 517)


def hexed(text):
    return {"hex": bytes.fromhex(text).hex()}


@pytest.fixture(params=BOTH)
def results(request, tmp_path):
    """What the functions of `packet` return, called on one of the interpreters."""

    def ask(calls):
        file = tmp_path / "calls.json"
        file.write_text(json.dumps([["packet", *one] for one in calls]))
        return run(request.param, "call.py", str(file), tmp_path)

    return ask


def header_call(vector):
    tick_us = 64 if vector["layout"] == "small" else 1
    flags, axes = vector["head"] & 0x0F, len(vector["counts"][0])
    # A full boot id, and a time beyond the wrap: the codec must cut both.
    boot_id, wraps = vector["boot_tag"] + 0xABCDEF00, tick_us * (65536 if tick_us == 64 else 2**32)
    device_us = vector["ticks"] * tick_us + 3 * wraps + tick_us // 2
    room = {"room": 512}
    return ["put_header", [room, LAYOUTS[vector["layout"]], flags, boot_id, vector["first_index"], device_us, axes]]


def test_packets(results):
    got = results([header_call(vector) for vector in VECTORS["packet"]])
    for vector, (length, out) in zip(VECTORS["packet"], got, strict=True):
        assert length == {"small": 8, "large": 10}[vector["layout"]]
        payload = bytes.fromhex(vector["hex"])
        assert out["hex"][: 2 * length] == payload[:length].hex()
        # The rest of a packet is the samples as they lie in the ring.
        counts = b"".join(count.to_bytes(2, "little", signed=True) for sample in vector["counts"] for count in sample)
        assert counts == payload[length:]


def test_saturation(results):
    packets = [vector for vector in VECTORS["packet"] if vector["layout"] == "small"]
    got = results([["saturated", [hexed(vector["hex"][3 * 8 :])]] for vector in packets])
    assert got == [True, True]
    assert results([["saturated", [hexed("ff 7e 01 80")]]]) == [False]


def test_information(results):
    def ranges(vector):
        return [round(vector[key] * 32768) for key in ("force_g_per_count", "turn_deg_s_per_count")]

    firmware = [[vector["firmware_major"], vector["firmware_minor"]] for vector in VECTORS["information"]]
    calls = [
        ["information", [v["boot_id"], v["rate_millihz"], ranges(v), v["ring_samples"], v["bits"], f]]
        for v, f in zip(VECTORS["information"], firmware, strict=True)
    ]
    assert results(calls) == [hexed(vector["hex"]) for vector in VECTORS["information"]]


def test_ranges_are_exact(results):
    every = [(force, turn) for force in (2, 4, 8, 16) for turn in (125, 250, 500, 1000, 2000)]
    got = results([["information", [1, 100000, list(pair), 70000, 0x21, [0, 1]]] for pair in every])
    for (force, turn), value in zip(every, got, strict=True):
        info = Info.from_bytes(bytes.fromhex(value["hex"]))
        assert (info.force_g_per_count, info.turn_deg_s_per_count) == (force / 32768, turn / 32768)
        assert (info.ring_samples, info.axes, info.flags) == (65535, 6, InfoFlags.CAN_RESEND)


def test_commands(results):
    def arguments(vector):
        return [round(vector["arguments"][0] * 1000)] if vector["name"] == "SetRate" else vector["arguments"]

    got = results([["command", [hexed(vector["hex"])]] for vector in VECTORS["command"]])
    assert got == [[OPCODES[vector["name"]], *arguments(vector)] for vector in VECTORS["command"]]


def test_refused_commands(results):
    refused = [vector["hex"] for vector in VECTORS["refused"] if vector["reads"] == "command"]
    assert len(refused) == 2
    assert results([["command", [hexed(text)]] for text in [*refused, ""]]) == [None, None, None]


def test_marks(results):
    got = results([["mark", [v["token"], v["next_index"] + 2**32, v["device_us"]]] for v in VECTORS["mark"]])
    assert got == [hexed(vector["hex"]) for vector in VECTORS["mark"]]


def test_samples_by_mtu(results):
    got = results([["max_samples", [mtu, axes]] for mtu in MTUS for axes in (3, 6)])
    assert got == [max_samples(mtu, axes) for mtu in MTUS for axes in (3, 6)]
    assert results([["layout_for", [mtu]] for mtu in MTUS]) == [int(layout_for(mtu)) for mtu in MTUS]


def test_advertising(results):
    # Core Specification Supplement, Part A: 1.3 flags, 1.1 complete list of 128-bit UUIDs (least significant byte
    # first), 1.2 name, 1.9 interval range in steps of 1.25 ms; Assigned Numbers 2.3: types 0x01, 0x07, 0x09, 0x12.
    data, response = results([["advertisement", []], ["scan_response", ["rung", [15, 30]]]])
    uuid = bytes.fromhex(SERVICE_UUID.replace("-", ""))[::-1]
    assert bytes.fromhex(data["hex"]) == b"\x02\x01\x06" + b"\x11\x07" + uuid
    assert bytes.fromhex(response["hex"]) == b"\x05\x12\x0c\x00\x18\x00" + b"\x05\x09rung"
    (long,) = results([["scan_response", ["a name that is much too long for it", [15, 30]]]])
    assert len(bytes.fromhex(long["hex"])) == 31
