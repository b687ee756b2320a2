"""The order of turns: nobody is lost, nobody doubled, and each key does what it says. Properties by definition."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from tui.training.turns import Turns

NAMES = ("Mara", "Jonas", "Ines", "Tom", "Lea")
ORDERS = st.permutations(NAMES).flatmap(lambda all_: st.integers(1, len(NAMES)).map(lambda n: Turns(tuple(all_[:n]))))


@given(ORDERS)
def test_in_a_round_everybody_is_first_once_and_the_order_is_as_it_was(turns: Turns) -> None:
    firsts, now = [], turns
    for _ in turns.order:
        firsts.append(now.first)
        now = now.passed(again=True)
    assert tuple(firsts) == turns.order
    assert now == turns


@given(ORDERS)
def test_who_has_done_all_does_not_come_again_and_the_others_keep_their_order(turns: Turns) -> None:
    assert turns.passed(again=False) == turns.without(turns.first)
    assert turns.passed(again=False).order == turns.order[1:]


@given(ORDERS)
def test_one_later_is_one_place_and_taken_back_by_itself(turns: Turns) -> None:
    later = turns.one_later()
    assert later.one_later() == turns
    assert sorted(later.order) == sorted(turns.order)
    assert later.order.index(turns.first) == min(1, len(turns.order) - 1)


@given(ORDERS, st.sampled_from(NAMES))
def test_who_is_called_is_first_and_the_others_keep_their_order(turns: Turns, name: str) -> None:
    called = turns.called(name)
    assert called.first == name
    assert called.without(name) == turns.without(name)


@given(ORDERS, st.sampled_from(NAMES))
def test_who_goes_is_gone_and_who_joins_is_last_once(turns: Turns, name: str) -> None:
    assert name not in turns.without(name).order
    joined = turns.without(name).joined(name)
    assert joined.order[-1] == name
    assert joined.joined(name) == joined


def test_with_nobody_left_nobody_is_first() -> None:
    assert Turns(("Mara",)).passed(again=False).first == ""
    assert Turns(()).one_later() == Turns(()).passed(again=True) == Turns(())
