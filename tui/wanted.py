"""What was said on the command line of a session, before anything of the program is loaded."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from analysis.motion.mounts import Mount, Place
from tui.home import Home

if TYPE_CHECKING:
    from sensor.broker_address import Access, Address


@dataclass(frozen=True, slots=True)
class Share:
    """With whom a session is shared.

    Attributes
    ----------
    address, access
        Where the broker is, and what it is spoken to with.
    station
        What this station is called there.
    """

    address: Address
    access: Access
    station: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What was said of a session, against what the log proposes.

    Attributes
    ----------
    trainee
        Who trains; None: the last one who trained.
    turns
        Who shares the bar, in the order of their turns, each with the name of the sensor they wear, None where they
        share one; empty: one trains alone.
    sensors
        Names or addresses of the sensors, or where gateways bridge them to: the first counts, the others are recorded
        with it; none given: the only one in range.
    access
        What brokers are spoken to with; None: no password, and the authorities that this computer knows.
    mount
        Where the sensor sits, if not where the exercise asks for it.
    place
        Where on the body, if not where it sat last time.
    superset
        Name of the exercise done in turn with the prescribed one; None: straight sets.
    hang_s
        Hangs of so long instead of the prescribed reps; None: as prescribed.
    test
        One set of as many clean full reps as possible instead.
    silent
        Let nothing be heard.
    share
        With whom it is shared; None: with nobody.
    """

    trainee: str | None = None
    turns: Mapping[str, str | None] = field(default_factory=dict)
    sensors: tuple[str, ...] = ()
    access: Access | None = None
    mount: Mount | None = None
    place: Place | None = None
    superset: str | None = None
    hang_s: float | None = None
    test: bool = False
    silent: bool = False
    share: Share | None = None

    @property
    def is_bridged(self) -> bool:
        """Whether a sensor is heard by a broker."""
        return any("://" in one for one in (*self.sensors, *self.turns.values()) if one)

    @property
    def uses_network(self) -> bool:
        """Whether a broker is spoken to at all."""
        return self.is_bridged or self.share is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class WantedDemo:
    """What was said of a demonstration.

    Attributes
    ----------
    home
        Where to keep its log.
    speed
        Seconds of the session in one real second.
    motion, mount
        A recorded table to stream instead of the virtual trainee, and where its sensor sat.
    holds
        The virtual trainee holds at the top instead of doing reps.
    sound
        Let it be heard.
    share
        With whom it is shared; None: with nobody.
    """

    home: Home
    speed: float = 1.0
    motion: Path | None = None
    mount: Mount | None = None
    holds: bool = False
    sound: bool = False
    share: Share | None = None
