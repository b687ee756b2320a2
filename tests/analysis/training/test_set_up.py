"""When set-ups compare. The band of a share is ours (no source); the share itself is statics: `test_figures`."""

from __future__ import annotations

import pytest

from analysis.training.setup import SetUp, Support

LOW = SetUp(bar_cm=105, heels_cm=40, support=Support.RACK)


def with_share(share: float | None, bar_cm: float = 105) -> SetUp:
    return SetUp(bar_cm=bar_cm, heels_cm=40, support=Support.RACK, hand_share=share)


@pytest.mark.parametrize(
    ("one", "other", "alike"),
    [
        (LOW, with_share(None), True),
        (with_share(0.62), with_share(0.64), True),  # a scale sways
        (with_share(0.62), with_share(0.68), False),  # less help of the feet
        (with_share(0.62), with_share(0.55), False),
        (LOW, with_share(0.62), True),  # not measured is not another one
        (with_share(0.62), with_share(0.62, bar_cm=110), False),
        (with_share(None), with_share(None, bar_cm=110), False),
        (with_share(0.0), with_share(1.0), False),
    ],
)
def test_a_share_of_its_own_is_another_set_up(one: SetUp, other: SetUp, alike: bool) -> None:
    assert one.compares(other) is alike
    assert other.compares(one) is alike
    assert one.compares(one)
