"""`firmware_notes/power.md`: its tables by the script, and the script by the calculation by hand in the document."""

import math
import re

import pytest
from interpreters import NOTES

from firmware_notes.power import CELLS_MAH, NRF52840, deep_sleep_ua, life_days, life_h, states

TEXT = (NOTES / "power.md").read_text(encoding="utf-8")
ROWS = {
    row[0]: [float(cell) for cell in row[1:]]
    for row in re.findall(r"^\| ([^|]+?) \| ([\d.]+) \| (\d+) \| (\d+) \|$", TEXT, re.MULTILINE)
}
BY_HAND = re.findall(r"```\n(.*?)```", TEXT, re.DOTALL)[0].strip().splitlines()


def test_table_of_states():
    assert ROWS.keys() == states().keys()
    for state, ua in states().items():
        told_ua, *told_h = ROWS[state]
        assert told_ua == pytest.approx(ua, abs=0.51 if ua > 100 else 0.051)
        assert told_h == [pytest.approx(life_h(cell, ua), abs=0.51) for cell in CELLS_MAH.values()]


def test_by_hand():
    """Each line as it stands, the sum of the lines, and then the script."""
    total = 0.0
    for line in BY_HAND[:-1]:
        told = float(line.split()[-1])
        if "=" in line:
            factors = re.findall(r"[\d.]+", line.split("=")[0])
            assert len(factors) == 4
            rate, us, ma, scale = map(float, factors)
            assert scale == 1000
            assert told == pytest.approx(rate * us * ma / scale, abs=0.06)
        total += told
    assert len(BY_HAND) == 8
    assert float(BY_HAND[-1].split()[-1]) == pytest.approx(total, abs=0.15)
    assert states()["streaming 100 Hz × 6 axes"] == pytest.approx(total, abs=0.3)
    assert life_h(400 * 0.85, total) == pytest.approx(284, abs=0.5)
    assert "400 mAh × 0.85 / 1.197 mA = 284 h" in TEXT


def test_days_with_a_session_a_day():
    streaming = states()["streaming 100 Hz × 6 axes"]
    told = [int(days) for days in re.findall(r"(\d+) days", TEXT)]
    rests = (deep_sleep_ua(NRF52840), states()["advertising every 1022.5 ms, chip asleep"])
    assert told == [round(life_days(340, streaming, rest)) for rest in rests]
    # By hand: 340 mAh / (1.197 + 23 × 0.0034) mAh a day.
    assert told[0] == pytest.approx(340 / (1.197 + 23 * 0.0034), abs=0.5)


def test_advertising_by_hand():
    # Three PDUs of 10 + 27 bytes, 250 µs of listening after each, every 105 ms.
    charge = 400 * 3.3 + 3 * 37 * 8 * 8.1 + 3 * 250 * 8.6
    assert states()["advertising every 100 ms, sampling"] == pytest.approx(charge / 105 + 3.16 + 925 + 19.8, abs=0.1)


def test_more_work_costs_more():
    """No state is cheaper than one that does less."""
    rising = ["deep sleep", "advertising every 1022.5 ms, chip asleep", "connected, sampling, not streaming"]
    rising += [f"streaming {rate} Hz × 6 axes" for rate in (100, 200, 400)]
    currents = [states()[state] for state in rising]
    assert currents == sorted(currents)


def test_the_reference_board_by_hand():
    assert "26.8 + 0.9 = 27.7 mA" in TEXT
    assert math.floor(340 / 27.7) == 12
    assert "last 12 h" in TEXT.replace("\n", " ")
