"""The tables by which one logbook tells another what was written: the outbox and the inbox.

Triggers note every row that means something outside (`change`), in the transaction that writes it, whoever writes.
While the changes of another logbook are applied, `applying` names it: then the same triggers note where a row came from
(`arrived`), and nothing is told on as if it had been written here. Outside of a transaction `applying` is empty.
"""

from __future__ import annotations

from typing import Any

from sqlalchemy import (
    DDL,
    BigInteger,
    Column,
    ForeignKey,
    Integer,
    PrimaryKeyConstraint,
    Table,
    Text,
    UniqueConstraint,
    event,
)

from analysis.logbook.schema import (
    METADATA,
    analysis_run,
    correction,
    next_session,
    rep_set,
    session,
    statement,
    trainee,
)

_ID = BigInteger().with_variant(Integer, "sqlite")


def _id() -> Column[int]:
    return Column("id", _ID, primary_key=True)


def _text(name: str) -> Column[str]:
    return Column(name, Text, nullable=False)


def _whole(name: str) -> Column[int]:
    return Column(name, BigInteger, nullable=False)


def _station() -> Column[int]:
    return Column("station_id", _ID, ForeignKey("station.id"), nullable=False)


stream = Table("stream", METADATA, _id(), _text("epoch"))
"""One row: which history the sequence of `change` belongs to. A copy of the logbook begins another one."""

change = Table(
    "change",
    METADATA,
    # rises by one, and no number is given twice
    Column("sequence", Integer, primary_key=True),
    _text("what"),
    _whole("row_id"),
    _whole("at_utc_us"),
    sqlite_autoincrement=True,
)

arrived = Table(
    "arrived",
    METADATA,
    _text("what"),
    _whole("row_id"),
    _station(),
    PrimaryKeyConstraint("what", "row_id"),
)

applying = Table("applying", METADATA, _id(), _station())

mark = Table(
    "mark",
    METADATA,
    _id(),
    _text("source"),
    _text("epoch"),
    _whole("through"),
    _whole("noted_utc_us"),
    _whole("refused"),
    UniqueConstraint("source", "epoch"),
)

refused = Table(
    "refused", METADATA, _id(), _text("source"), _text("epoch"), _whole("sequence"), _text("why"), _text("raw")
)

forgotten = Table("forgotten", METADATA, _id(), Column("uuid", Text, nullable=False, unique=True))
"""Who was forgotten: the UUID alone, so that nothing of them comes back from elsewhere."""

plan_text = Table(
    "plan_text",
    METADATA,
    _id(),
    Column("trainee_id", _ID, ForeignKey("trainee.id"), nullable=False, index=True),
    _text("text"),
    _whole("noted_utc_us"),
)
"""Plans as they were told to or by another logbook; the files stay what holds."""

WHAT: dict[str, Table] = {
    "trainee": trainee,
    "session": session,
    "run": analysis_run,
    "set": rep_set,
    "correction": correction,
    "statement": statement,
    "proposal": next_session,
    "plan": plan_text,
    "forgotten": forgotten,
}
"""What a change is called, and the table of its row."""

LEFT = "left"
"""A change that says which sets are left in a session from which a person was taken; its row is the session's."""

_MEANS_NOTHING_OUTSIDE = {"id", "uuid", "session_id", "station_id", "own_sets", "partner_sets", "warm_up_sets"}
_NOW = "CAST((julianday('now') - 2440587.5) * 86400000000 AS INTEGER)"
_HERE = "NOT EXISTS (SELECT 1 FROM applying)"


def _noted(what: str, table: str) -> str:
    return (
        f"CREATE TRIGGER {table}_noted AFTER INSERT ON {table} BEGIN "
        f"INSERT INTO change (what, row_id, at_utc_us) SELECT '{what}', NEW.id, {_NOW} WHERE {_HERE}; "
        f"INSERT INTO arrived (what, row_id, station_id) SELECT '{what}', NEW.id, station_id FROM applying; END"
    )


def _noted_again(what: str, table: Table) -> str:
    names = [one.name for one in table.columns if one.name not in _MEANS_NOTHING_OUTSIDE]
    differs = " OR ".join(f"NEW.{name} IS NOT OLD.{name}" for name in names)
    return (
        f"CREATE TRIGGER {table.name}_noted_again AFTER UPDATE OF {', '.join(names)} ON {table.name} "
        f"WHEN ({differs}) AND {_HERE} BEGIN "
        f"INSERT INTO change (what, row_id, at_utc_us) VALUES ('{what}', NEW.id, {_NOW}); END"
    )


def _once(table: Table, text: str) -> None:
    made: Any = DDL(text.replace("%", "%%"))  # type: ignore[no-untyped-call]  # SQLAlchemy leaves this one without types
    event.listen(table, "after_create", made.execute_if(dialect="sqlite"))


for _what, _table in WHAT.items():
    _once(_table, _noted(_what, _table.name))
for _what in ("trainee", "session", "run"):
    _once(WHAT[_what], _noted_again(_what, WHAT[_what]))
