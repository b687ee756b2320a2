"""What stood around the trainee: two sessions compare only where it was the same."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum

from analysis.motion.mounts import Mount


class Support(StrEnum):
    """What carries the person."""

    RACK = "rack"
    GUIDED_BAR = "guided-bar"
    RINGS = "rings"
    STRAPS = "straps"
    TOWEL = "towel"

    def mount(self, wanted: Mount) -> Mount:
        """Return where a sensor then sits: one that is not worn on rings, straps or a towel is on what is pulled."""
        hanging = self in (Support.RINGS, Support.STRAPS, Support.TOWEL)
        return Mount.SUSPENSION if hanging and not wanted.is_worn else wanted


@dataclass(frozen=True, slots=True, kw_only=True)
class SetUp:
    """Bar, heels, block, support, and what the hands carry; None where it was not said. Lengths in centimetres.

    Attributes
    ----------
    bar_cm
        Height of the bar over the floor.
    heels_cm
        From the heels to the point under the bar.
    block_cm
        Height of the block under the heels.
    hand_share
        Share of body weight on the hands, 0 to 1, by a scale under the feet (`figures.hand_share`). Neither the scale's
        reading nor the body weight is kept: both together would tell the weight.
    """

    bar_cm: float | None = None
    heels_cm: float | None = None
    block_cm: float | None = None
    support: Support | None = None
    hand_share: float | None = None

    def compares(self, other: SetUp) -> bool:
        """Tell whether sessions with this set-up and another compare: what was said is the same.

        A share is compared only where both are known: not to have measured it changes nothing. It is never quite the
        same twice; from `OTHER_SHARE` on it is another one, so more or less help of the feet.
        """
        if replace(self, hand_share=None) != replace(other, hand_share=None):
            return False
        if self.hand_share is None or other.hand_share is None:
            return True
        return abs(self.hand_share - other.hand_share) < OTHER_SHARE


OTHER_SHARE = 0.05
"""A share of body weight that differs by so much is another set-up: beyond what a scale sways (no source)."""

UNSAID = SetUp()
