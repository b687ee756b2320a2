"""Makes what is shown of everybody on a shared bar of their sessions."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from tui.session.messages import Stage
from tui.training.person import Person
from tui.training.routes import Route
from tui.training.turn_ends import turn_ends
from tui.training.two_people import doubts, parting
from tui.views.turn_view import TurnRow, TurnsView

_STATES = {Stage.SET: "in a set", Stage.DONE: "done"}


def turns_view(
    names: Sequence[str], people: Mapping[str, Person], refused: Mapping[str, str], route: Route, *, in_set: bool
) -> TurnsView:
    """Return what is shown of everybody.

    Parameters
    ----------
    names
        Everybody who was called to the bar.
    people, refused
        Who trains, and why others do not.
    in_set
        Whether who is shown is in a set.
    """
    order = route.turns.order
    listed = [*order, *(name for name in people if name not in order)]
    is_closed = bool(people) and all(person.session.board.ended for person in people.values())
    are_done = all(person.session.board.stage is Stage.DONE for person in people.values())
    is_over = bool(people) and are_done and (is_closed or not order)
    barred = tuple(TurnRow(name=name, state=why) for name, why in refused.items() if name not in people)
    parted = parting(people, route.turns.first) if route.in_order and not in_set else None
    return TurnsView(
        next="" if in_set or is_over else route.turns.first,
        rows=(*(_row(people[name], refused.get(name, "")) for name in listed), *barred),
        names=tuple(names),
        in_order=route.in_order,
        last=route.last if route.takers or route.is_given else "",
        takers=route.takers,
        is_given=route.is_given,
        ends=turn_ends(people, refused) if is_over else (),
        is_closed=is_closed,
        parted=parted.words if parted else "",
        doubts=doubts(people, parted) if route.in_order and not in_set else (),
    )


def _row(person: Person, why: str) -> TurnRow:
    board = person.session.board
    ended = why or "gone"
    return TurnRow(
        name=person.name,
        done=len(board.sets),
        asked=board.prescription.sets,
        rest_left_s=person.shown.rest_left_s if person.shown else None,
        state=ended if board.ended else _STATES.get(board.stage, ""),
        last=board.sets[-1] if board.sets else None,
    )
