"""Somebody who is connected: what they may do, and how much of the hub they take."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from tui.hub.limits import Limits, Pace
from tui.hub.rules import Rights

Teller = Callable[[str, str, str], None]
"""Takes who is spoken of, the kind of what happened, and a sentence on it (`Notices`)."""
_LONGEST = 80


@dataclass(eq=False)
class Standing:
    """What all connections of one account have in common.

    Attributes
    ----------
    messages, volume
        How fast they may send.
    retained
        Topics of which the hub keeps their last message.
    connections
        How many there are.
    """

    limits: Limits
    messages: Pace = field(init=False)
    volume: Pace = field(init=False)
    retained: set[str] = field(default_factory=set)
    connections: int = 0

    def __post_init__(self) -> None:
        self.messages = Pace(self.limits.messages_per_s, self.limits.burst)
        self.volume = Pace(self.limits.bytes_per_s, self.limits.burst_bytes)

    def may_keep(self, topic: str, size: int) -> bool:
        """Return whether the hub may keep the last message of this topic; an empty one is the end of that (3.3.1.3)."""
        if not size:
            self.retained.discard(topic)
        elif topic in self.retained or len(self.retained) < self.limits.retained:
            self.retained.add(topic)
        else:
            return False
        return True


@dataclass(frozen=True, eq=False)
class Guest:
    """One connection, once it is known whose it is.

    Attributes
    ----------
    called
        For words: the account, or the address where there are no accounts.
    account
        Its name; empty where there are none.
    client
        What the connection calls itself.
    """

    called: str
    account: str
    client: str
    keep_alive_s: int
    rights: Rights
    standing: Standing


def shown(text: str) -> str:
    """Return a text from outside so that it can stand in a line: nothing that moves a terminal, and not too long."""
    safe = "".join(one if one.isprintable() else "?" for one in text)
    return safe if len(safe) <= _LONGEST else f"{safe[:_LONGEST]}…"
