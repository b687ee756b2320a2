"""The tables of the logbook, as they are now. `migrations` leads here from every form ever released.

Moments are integer microseconds since 1970-01-01 UTC (`…_utc_us`); times in a recording are seconds of the sensor's own
clock (`…_s`). What was measured (`rep_set`, `rep`) is written once: an analysis run adds rows, and triggers refuse to
change or delete any, nor what people
said. Trainee, station and session carry a UUID for the outside; the small integer ids are for joins. `change_tables`
adds what tells another logbook of it.
"""

from __future__ import annotations

from sqlalchemy import (
    DDL,
    JSON,
    BigInteger,
    Boolean,
    CheckConstraint,
    Column,
    Date,
    Float,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    Table,
    Text,
    UniqueConstraint,
    event,
)

REVISIONS = ("0001", "0002", "0003", "0004", "0005", "0006", "0007", "0008")
"""Every form of the logbook that this program can read, oldest first; the last is the present one."""

APPLICATION_ID = 0x52_55_4E_47
"""Written into the file's header, so that a stranger's database is never touched."""

METADATA = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s_%(referred_table_name)s",
        "pk": "pk_%(table_name)s",
    }
)

_ID = BigInteger().with_variant(Integer, "sqlite")
_JSON = JSON(none_as_null=True)


def _id() -> Column[int]:
    return Column("id", _ID, primary_key=True)


def _to(table: str, *, nullable: bool = False, index: bool = False, name: str = "") -> Column[int]:
    return Column(name or f"{table}_id", _ID, ForeignKey(f"{table}.id"), nullable=nullable, index=index)


def _text(name: str, *, nullable: bool = False, unique: bool = False) -> Column[str]:
    return Column(name, Text, nullable=nullable, unique=unique)


def _seconds(name: str, *, nullable: bool = True) -> Column[float]:
    return Column(name, Float, nullable=nullable)


station = Table(
    "station",
    METADATA,
    _id(),
    _text("uuid", unique=True),
    Column("local", Boolean, nullable=False),
)

trainee = Table(
    "trainee",
    METADATA,
    _id(),
    _text("uuid", unique=True),
    _text("name"),
    # the name as it is compared: no difference of case or of Unicode form
    _text("name_key", unique=True),
)

session = Table(
    "session",
    METADATA,
    _id(),
    _text("uuid", unique=True),
    _to("trainee"),
    _to("station"),
    # the trainee's own calendar day, which a moment in UTC does not tell
    Column("day", Date, nullable=False),
    Column("started_utc_us", BigInteger, nullable=False),
    Column("ended_utc_us", BigInteger),
    _text("rung", nullable=True),
    Column("prescription", _JSON, nullable=False),
    _text("mount"),
    _text("sensor"),
    _text("recording"),
    Column("demo", Boolean, nullable=False),
    _text("outcome", nullable=True),
    Column("summary", _JSON),
    # where on the body the sensor sat
    _text("place", nullable=True),
    # how the rung was climbed
    Column("method", Text, nullable=False, server_default="own"),
    # whether the sensor counted or a person told it, and who watched
    Column("source", Text, nullable=False, server_default="sensor"),
    _text("seen_by", nullable=True),
    Column("set_up", _JSON),
    Column("rpe", Integer),
    Column("minutes", Float),
    _text("note", nullable=True),
    # how many sets answer for it, of the exercise, its partner, the warm-up; null where they are to be read
    Column("own_sets", Integer, index=True),
    Column("partner_sets", Integer),
    Column("warm_up_sets", Integer),
    Index(None, "trainee_id", "started_utc_us"),
)

analysis_run = Table(
    "analysis_run",
    METADATA,
    _id(),
    _to("session", index=True),
    _text("kind"),
    _text("version"),
    _text("parameters_sha"),
    Column("clock_ratio", Float),
    Column("clock_sd_ppm", Float),
    # one sigma of a single moment, of a sensor that does not tell the time
    _seconds("moment_sd_s"),
)

rep_set = Table(
    "rep_set",
    METADATA,
    _id(),
    _to("analysis_run", name="run_id"),
    _to("trainee", index=True),
    Column("number", Integer, nullable=False),
    Column("bouts", _JSON, nullable=False),
    _seconds("start_s", nullable=False),
    _seconds("end_s", nullable=False),
    Column("measured", Boolean, nullable=False),
    _text("why", nullable=True),
    _seconds("rest_before_s"),
    Column("clock_ratio", Float, nullable=False),
    # without the verdicts of its reps, which stand beside them
    Column("verdict", _JSON, nullable=False),
    # the prescribed exercise's, or that of its partner in a superset: never counted
    Column("kind", Text, nullable=False, server_default="exercise"),
    # how it began: whether with a way down, and in which posture; from this follows whose it was
    Column("begins_down", Boolean),
    Column("direction", _JSON),
    # not its number: a set that follows a dropped one takes over its place
    UniqueConstraint("run_id", "start_s"),
    CheckConstraint("number >= 1", name="number"),
)

rep = Table(
    "rep",
    METADATA,
    _id(),
    _to("rep_set", name="set_id"),
    Column("ordinal", Integer, nullable=False),
    _seconds("start_s", nullable=False),
    _seconds("top_s"),
    _seconds("down_s"),
    _seconds("end_s", nullable=False),
    _text("kind"),
    _seconds("hold_top_s"),
    _seconds("bottom_pause_s"),
    _seconds("half_pause_s"),
    _seconds("shrug_start_s"),
    Column("reached", Float),
    Column("travel_m", Float),
    Column("mean_velocity_m_s", Float),
    Column("peak_velocity_m_s", Float),
    Column("lean_deg", Float),
    _seconds("start_sd_s"),
    _seconds("top_sd_s"),
    _seconds("down_sd_s"),
    _seconds("end_sd_s"),
    _seconds("provisional_s"),
    _seconds("emitted_s"),
    Column("verdict", _JSON, nullable=False),
    Column("mean_velocity_sd_m_s", Float),
    Column("peak_velocity_sd_m_s", Float),
    # why a boundary cannot be told
    *(_text(f"{boundary}_why", nullable=True) for boundary in ("start", "top", "down", "end")),
    UniqueConstraint("set_id", "ordinal"),
    CheckConstraint("ordinal >= 1", name="ordinal"),
)

correction = Table(
    "correction",
    METADATA,
    _id(),
    _text("uuid", unique=True),
    _to("session", index=True),
    # a span of the recording, not a row: so it survives a new analysis
    _seconds("start_s", nullable=False),
    _seconds("end_s", nullable=False),
    _text("kind"),
    Column("value", _JSON),
    _text("reason"),
    _text("text"),
    _text("who"),
    _text("role"),
    Column("made_utc_us", BigInteger, nullable=False),
    CheckConstraint("end_s >= start_s", name="span"),
)

next_session = Table(
    "next_session",
    METADATA,
    _id(),
    _to("trainee", index=True),
    _to("session", name="after_session_id", nullable=True),
    Column("made_utc_us", BigInteger, nullable=False),
    Column("due", Date, nullable=False),
    _text("rung"),
    Column("step", Integer, nullable=False),
    Column("steps", Integer, nullable=False),
    Column("prescription", _JSON, nullable=False),
    Column("reasons", _JSON, nullable=False),
    Column("cautions", _JSON, nullable=False),
    Column("method", Text, nullable=False, server_default="own"),
    _text("cue", nullable=True),
)

# what people say that no sensor knows: pain, signs, form, releases, where to begin
statement = Table(
    "statement",
    METADATA,
    _id(),
    _text("uuid", unique=True),
    _to("trainee"),
    _text("kind"),
    Column("day", Date, nullable=False),
    Column("said_utc_us", BigInteger, nullable=False),
    Column("value", _JSON, nullable=False),
    Index(None, "trainee_id", "said_utc_us"),
)

for _table in (rep_set, rep, correction, statement):
    for _act in ("UPDATE", "DELETE"):
        _once = DDL(  # type: ignore[no-untyped-call]  # SQLAlchemy leaves this one without types
            f"CREATE TRIGGER {_table.name}_no_{_act.lower()} BEFORE {_act} ON {_table.name} "
            "BEGIN SELECT RAISE(ABORT, 'what was measured is never overwritten'); END"
        )
        event.listen(_table, "after_create", _once.execute_if(dialect="sqlite"))
