"""The end of a set on a shared bar: all that was asked is done, and what comes may be the next one's.

A set is told as closed some eight seconds after its last rep. Who hangs before would be counted on with it, so what
comes is held back until it is known whose it is.
"""

from __future__ import annotations

from sensor.source import Arrival
from tui.session.messages import Snapshot, Stage
from tui.training.lookout import Lookout

GETS_OFF_S = 3.0
"""So long after the last rep whoever did it lets go and steps away: no motion of the next one's, seconds."""
TOLD_S = 1.0
"""About so long after its end a rep is told, seconds."""
CLOSES_S, REP_S = 8.0, 7.0
"""So long without a rep, and a set is over in any case; so much longer the first rep of another may take, seconds."""


class Handover:
    """Holds back what comes after a set that has all that was asked for.

    Parameters
    ----------
    count
        Its reps.
    told_s
        When the last of them was told, host seconds.

    Attributes
    ----------
    count
        The same.
    since_s
        From then on nothing is theirs who did it, if somebody else hangs.
    held
        What is held back.
    """

    def __init__(self, count: int, told_s: float) -> None:
        self.count = count
        self.since_s = told_s + GETS_OFF_S - TOLD_S
        self.held: list[Arrival] = []
        self.lookout: Lookout | None = None
        self._until_s = told_s + CLOSES_S

    @property
    def is_taken(self) -> bool:
        """Whether somebody else did a rep: getting off the bar may look like the first half of one."""
        return self.lookout is not None and self.lookout.sees_rep

    def is_past(self, now_s: float) -> bool:
        """Whether nobody else began in time."""
        begun = self.lookout is not None and self.lookout.sees_somebody
        return now_s > self._until_s + (REP_S if begun else 0.0)


def is_complete(shown: Snapshot | None) -> bool:
    """Whether nothing more should come in the set in progress: its number is reached, or it is over before."""
    if shown is None or shown.stage is not Stage.SET:
        return False
    return shown.ended or (not shown.warm_up and 0 < shown.prescription.reps <= shown.count)
