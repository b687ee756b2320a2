"""A picture that goes on by time alone, while what led to it is read again."""

from __future__ import annotations

from dataclasses import dataclass, replace

from analysis.motion.events import Phase
from tui.session.messages import Snapshot


@dataclass(frozen=True, slots=True)
class Standing:
    """What was shown last, and when (host seconds)."""

    shown: Snapshot
    at_s: float

    def picture(self, now_s: float, read_again: float) -> Snapshot:
        """Return it as it is now: the clocks go on, no key mends it, and of what is done now nothing is known.

        Parameters
        ----------
        read_again
            How much is read again by now, 0 to 1.
        """
        since_s, left_s = now_s - self.at_s, self.shown.rest_left_s
        return replace(
            self.shown,
            rest_left_s=None if left_s is None else left_s - since_s,
            elapsed_s=self.shown.elapsed_s + since_s,
            phase=Phase.AWAY,
            phase_s=0.0,
            phase_target_s=None,
            then=Phase.AWAY,
            provisional=False,
            cue="",
            check=None,
            offers=frozenset(),
            undo="",
            read_again=read_again,
        )
