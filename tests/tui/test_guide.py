"""The guide follows whoever turns the sensor: any order, twice the same, crooked, in the hand."""

from __future__ import annotations

import numpy as np
import pytest

from sensor.calibrate import class_belief, learn
from sensor.postures import ON_A_TABLE, Postures
from tui.sensors.guide import Guide, Word, is_sure, side_of, sides_of

G = 9.80665  # m/s², exact: 3rd CGPM (1901)
X, Y, Z = G * np.eye(3)
RATE_HZ = 50


class Person:
    """Holds and turns a sensor, and hears what the guide says."""

    def __init__(self, *, free: bool = False) -> None:
        self.guide, self.postures = Guide(free=free), Postures(ON_A_TABLE)
        self._at_s = 0.0
        self._rng = np.random.default_rng(3)

    def lays(self, posture: np.ndarray, seconds: float = 3.0) -> list[Word]:
        """Lay it down, and take it up again after `seconds`."""
        n = round(seconds * RATE_HZ)
        lying = posture + self._rng.normal(0, 0.01, (n, 3))
        hand = posture + self._rng.normal(0, 3.0, (RATE_HZ, 3))
        return self._show(np.concatenate([lying, hand]))

    def _show(self, force: np.ndarray) -> list[Word]:
        said = []
        for start in range(0, len(force), 5):
            packet = force[start : start + 5]
            self.postures.push(self._at_s + np.arange(len(packet)) / RATE_HZ, packet)
            self._at_s += len(packet) / RATE_HZ
            said.append(self.guide.look(self.postures))
        return [word for word in said if word is not None]


def test_six_sides_in_any_order_each_told_once() -> None:
    person = Person()
    order = [Z, -X, Y, -Z, X, -Y]
    for number, side in enumerate(order, start=1):
        assert not person.guide.finished
        assert person.lays(side) == [Word(f"{number} of 6 sides", done=True)]
    assert person.guide.finished


def test_a_side_that_is_taken_is_told_and_not_counted() -> None:
    person = Person()
    person.lays(Z)
    assert person.lays(Z, 8.0) == [Word("this side is taken: turn it onto another")]
    assert person.lays(X) == [Word("2 of 6 sides", done=True)]


def test_leaving_it_where_it_is_reminds_once() -> None:
    said = Person().lays(Z, 20.0)
    assert said == [Word("1 of 6 sides", done=True), Word("this side is taken: turn it onto another")]


def test_leaning_between_two_sides_is_told() -> None:
    assert Person().lays((X + Z) / np.sqrt(2), 8.0) == [Word("it leans: lay it flat on one side")]


def test_two_seconds_are_enough_and_one_is_not() -> None:
    assert Person().lays(Z, 1.3) == []
    assert len(Person().lays(Z, 2.6)) == 1


def test_free_postures_go_on_until_they_are_enough() -> None:
    """Seven around one axis tell nothing of it; three more across do."""
    person = Person(free=True)
    around = np.radians(np.arange(7) * 50)
    for angle in around:
        person.lays(X * np.cos(angle) + Y * np.sin(angle))
    assert not person.guide.finished
    for posture in (Z, -Z, (Z + X) / np.sqrt(2), (-Z + Y) / np.sqrt(2)):
        said = person.lays(posture)
        if person.guide.finished:
            break
    assert person.guide.finished
    assert said[0].text.startswith(f"posture {len(person.postures.seen())}: bias known to ")


def test_a_free_posture_that_is_taken_is_told() -> None:
    said = Person(free=True).lays(Z, 12.0)
    assert [word.text for word in said][1:] == ["this one is taken: turn it further"]


@pytest.mark.parametrize(("reading", "side"), [(X, 1), (-X, -1), (1.1 * Y, 2), (-Z, -3), ((X + Y) / np.sqrt(2), 0)])
def test_which_side_is_up(reading: np.ndarray, side: int) -> None:
    assert side_of(reading) == side


def test_sides_are_told_apart_from_leaning() -> None:
    assert sides_of(np.array([X, -Y, (X + Z) / np.sqrt(2)])) == {1, -2}
    assert sides_of(np.empty((0, 3))) == set()


def test_six_sides_are_sure_and_three_are_not() -> None:
    assert is_sure(learn(np.array([X, -X, Y, -Y, Z, -Z]), class_belief()))
    assert not is_sure(learn(np.array([X, Y, Z]), class_belief()))
