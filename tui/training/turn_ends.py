"""Makes what is shown at the end of a shared bar of everybody's session."""

from __future__ import annotations

from collections.abc import Mapping

from analysis.training.verdict import Outcome
from tui.session.board import Board
from tui.training.person import Person
from tui.views.turn_view import TurnEnd


def turn_ends(people: Mapping[str, Person], refused: Mapping[str, str]) -> tuple[TurnEnd, ...]:
    """Return what everybody's session was, in the order in which they came; then who did not train, and why."""
    barred = {name: why for name, why in refused.items() if name not in people or not people[name].last_set}
    trained = (turn_end(name, person.session.board) for name, person in people.items() if name not in barred)
    return (*trained, *(TurnEnd(name=name, done=why) for name, why in barred.items()))


def turn_end(name: str, board: Board) -> TurnEnd:
    """Return what somebody's session was."""
    asked, sets, next_text = board.prescription.sets, board.sets, board.next_text
    verdict = board.verdict()
    told = verdict.summary[1:] if sets and asked else ()
    return TurnEnd(
        name=name,
        done=_done(board),
        outcome=verdict.outcome if sets and asked else None,
        note=told[-1] if told else "",
        next=next_text[0].removeprefix("next: ") if next_text else "",
        asked=next_text[1].strip() if _asks(next_text) else "",
    )


def _done(board: Board) -> str:
    asked, sets = board.prescription.sets, board.sets
    if not sets:
        return "no set done"
    if not asked:
        reps = sum(one.verdict.count for one in sets)
        return f"{len(sets)} {'set' if len(sets) == 1 else 'sets'}, {reps} reps"
    met = sum(one.verdict.outcome is Outcome.MET for one in sets[:asked])
    extra = len(sets) - asked
    return f"{min(len(sets), asked)} of {asked} sets, {met} met{f', {extra} extra' if extra > 0 else ''}"


def _asks(next_text: tuple[str, ...]) -> bool:
    """Whether a next session is asked for: its prescription is the second line then (`tui.words.format.next_lines`)."""
    return len(next_text) > 1 and next_text[0].startswith("next: from ")
