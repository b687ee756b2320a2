"""What a logbook tells another one: each change with its row as it is now, and its parents by UUID.

A row has the names and values of `rungwise.export/1`. Beside them stands where it belongs: `session` (UUID) and `run`
(its ordinal among the answers of the session), `owner` (UUID of the session's own trainee), and `nth` of proposals that
were made in the same moment. A set travels with its reps. What is `left` in a session are the begins of its sets, by
answer.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from typing import Any

from sqlalchemy import Connection, Row, Select, func, select

from analysis.logbook.change_tables import LEFT, forgotten, plan_text
from analysis.logbook.exchange_forms import plain
from analysis.logbook.schema import (
    analysis_run,
    correction,
    next_session,
    rep,
    rep_set,
    session,
    statement,
    trainee,
)
from analysis.logbook.schema import station as station_table

Document = dict[str, Any]
_owner = trainee.alias("owner")
_OWNER = _owner.c.uuid.label("owner")
_SESSION = session.c.uuid.label("session")
_TRAINEE = trainee.c.uuid.label("trainee")


def ordinal_of_run() -> Any:
    """Return which of the answers of its session a run is, from 1."""
    earlier = analysis_run.alias("earlier")
    before = (earlier.c.session_id == analysis_run.c.session_id) & (earlier.c.id <= analysis_run.c.id)
    return select(func.count(earlier.c.id)).where(before).correlate(analysis_run).scalar_subquery()


def _nth() -> Any:
    earlier = next_session.alias("earlier")
    same = (earlier.c.trainee_id == next_session.c.trainee_id) & (earlier.c.made_utc_us == next_session.c.made_utc_us)
    before = same & (earlier.c.id <= next_session.c.id)
    return select(func.count(earlier.c.id)).where(before).correlate(next_session).scalar_subquery()


def _in_session(asked: Select[Any], link: Any) -> Select[Any]:
    return asked.join(session, link == session.c.id).join(_owner, session.c.trainee_id == _owner.c.id)


def _runs() -> Select[Any]:
    asked = select(analysis_run, _SESSION, _OWNER, ordinal_of_run().label("run"))
    return _in_session(asked, analysis_run.c.session_id)


def _sets() -> Select[Any]:
    asked = select(rep_set, _SESSION, _OWNER, ordinal_of_run().label("run"), _TRAINEE)
    asked = asked.join(analysis_run, rep_set.c.run_id == analysis_run.c.id)
    return _in_session(asked, analysis_run.c.session_id).join(trainee, rep_set.c.trainee_id == trainee.c.id)


def _sessions() -> Select[Any]:
    asked = select(session, _TRAINEE, station_table.c.uuid.label("station"))
    return asked.join(trainee, session.c.trainee_id == trainee.c.id).join(station_table)


def _proposals() -> Select[Any]:
    asked = select(next_session, _TRAINEE, session.c.uuid.label("after_session"), _nth().label("nth"))
    return asked.join(trainee, next_session.c.trainee_id == trainee.c.id).outerjoin(
        session, next_session.c.after_session_id == session.c.id
    )


_ASKED: dict[str, tuple[Any, Callable[[], Select[Any]], tuple[str, ...]]] = {
    "trainee": (trainee, lambda: select(trainee), ()),
    "session": (session, _sessions, ("trainee", "station")),
    "run": (analysis_run, _runs, ("session", "owner", "run")),
    "set": (rep_set, _sets, ("session", "owner", "run", "trainee")),
    "correction": (
        correction,
        lambda: _in_session(select(correction, _SESSION, _OWNER), correction.c.session_id),
        ("session", "owner"),
    ),
    "statement": (statement, lambda: select(statement, _TRAINEE).join(trainee), ("trainee",)),
    "proposal": (next_session, _proposals, ("trainee", "after_session", "nth")),
    "plan": (plan_text, lambda: select(plan_text, _TRAINEE).join(trainee), ("trainee",)),
    "forgotten": (forgotten, lambda: select(forgotten), ()),
    LEFT: (session, lambda: select(session.c.id, _SESSION, _OWNER).join(_owner), ("session", "owner")),
}
"""Of each kind of change: the table, how its rows are asked for with their parents, and how these are called."""


def rows_as_told(connection: Connection, wanted: Iterable[tuple[str, int]]) -> dict[tuple[str, int], Document]:
    """Return rows as they travel, by what they are and their number; what is not there is left out."""
    numbers: dict[str, list[int]] = defaultdict(list)
    for what, number in wanted:
        numbers[what].append(number)
    told: dict[tuple[str, int], Document] = {}
    for what, those in numbers.items():
        table, asked, beside = _ASKED[what]
        for row in connection.execute(asked().where(table.c.id.in_(those))):
            own = {"runs": _left(connection, row.id)} if what == LEFT else plain(table, row)
            told[what, row.id] = {**own, **{name: getattr(row, name) for name in beside}}
    _add_reps(connection, {number: row for (what, number), row in told.items() if what == "set"})
    for (what, _), document in told.items():
        if what == "trainee":
            del document["name_key"]  # worked out from the name
    return told


def _left(connection: Connection, number: int) -> list[list[float]]:
    runs = connection.execute(select(analysis_run.c.id).where(analysis_run.c.session_id == number).order_by("id"))
    sets = select(rep_set.c.run_id, rep_set.c.start_s).join(analysis_run).where(analysis_run.c.session_id == number)
    begins: dict[int, list[float]] = {run: [] for run in runs.scalars()}
    for run, start_s in connection.execute(sets.order_by(rep_set.c.id)):
        begins[run].append(start_s)
    return list(begins.values())


def _add_reps(connection: Connection, sets: dict[int, Document]) -> None:
    reps = _reps(connection, list(sets))
    for number, row in sets.items():
        row["reps"] = [plain(rep, one) for one in reps.get(number, ())]


def _reps(connection: Connection, sets: Sequence[int]) -> dict[int, list[Row[Any]]]:
    found: dict[int, list[Row[Any]]] = defaultdict(list)
    asked = select(rep).where(rep.c.set_id.in_(sets)).order_by(rep.c.set_id, rep.c.ordinal)
    for one in connection.execute(asked) if sets else ():
        found[one.set_id].append(one)
    return found
