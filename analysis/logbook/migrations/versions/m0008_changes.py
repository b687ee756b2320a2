"""What is written is noted for other logbooks, and what came from them: the outbox and the inbox."""

from __future__ import annotations

from uuid import uuid4

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0007"

_ID = sa.BigInteger().with_variant(sa.Integer, "sqlite")


def upgrade() -> None:
    """Create the tables, note what is there already in the order in which it makes sense, and note what follows."""
    _out()
    _in()
    _note_what_is_there()
    if op.get_bind().dialect.name == "sqlite":
        for what, table in _TABLES.items():
            op.execute(_NOTED.format(what=what, table=table, now=_NOW))
        for what, names in _CHANGES.items():
            differs = " OR ".join(f"NEW.{name} IS NOT OLD.{name}" for name in names)
            values = {"what": what, "table": _TABLES[what], "names": ", ".join(names), "differs": differs, "now": _NOW}
            op.execute(_NOTED_AGAIN.format(**values))


def _id() -> sa.Column[int]:
    return sa.Column("id", _ID, primary_key=True)


def _text(name: str) -> sa.Column[str]:
    return sa.Column(name, sa.Text, nullable=False)


def _whole(name: str) -> sa.Column[int]:
    return sa.Column(name, sa.BigInteger, nullable=False)


def _to(table: str) -> sa.Column[int]:
    return sa.Column(f"{table}_id", _ID, sa.ForeignKey(f"{table}.id"), nullable=False)


def _out() -> None:
    made = op.create_table("stream", _id(), _text("epoch"))
    op.execute(sa.insert(made).values(epoch=str(uuid4())))
    op.create_table(
        "change",
        sa.Column("sequence", sa.Integer, primary_key=True),
        _text("what"),
        _whole("row_id"),
        _whole("at_utc_us"),
        sqlite_autoincrement=True,
    )
    op.create_table("plan_text", _id(), _to("trainee"), _text("text"), _whole("noted_utc_us"))
    op.create_index(None, "plan_text", ["trainee_id"])
    op.create_table("forgotten", _id(), _text("uuid"), sa.UniqueConstraint("uuid"))


def _in() -> None:
    op.create_table("applying", _id(), _to("station"))
    op.create_table(
        "arrived", _text("what"), _whole("row_id"), _to("station"), sa.PrimaryKeyConstraint("what", "row_id")
    )
    op.create_table(
        "mark",
        _id(),
        _text("source"),
        _text("epoch"),
        _whole("through"),
        _whole("noted_utc_us"),
        _whole("refused"),
        sa.UniqueConstraint("source", "epoch"),
    )
    op.create_table("refused", _id(), _text("source"), _text("epoch"), _whole("sequence"), _text("why"), _text("raw"))


def _note_what_is_there() -> None:
    """Who comes first, then session by session with what belongs to it, then what was said and proposed."""
    op.execute(
        f"INSERT INTO change (what, row_id, at_utc_us) SELECT what, id, {_NOW} FROM ("
        "SELECT 0 AS place, 0 AS session, 0 AS part, 'trainee' AS what, id FROM trainee "
        "UNION ALL SELECT 1, id, 0, 'session', id FROM session "
        "UNION ALL SELECT 1, session_id, 1, 'run', id FROM analysis_run "
        "UNION ALL SELECT 1, session_id, 2, 'set', rep_set.id FROM rep_set "
        "JOIN analysis_run ON run_id = analysis_run.id "
        "UNION ALL SELECT 1, session_id, 3, 'correction', id FROM correction "
        "UNION ALL SELECT 2, 0, 0, 'statement', id FROM statement "
        "UNION ALL SELECT 3, 0, 0, 'proposal', id FROM next_session"
        ") ORDER BY place, session, part, id"
    )


_NOW = "CAST((julianday('now') - 2440587.5) * 86400000000 AS INTEGER)"
_TABLES = {
    "trainee": "trainee",
    "session": "session",
    "run": "analysis_run",
    "set": "rep_set",
    "correction": "correction",
    "statement": "statement",
    "proposal": "next_session",
    "plan": "plan_text",
    "forgotten": "forgotten",
}
_NOTED = (
    "CREATE TRIGGER {table}_noted AFTER INSERT ON {table} BEGIN "
    "INSERT INTO change (what, row_id, at_utc_us) SELECT '{what}', NEW.id, {now} "
    "WHERE NOT EXISTS (SELECT 1 FROM applying); "
    "INSERT INTO arrived (what, row_id, station_id) SELECT '{what}', NEW.id, station_id FROM applying; END"
)
_CHANGES = {
    "trainee": ("name", "name_key"),
    "session": (
        *("trainee_id", "day", "started_utc_us", "ended_utc_us", "rung", "prescription", "mount", "sensor"),
        *("recording", "demo", "outcome", "summary", "place", "method", "source", "seen_by", "set_up"),
        *("rpe", "minutes", "note"),
    ),
    "run": ("kind", "version", "parameters_sha", "clock_ratio", "clock_sd_ppm", "moment_sd_s"),
}
_NOTED_AGAIN = (
    "CREATE TRIGGER {table}_noted_again AFTER UPDATE OF {names} ON {table} "
    "WHEN ({differs}) AND NOT EXISTS (SELECT 1 FROM applying) BEGIN "
    "INSERT INTO change (what, row_id, at_utc_us) VALUES ('{what}', NEW.id, {now}); END"
)
