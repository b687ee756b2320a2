"""A described sensor through the assembler: each sample once, in its place, whatever the sensor tells of that."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tags import PERIOD_S, RATE_HZ, SENSOR, N, Tag, true_counts

from sensor.assembly import Assembler, Block, Item, Lost, Restart
from sensor.source import Arrival, Channel

G = 9.80665  # m/s², exact: 3rd CGPM (1901)
TELLING = [Tag("B", "H"), Tag("H", "", "samples"), Tag("I", ""), Tag("B", ""), Tag("", "H"), Tag("", "I")]
ALL = [*TELLING, Tag()]
IDS = str


def read(tag: Tag, arrivals: list[Arrival]) -> list[Item]:
    assembler = Assembler(SENSOR)
    items = [item for arrival in [tag.connects(0.0), *arrivals] for item in assembler.push(arrival)]
    items += assembler.finish()
    assert assembler.rejected == 0
    return items


def blocks(items: list[Item]) -> list[Block]:
    return [item for item in items if isinstance(item, Block)]


def counts(items: list[Item]) -> np.ndarray:
    """First axis of every sample in order, back in counts (1 mg)."""
    return np.rint(np.concatenate([block.force_m_s2[:, 0] for block in blocks(items)]) / G * 1000).astype(int)


def times(items: list[Item]) -> np.ndarray:
    t_s = np.concatenate([block.t_s for block in blocks(items)])
    assert (np.diff(t_s) > 0).all()
    return t_s - t_s[0]


def lost(items: list[Item]) -> int:
    return sum(item.end_index - item.first_index for item in items if isinstance(item, Lost))


@pytest.mark.parametrize("tag", ALL, ids=IDS)
def test_a_long_stream_with_wraps_comes_through_whole(tag: Tag) -> None:
    """90 s: a sequence of one byte wraps seven times (256 × 0.05 s), a time of 65.536 s once."""
    numbers = list(range(1800))
    items = read(tag, [tag.sends(number) for number in numbers])
    np.testing.assert_array_equal(counts(items), true_counts(numbers))
    np.testing.assert_allclose(times(items), np.arange(1800 * N) / RATE_HZ, atol=1e-6)
    assert lost(items) == 0


@pytest.mark.parametrize("tag", ALL, ids=IDS)
def test_bursts_after_holes_of_seconds_lose_and_shift_nothing(tag: Tag) -> None:
    """Whatever was taken in a hole comes at its end, a millisecond apart."""
    rng, at_s, sent = np.random.default_rng(3), 0.0, []
    for number in range(1200):
        hole = number % 200 >= 160  # two seconds of each ten
        due_s = (number // 200 * 200 + 200) * PERIOD_S if hole else (number + 1) * PERIOD_S + rng.uniform(0.001, 0.15)
        at_s = max(at_s + 0.001, due_s)
        sent.append(tag.sends(number, at_s))
    items = read(tag, sent)
    np.testing.assert_array_equal(counts(items), true_counts(list(range(1200))))
    np.testing.assert_allclose(times(items), np.arange(1200 * N) / RATE_HZ, atol=1e-6)
    assert lost(items) == 0


@pytest.mark.parametrize("tag", TELLING, ids=IDS)
@settings(max_examples=25, deadline=None)
@given(gone=st.sets(st.integers(100, 390)))
def test_what_is_lost_is_named_where_the_sensor_tells(tag: Tag, gone: set[int]) -> None:
    numbers = [number for number in range(400) if number not in gone]
    items = read(tag, [tag.sends(number) for number in numbers])
    np.testing.assert_array_equal(counts(items), true_counts(numbers))
    assert lost(items) == N * len(gone)
    true_s = np.array([number * N + k for number in numbers for k in range(N)]) / RATE_HZ
    np.testing.assert_allclose(times(items), true_s, atol=1e-6)


@pytest.mark.parametrize("tag", TELLING, ids=IDS)
def test_what_comes_twice_is_given_once(tag: Tag) -> None:
    sent = [tag.sends(number, at_s) for number in range(200) for at_s in [(number + 1) * PERIOD_S] * (1 + number % 3)]
    items = read(tag, sent)
    np.testing.assert_array_equal(counts(items), true_counts(list(range(200))))


@pytest.mark.parametrize("missing", [10, 40, 200])
def test_a_long_loss_is_seen_by_when_the_rest_comes(missing: int) -> None:
    """Without sequence and time: half a second and more that never comes."""
    tag, rng = Tag(), np.random.default_rng(missing)
    numbers = [*range(400), *range(400 + missing, 800 + missing)]
    items = read(tag, [tag.sends(n, (n + 1) * PERIOD_S + rng.uniform(0.001, 0.02)) for n in numbers])
    np.testing.assert_array_equal(counts(items), true_counts(numbers))
    assert lost(items) == pytest.approx(missing * N, abs=3)
    late = times(items)[400 * N :] - (400 + missing) * PERIOD_S - np.arange(400 * N) / RATE_HZ
    np.testing.assert_allclose(late, 0.0, atol=0.03)


def test_a_rate_that_is_wrong_by_as_much_as_is_said_is_no_loss() -> None:
    """5 % slow or fast (`rate_error`), for a minute."""
    tag, rng = Tag(), np.random.default_rng(2)
    for ratio in (0.95, 1.05):
        items = read(tag, [tag.sends(n, ratio * (n + 1) * PERIOD_S + rng.uniform(0.001, 0.15)) for n in range(1200)])
        assert lost(items) == 0
        np.testing.assert_allclose(times(items), np.arange(1200 * N) / RATE_HZ, atol=1e-6)


@pytest.mark.parametrize("tag", ALL, ids=IDS)
@pytest.mark.parametrize("anew", [True, False], ids=["anew", "on"])
def test_a_new_connection_goes_on_where_the_sensor_does(tag: Tag, anew: bool) -> None:
    """The link is away for 7 s. By arrivals alone the gap is known to within their delays."""
    away = 140
    numbers = [*range(300), *range(300 + away, 600 + away)]
    sent = [tag.sends(number, since=300 + away if anew and number >= 300 else 0) for number in numbers]
    sent.insert(300, tag.connects((300 + away) * PERIOD_S))
    items = read(tag, sent)
    np.testing.assert_array_equal(counts(items), true_counts(numbers))
    expected_s = np.array([number * N + k for number in numbers for k in range(N)]) / RATE_HZ
    np.testing.assert_allclose(times(items), expected_s, atol=0.06)
    restarts = [item for item in items if isinstance(item, Restart)]
    tells = bool(tag.sequence or tag.time)
    assert len(restarts) == (anew or not tells)


@settings(max_examples=60, deadline=None)
@given(
    text=st.one_of(st.text(max_size=300), st.sampled_from([Tag("B", "H").text, Tag().text])),
    payloads=st.lists(st.tuples(st.binary(max_size=60), st.floats(0, 1e4)), max_size=30),
)
def test_whatever_an_information_and_its_data_hold_nothing_breaks(
    text: str, payloads: list[tuple[bytes, float]]
) -> None:
    assembler = Assembler(SENSOR)
    arrivals = [Arrival(SENSOR, 0.0, Channel.INFO, text.encode("utf-8", "replace"))]
    arrivals += [Arrival(SENSOR, at_s, Channel.DATA, payload) for payload, at_s in payloads]
    items = [item for arrival in arrivals for item in assembler.push(arrival)] + assembler.finish()
    t_s = [t for block in blocks(items) for t in block.t_s.tolist()]
    assert t_s == sorted(set(t_s))


@given(numbers=st.lists(st.integers(0, 2**40), max_size=60), tag=st.sampled_from(ALL))
@settings(max_examples=60, deadline=None)
def test_a_sensor_that_counts_as_it_likes_keeps_time_rising(numbers: list[int], tag: Tag) -> None:
    sent = [tag.sends(number, 0.05 * (k + 1)) for k, number in enumerate(numbers)]
    items = read(tag, sent)
    if blocks(items):
        times(items)
    assert sum(len(block) for block in blocks(items)) <= N * len(numbers)
