"""What is typed in while others write: it rests on the log as it is at the moment of writing, or is judged anew."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from typing import TypeVar

from analysis.logbook.book import Logbook
from analysis.logbook.entries import Trainee
from analysis.logbook.errors import OvertakenError
from analysis.training.plan import TrainingPlan
from analysis.training.records import History
from tui.home import Home
from tui.session.plans import trainee_called, training_for

_T = TypeVar("_T")
TIMES = 5
"""So many times somebody else may come first before it is told."""


@dataclass(frozen=True, slots=True)
class Read:
    """One trainee, as read before something is judged.

    Attributes
    ----------
    known
        Whether in the logbook.
    edition
        Of the log; goes into the `Entry` that is judged by it.
    """

    trainee: Trainee
    plan: TrainingPlan
    log: History
    known: bool
    edition: int


def read_of(home: Home, logbook: Logbook, name: str) -> Read:
    """Read plan and log of the trainee of that name, who may be new.

    Raises
    ------
    PlanError
        When the trainee's file is no plan.
    """
    trainee = trainee_called(logbook, name)
    known = logbook.trainee(trainee.name) == trainee
    edition = logbook.edition(trainee.id)
    log = logbook.history(trainee.id) if known else History()
    return Read(trainee, training_for(home, trainee, log), log, known, edition)


def on_what_is_there(act: Callable[[], _T]) -> _T:
    """Do what reads logs and then adds to them; anew where somebody else added to one of them in between.

    Raises
    ------
    OvertakenError
        When that happened every time.
    """
    for _ in range(TIMES - 1):
        with suppress(OvertakenError):
            return act()
    return act()
