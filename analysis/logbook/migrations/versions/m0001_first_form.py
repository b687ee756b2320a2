"""The first form: trainees, sessions, analysis runs, sets, reps, corrections, next sessions."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None

_ID = sa.BigInteger().with_variant(sa.Integer, "sqlite")
_JSON = sa.JSON(none_as_null=True)


def upgrade() -> None:
    """Create every table, and the triggers that keep what was measured."""
    _people_and_places()
    _sessions()
    _sets()
    _reps()
    _corrections()
    _next_sessions()
    if op.get_bind().dialect.name == "sqlite":
        for table in ("rep_set", "rep", "correction"):
            _write_once(table)


def _id() -> sa.Column[int]:
    return sa.Column("id", _ID, primary_key=True)


def _to(table: str, *, name: str = "", nullable: bool = False) -> sa.Column[int]:
    return sa.Column(name or f"{table}_id", _ID, sa.ForeignKey(f"{table}.id"), nullable=nullable)


def _text(name: str, *, nullable: bool = False) -> sa.Column[str]:
    return sa.Column(name, sa.Text, nullable=nullable)


def _float(name: str, *, nullable: bool = True) -> sa.Column[float]:
    return sa.Column(name, sa.Float, nullable=nullable)


def _moment(name: str, *, nullable: bool = False) -> sa.Column[int]:
    return sa.Column(name, sa.BigInteger, nullable=nullable)


def _json(name: str, *, nullable: bool = False) -> sa.Column[object]:
    return sa.Column(name, _JSON, nullable=nullable)


def _people_and_places() -> None:
    op.create_table(
        "station",
        _id(),
        _text("uuid"),
        sa.Column("local", sa.Boolean, nullable=False),
        sa.UniqueConstraint("uuid"),
    )
    op.create_table(
        "trainee",
        _id(),
        _text("uuid"),
        _text("name"),
        _text("name_key"),
        sa.UniqueConstraint("uuid"),
        sa.UniqueConstraint("name_key"),
    )


def _sessions() -> None:
    op.create_table(
        "session",
        _id(),
        _text("uuid"),
        _to("trainee"),
        _to("station"),
        sa.Column("day", sa.Date, nullable=False),
        _moment("started_utc_us"),
        _moment("ended_utc_us", nullable=True),
        _text("rung", nullable=True),
        _json("prescription"),
        _text("mount"),
        _text("sensor"),
        _text("recording"),
        sa.Column("demo", sa.Boolean, nullable=False),
        _text("outcome", nullable=True),
        _json("summary", nullable=True),
        sa.UniqueConstraint("uuid"),
    )
    op.create_index("ix_session_trainee_id_started_utc_us", "session", ["trainee_id", "started_utc_us"])
    op.create_table(
        "analysis_run",
        _id(),
        _to("session"),
        _text("kind"),
        _text("version"),
        _text("parameters_sha"),
        _float("clock_ratio"),
        _float("clock_sd_ppm"),
    )
    op.create_index("ix_analysis_run_session_id", "analysis_run", ["session_id"])


def _sets() -> None:
    op.create_table(
        "rep_set",
        _id(),
        _to("analysis_run", name="run_id"),
        _to("trainee"),
        sa.Column("number", sa.Integer, nullable=False),
        _json("bouts"),
        _float("start_s", nullable=False),
        _float("end_s", nullable=False),
        sa.Column("measured", sa.Boolean, nullable=False),
        _text("why", nullable=True),
        _float("rest_before_s"),
        _float("clock_ratio", nullable=False),
        _json("verdict"),
        sa.UniqueConstraint("run_id", "start_s"),
        sa.CheckConstraint("number >= 1", name="number"),
    )
    op.create_index("ix_rep_set_trainee_id", "rep_set", ["trainee_id"])


def _reps() -> None:
    measured = ("hold_top_s", "bottom_pause_s", "half_pause_s", "shrug_start_s", "reached", "travel_m")
    motion = ("mean_velocity_m_s", "peak_velocity_m_s", "lean_deg")
    timing = ("start_sd_s", "top_sd_s", "down_sd_s", "end_sd_s", "provisional_s", "emitted_s")
    op.create_table(
        "rep",
        _id(),
        _to("rep_set", name="set_id"),
        sa.Column("ordinal", sa.Integer, nullable=False),
        _float("start_s", nullable=False),
        _float("top_s"),
        _float("down_s"),
        _float("end_s", nullable=False),
        _text("kind"),
        *(_float(name) for name in (*measured, *motion, *timing)),
        _json("verdict"),
        sa.UniqueConstraint("set_id", "ordinal"),
        sa.CheckConstraint("ordinal >= 1", name="ordinal"),
    )


def _corrections() -> None:
    op.create_table(
        "correction",
        _id(),
        _to("session"),
        _float("start_s", nullable=False),
        _float("end_s", nullable=False),
        _text("kind"),
        _json("value", nullable=True),
        _text("reason"),
        _text("who"),
        _moment("made_utc_us"),
        sa.CheckConstraint("end_s >= start_s", name="span"),
    )
    op.create_index("ix_correction_session_id", "correction", ["session_id"])


def _next_sessions() -> None:
    op.create_table(
        "next_session",
        _id(),
        _to("trainee"),
        _to("session", name="after_session_id", nullable=True),
        _moment("made_utc_us"),
        sa.Column("due", sa.Date, nullable=False),
        _text("rung"),
        sa.Column("step", sa.Integer, nullable=False),
        sa.Column("steps", sa.Integer, nullable=False),
        _json("prescription"),
        _json("reasons"),
        _json("cautions"),
    )
    op.create_index("ix_next_session_trainee_id", "next_session", ["trainee_id"])


def _write_once(table: str) -> None:
    for act in ("UPDATE", "DELETE"):
        op.execute(
            f"CREATE TRIGGER {table}_no_{act.lower()} BEFORE {act} ON {table} "
            "BEGIN SELECT RAISE(ABORT, 'what was measured is never overwritten'); END"
        )
