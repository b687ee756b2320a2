"""Corrections have an identity and a reason of a list, and say who made them; a run says how sure its moments are."""

from __future__ import annotations

from uuid import uuid4

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"

_ID = sa.BigInteger().with_variant(sa.Integer, "sqlite")
_JSON = sa.JSON(none_as_null=True)


def upgrade() -> None:
    """Write the table anew: its rows may not be changed. Older corrections were made by key, in the trainee's name."""
    op.add_column("analysis_run", sa.Column("moment_sd_s", sa.Float))
    connection = op.get_bind()
    rows = connection.execute(sa.text("SELECT * FROM correction ORDER BY id")).mappings().all()
    op.drop_table("correction")
    table = op.create_table(
        "correction",
        sa.Column("id", _ID, primary_key=True),
        sa.Column("uuid", sa.Text, nullable=False),
        sa.Column("session_id", _ID, sa.ForeignKey("session.id"), nullable=False),
        sa.Column("start_s", sa.Float, nullable=False),
        sa.Column("end_s", sa.Float, nullable=False),
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("value", _JSON),
        sa.Column("reason", sa.Text, nullable=False),
        sa.Column("text", sa.Text, nullable=False),
        sa.Column("who", sa.Text, nullable=False),
        sa.Column("role", sa.Text, nullable=False),
        sa.Column("made_utc_us", sa.BigInteger, nullable=False),
        sa.UniqueConstraint("uuid"),
        sa.CheckConstraint("end_s >= start_s", name="span"),
    )
    op.create_index(None, "correction", ["session_id"])
    columns = [column.name for column in table.columns if column.name != "value"]
    for row in rows:
        was = {**row, "uuid": str(uuid4()), "reason": "other", "text": row["reason"], "role": "trainee"}
        insert = f"INSERT INTO correction ({', '.join(columns)}, value) VALUES (:{', :'.join(columns)}, :value)"
        connection.execute(sa.text(insert), was)
    if connection.dialect.name == "sqlite":
        for act in ("UPDATE", "DELETE"):
            op.execute(
                f"CREATE TRIGGER correction_no_{act.lower()} BEFORE {act} ON correction "
                "BEGIN SELECT RAISE(ABORT, 'what was measured is never overwritten'); END"
            )
