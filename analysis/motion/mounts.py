"""Where the sensor sits, and what can be seen from there."""

from __future__ import annotations

from enum import StrEnum


class Mount(StrEnum):
    """The five places a sensor can be; the values are those of the command line and of JSON."""

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
