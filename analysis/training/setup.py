"""What stood around the trainee: two sessions compare only where it was the same."""

from __future__ import annotations

from dataclasses import dataclass
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
    """Bar, heels, block and support; None where it was not said. Lengths in centimetres.

    Attributes
    ----------
    bar_cm
        Height of the bar over the floor.
    heels_cm
        From the heels to the point under the bar.
    block_cm
        Height of the block under the heels.
    """

    bar_cm: float | None = None
    heels_cm: float | None = None
    block_cm: float | None = None
    support: Support | None = None


UNSAID = SetUp()
