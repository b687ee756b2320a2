"""Published figures beside what was measured: estimates, shares of body weight, norms. Nothing is judged by them.

Loads and masses are kilograms. "System mass" is body mass and added load together (assistance taken off): a pull-up
lifts both.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

MOST_REPS = 10
"""Above so many reps neither one-repetition formula is used: both were made for few, heavy ones."""

SPEED_AT_ONE_REP_M_S = 0.20
"""Mean concentric velocity of the heaviest pull-up that succeeds (from memory: Muñoz-López et al. 2017, IJSPP)."""

STRAP_SHARES = ((30.0, 0.374), (45.0, 0.529), (60.0, 0.681), (75.0, 0.794))
"""Suspension strap, held still: angle of the body from the vertical in degrees, share of body weight on the hands.

Melrose & Dawes 2015.
"""


@dataclass(frozen=True, slots=True)
class Norm:
    """Mean and standard deviation of a group that was measured."""

    mean: float
    sd: float

    def deviation(self, value: float) -> float:
        """Return by how many standard deviations a value lies above the mean."""
        return (value - self.mean) / self.sd


ONE_REP_SHARE_MEN = Norm(1.16, 0.15)
ONE_REP_SHARE_WOMEN = Norm(0.73, 0.09)
"""One-repetition maximum as a share of body mass (Johnson et al. 2009, JSCR)."""


@dataclass(frozen=True, slots=True)
class Estimate:
    """A figure from a regression over other people, never a measurement.

    Attributes
    ----------
    extrapolated
        It lies outside what the regression was made from.
    source
        Where it is from.
    """

    value: float
    extrapolated: bool
    source: str


def epley_kg(system_kg: float, reps: int) -> float | None:
    """Estimate the load of a single rep by Epley's formula, W (1 + r/30); None outside 1 to `MOST_REPS` reps.

    Parameters
    ----------
    system_kg
        System mass with which the reps were done.
    reps
        As many as were possible.
    """
    return system_kg * (1 + reps / 30) if 1 <= reps <= MOST_REPS else None


def brzycki_kg(system_kg: float, reps: int) -> float | None:
    """Estimate the load of a single rep by Brzycki's formula, 36 W / (37 − r); as `epley_kg`."""
    return system_kg * 36 / (37 - reps) if 1 <= reps <= MOST_REPS else None


def most_pull_ups(mean_velocity_m_s: float) -> Estimate:
    """Estimate the most pull-ups in one go from the mean concentric velocity of one at full effort, m/s.

    Only for full pull-ups of body mass alone. R² .841 over 49 people, each able to do at least two, so an answer below
    two is an extrapolation; it is never below none.
    """
    reps = max(-6.661 + 25.556 * mean_velocity_m_s, 0.0)
    return Estimate(reps, reps < 2, "Beckham et al. 2018, JSCR 32:1831")


def hand_share(scale_kg: float, body_kg: float) -> float:
    """Return the share of body weight on the hands, by a scale under the feet: 1 − scale / body weight (statics).

    Parameters
    ----------
    scale_kg
        What the scale shows while somebody hangs still in the start position.
    body_kg
        What it shows when they stand on it.

    Raises
    ------
    ValueError
        When the scale shows less than nothing or more than the body weighs.
    """
    if not 0 <= scale_kg <= body_kg or body_kg <= 0:
        raise ValueError(f"the scale under the feet must show 0 to {body_kg:g} kg, not {scale_kg:g}")
    return 1 - scale_kg / body_kg


def strap_share(angle_deg: float) -> float | None:
    """Return the share of body weight on suspension straps, held still; None outside the angles that were measured.

    Parameters
    ----------
    angle_deg
        Of the body from the vertical; between two measured angles it is interpolated on a straight line.
    """
    for (low, share), (high, more) in pairwise(STRAP_SHARES):
        if low <= angle_deg <= high:
            return share + (more - share) * (angle_deg - low) / (high - low)
    return None
