"""A made-up session for the tests of the check, and a desk that only remembers. The people are invented."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from screen_feed import TARGET

from analysis.training.superset import SetKind
from analysis.training.verdict import Outcome, PhaseVerdict, RepVerdict, SetVerdict
from tui.book.correcting import Teller, Wish
from tui.session.messages import Hill
from tui.trouble import Trouble
from tui.views.check_view import CheckMark, CheckRep, CheckSet, CheckView

UP, TOP, DOWN = 1.0, 1.0, 2.0
ADDED = "2026-03-02 19:40 Ada (coach): set 2, a rep added (missed by the sensor); measured: no rep"
OUT = "2026-03-02 19:41 Ada (coach): set 2, a rep taken out (not a rep); measured: up 0.6 top 0.1 down 0.5"


def rep(number: int, *, top_s: float = 1.1, sd_s: float = 0.05, outcome: Outcome = Outcome.MET) -> CheckRep:
    """Return a rep whose hold decides."""
    direction = -1 if outcome is Outcome.MISSED else 0
    phases = (
        PhaseVerdict("up", 1.04, 0.03, UP, Outcome.MET, 0, 0.3),
        PhaseVerdict("top", top_s, sd_s, TOP, outcome, direction, 0.3),
        PhaseVerdict("down", 2.1, 0.06, DOWN, Outcome.MET, 0, 0.4),
        PhaseVerdict("bottom", 0.2, 0.05, None, Outcome.NOT_MEASURABLE),
    )
    return CheckRep(
        number=number,
        hill=Hill(up_s=1.04, top_s=top_s, down_s=2.1, bottom_s=0.2, outcome=outcome),
        phases=phases,
        verdict=RepVerdict(phases[:3], outcome),
        beside=("shoulders rise first, met", "0.41 ± 0.02 m/s up"),
        at_s=10.0 * number,
    )


def added(number: int) -> CheckRep:
    """Return a rep that a person added: nothing of it was measured."""
    phases = tuple(
        PhaseVerdict(name, None, None, asked, Outcome.NOT_MEASURABLE)
        for name, asked in (("up", UP), ("top", TOP), ("down", DOWN), ("bottom", None))
    )
    return CheckRep(
        number=number,
        hill=Hill(up_s=None, top_s=None, down_s=None, bottom_s=None),
        phases=phases,
        verdict=RepVerdict(phases[:3], Outcome.NOT_MEASURABLE),
        corrected=(ADDED,),
    )


def one_set(name: str, reps: Sequence[CheckRep], outcome: Outcome, corrected: tuple[str, ...] = ()) -> CheckSet:
    """Return a set of these reps."""
    verdict = SetVerdict(
        count=len(reps),
        target_reps=6,
        reps=tuple(one.verdict for one in reps),
        reps_outcome=Outcome.MET,
        tempo_outcome=outcome,
        tut_s=25.0,
        target_tut_s=24.0,
        tut_outcome=Outcome.MET,
        rest_before_s=None,
        target_rest_s=90.0,
        rest_outcome=Outcome.NOT_MEASURABLE,
        outcome=outcome,
    )
    return CheckSet(
        name=name,
        title=f"set {name}: {len(reps)}, {outcome}",
        kind=SetKind.EXERCISE,
        outcome=outcome,
        lines=(
            "number of reps met",
            f"tempo {outcome}",
            "time under tension 25.0 of 24.0 s, met",
            "velocity loss 12 %",
        ),
        corrected=corrected,
        hills=tuple(one.hill for one in reps),
        target=TARGET,
        verdict=verdict,
        reps=tuple(reps),
    )


def view() -> CheckView:
    """Return two sets: one with two short holds and one that cannot be told, one corrected."""
    first = [
        *(rep(number) for number in (1, 2, 3)),
        rep(4, top_s=0.7, sd_s=0.1, outcome=Outcome.UNSURE),
        *(rep(number, top_s=0.4, outcome=Outcome.MISSED) for number in (5, 6)),
    ]
    second = [*(rep(number) for number in range(1, 6)), added(6)]
    return CheckView(
        session="5a024861-225e-4884-889e-01ef7fde18cd",
        trainee="Mara Lindt",
        day=dt.date(2026, 3, 2),
        outcome=Outcome.MISSED,
        asked="low-bar pull-up, heels down · 2 × 6 · up 1 · top 1 · down 2 · bottom 0 (tempo 2011) · rest 90 s",
        targets={"up": UP, "top": TOP, "down": DOWN},
        summary=("0 of 2 sets met.", "Set 1: top hold too short in reps 5 and 6.", "To work on: hold the top."),
        notes=("exertion 7 of 10",),
        sets=(
            one_set("1", first, Outcome.MISSED),
            one_set("2", second, Outcome.NOT_MEASURABLE, (OUT,)),
        ),
        marks=(
            CheckMark(letters="aaaa1111", text=ADDED, holds=True),
            CheckMark(letters="bbbb2222", text=OUT, holds=True),
        ),
        people=("Jonas Reiter", "Mara Lindt"),
        recorded=True,
    )


def untouched() -> CheckView:
    """Return the same without a correction."""
    told = view()
    return replace(told, sets=told.sets[:1], marks=())


@dataclass
class DeskOf:
    """A desk that remembers what it was asked for.

    Attributes
    ----------
    shows
        What it reads.
    refuses
        Why nothing can be corrected; empty: it can.
    """

    shows: CheckView
    refuses: str = ""
    heard: list[tuple[Wish, Teller]] = field(default_factory=list)

    def read(self) -> CheckView:
        return self.shows

    def correct(self, wish: Wish, teller: Teller) -> tuple[str, ...]:
        if self.refuses:
            raise Trouble(self.refuses)
        self.heard.append((wish, teller))
        return ("set 1: 5 (measured 6), missed", "session: missed")
