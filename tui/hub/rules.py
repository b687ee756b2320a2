"""Who may write and read what; the same as `mosquitto/rungwise.acl` says to mosquitto. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tui.share.topics import VERSION, before

ROOT = f"rungwise/{VERSION}"


@dataclass(frozen=True, slots=True)
class Rights:
    """Filters (OASIS MQTT 3.1.1, 4.7) of what may be written and read."""

    writes: tuple[str, ...]
    reads: tuple[str, ...]

    def may_write(self, topic: str) -> bool:
        """Return whether a message to this topic is let through."""
        return any(covers(one, topic) for one in self.writes)

    def may_read(self, asked: str) -> bool:
        """Return whether this filter asks for nothing but what may be read."""
        return any(covers(one, asked) for one in self.reads)


def of_account(name: str, *, coach: bool = False, gateways: Sequence[str] = (), gym: str = "") -> Rights:
    """Return what an account may do.

    Parameters
    ----------
    name
        Of the account: that of a station, of a gateway, or of both.
    coach
        Whether it hears all, and has a word to every station.
    gateways
        Whose packets it analyses, and asks to be sent again.
    gym
        Stands before all topics; empty for none.
    """
    root = f"{before(gym)}{ROOT}"
    writes = [f"{root}/{kind}/{name}/up/#" for kind in ("station", "gateway")]
    reads = [f"{root}/{kind}/{name}/down/#" for kind in ("station", "gateway")]
    for gateway in gateways:
        writes.append(f"{root}/gateway/{gateway}/down/#")
        reads.append(f"{root}/gateway/{gateway}/up/#")
    if coach:
        writes.append(f"{root}/station/+/down/#")
        reads += [f"{root}/{kind}/+/up/#" for kind in ("station", "gateway")]
    return Rights(tuple(writes), tuple(reads))


def of_anybody(gym: str = "") -> Rights:
    """Return what may be done where there are no accounts: all that is Rungwise's."""
    both = (f"{before(gym)}{ROOT}/#",) if gym else (f"{ROOT}/#", f"+/{ROOT}/#")
    return Rights(both, both)


def covers(granted: str, asked: str) -> bool:
    """Return whether each topic of `asked` is one of `granted`; a topic is a filter without wildcards."""
    wide, narrow = granted.split("/"), asked.split("/")
    for at, level in enumerate(wide):
        if level == "#":
            return len(narrow) > at
        if at >= len(narrow) or narrow[at] == "#" or level not in ("+", narrow[at]):
            return False
    return len(narrow) == len(wide)
