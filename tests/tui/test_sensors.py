"""What is known of each sensor survives: exact, never half written, never overwritten when it cannot be read."""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from sensor.calibrate import Belief, class_belief, learn
from sensor.calibration import Calibration, Correction
from sensor.postures import Seen
from tui.home import Home
from tui.sensors.sensors import How, Known, SensorFile, SensorsError, calibration_of, refine_known
from tui.words.sensor_words import known_lines, learnt_lines

G = 9.80665  # m/s², exact: 3rd CGPM (1901)
POSTURES = G * np.array([[0.0, 0.0, 1.01], [0.0, 0.6, 0.8], [0.6, 0.0, 0.8]])


def known(postures: np.ndarray = POSTURES) -> Known:
    belief = learn(postures, class_belief())
    return Known(belief=belief, how=How.FREE, postures=len(postures), learnt_utc_us=1_772_440_000_000_000)


@pytest.fixture
def file(tmp_path: Path) -> SensorFile:
    return SensorFile(Home(tmp_path).sensors)


def test_before_anything_was_learnt_nothing_is_known(file: SensorFile) -> None:
    assert file.read() == {}
    assert calibration_of(file.read(), "F2:52") == Calibration()


def test_what_was_kept_comes_back_to_the_last_digit(file: SensorFile) -> None:
    file.keep("F2:52", known())
    assert file.read() == {"F2:52": known()}
    assert calibration_of(file.read(), "F2:52") == Calibration(force=known().belief.correction)


def test_each_sensor_has_its_own(file: SensorFile) -> None:
    other = known(POSTURES * 1.01)
    file.keep("one", known())
    file.keep("two", other)
    file.keep("one", other)
    assert file.read() == {"one": other, "two": other}


def _edited(change: Callable[[Any], object]) -> Callable[[str], str]:
    def edit(text: str) -> str:
        document = json.loads(text)
        change(document)
        return json.dumps(document)

    return edit


BROKEN = {
    "empty": lambda _: "",
    "cut short": lambda text: text[: len(text) // 2],
    "no JSON": lambda _: "bias = 3",
    "a list": lambda _: "[]",
    "nothing in it": lambda _: "{}",
    "no number": _edited(lambda d: d["sensors"]["F2:52"]["belief"]["correction"].update(bias=["a", 0, 0])),
    "two axes": _edited(lambda d: d["sensors"]["F2:52"]["belief"]["correction"].update(bias=[0, 0])),
    "not finite": lambda text: text.replace('"bias": [', '"bias": [NaN,', 1).replace(",\n      ", "\n      ", 1),
    "infinite": _edited(lambda d: d["sensors"]["F2:52"]["belief"]["correction"].update(bias=[float("inf"), 0, 0])),
    "gain of none": _edited(lambda d: d["sensors"]["F2:52"]["belief"]["correction"].update(gain=[0, 1, 1])),
    "a row short": _edited(lambda d: d["sensors"]["F2:52"]["belief"]["covariance"].pop()),
    "below zero": _edited(lambda d: d["sensors"]["F2:52"]["belief"]["covariance"][0].__setitem__(0, -1.0)),
    "without its date": _edited(lambda d: d["sensors"]["F2:52"].pop("learnt_utc_us")),
    "of nothing known": _edited(lambda d: d["sensors"]["F2:52"].update(how="guessed")),
    "later format": _edited(lambda d: d.update(format="rungwise.sensors/9", sensors=[])),
}


@pytest.mark.parametrize("how", BROKEN)
def test_a_broken_file_is_named_and_left_as_it_is(file: SensorFile, how: str) -> None:
    file.keep("F2:52", known())
    file.path.write_text(BROKEN[how](file.path.read_text()))
    before = file.path.read_bytes()
    with pytest.raises(SensorsError, match=r"sensors\.json") as told:
        file.read()
    assert "update rungwise" in str(told.value) if how == "later format" else "Put a copy of it back" in str(told.value)
    with pytest.raises(SensorsError):
        file.keep("another", known())
    assert file.path.read_bytes() == before


def test_an_end_while_writing_leaves_the_old_one(file: SensorFile, monkeypatch: pytest.MonkeyPatch) -> None:
    file.keep("F2:52", known())

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(SensorsError, match="free some space"):
        file.keep("F2:52", known(POSTURES * 1.01))
    assert file.read() == {"F2:52": known()}
    assert [one.name for one in file.path.parent.iterdir()] == ["sensors.json"]


def test_a_session_of_one_posture_writes_nothing(file: SensorFile) -> None:
    assert refine_known(file, "F2:52", Seen(POSTURES[:1], np.array([9])), 0) is None
    assert not file.path.exists()


def test_a_session_adds_to_what_the_file_holds(file: SensorFile) -> None:
    file.keep("F2:52", known())
    now = refine_known(file, "F2:52", Seen(POSTURES, np.array([9, 9, 9])), 5)
    assert now is not None
    assert file.read() == {"F2:52": now}
    assert (now.how, now.postures, now.learnt_utc_us) == (How.SESSION, 3, 5)


def test_a_sensor_that_reads_otherwise_than_known_is_told_and_nothing_is_lost(file: SensorFile) -> None:
    axes = G * np.vstack([np.eye(3), -np.eye(3)])
    file.keep("F2:52", known(axes))
    fallen = Seen(POSTURES + np.array([0.0, 0.0, 0.2 * G]), np.array([9, 9, 9]))
    assert refine_known(file, "F2:52", fallen, 5) is None
    assert file.read() == {"F2:52": known(axes)}
    (line,) = learnt_lines(fallen, known(axes).belief.correction, None)
    assert "unlike before" in line
    assert "rungwise sensor --calibrate" in line


def test_bias_and_gain_are_shown_with_their_sigma() -> None:
    rows = tuple(tuple(row) for row in np.diag([(0.003 * G) ** 2] * 3 + [0.002**2] * 3))
    belief = Belief(Correction((0.012 * G, 0.0, -0.1 * G), (1.01, 1.0, 0.98)), rows)
    head, x, _, z = known_lines("F2:52", Known(belief=belief, how=How.SIDES, postures=6, learnt_utc_us=0))
    assert head.startswith("F2:52: from six sides, 6 postures, 19")
    assert " ".join(x.split()) == "x bias +12.0 ± 3.0 mg gain +1.00 ± 0.20 %"
    assert " ".join(z.split()) == "z bias -100.0 ± 3.0 mg gain -2.00 ± 0.20 %"
