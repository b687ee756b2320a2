"""Where the sensor sits, and what can be seen from there."""

from __future__ import annotations

from enum import StrEnum


class Mount(StrEnum):
    """What a sensor can be on; the values are those of the command line and of JSON."""

    BODY = "body"
    """Belt, vest, chest or back strap of the trainee: travel, speed, lean."""
    LIMB = "limb"
    """Wrist or ankle strap: phases only."""
    MOVING_BAR = "moving-bar"
    """A bar that travels with the hands: travel, speed."""
    FIXED_BAR = "fixed-bar"
    """A bar that stays, and bends and rolls a little: phases only."""
    SUSPENSION = "suspension"
    """A strap, ring, towel or rope that is pulled on: phases only."""

    @property
    def shows_travel(self) -> bool:
        """Whether the sensor itself travels with the movement, so that height and speed can be measured."""
        return self in (Mount.BODY, Mount.MOVING_BAR)

    @property
    def is_worn(self) -> bool:
        """Whether the trainee wears it, so that it shows the trainee's posture, and every exercise of theirs."""
        return self in (Mount.BODY, Mount.LIMB)


class Place(StrEnum):
    """Where on the body a sensor sits; the values are those of the command line, of JSON and of the log."""

    BELT = "belt"
    """On the pelvis: what it leans by is the tilt of the pelvis, which no verdict rests on."""
    CHEST = "chest"
    UPPER_BACK = "upper-back"

    @property
    def shows_lean(self) -> bool:
        """Whether the lean of the trunk may be judged from here."""
        return self is not Place.BELT
