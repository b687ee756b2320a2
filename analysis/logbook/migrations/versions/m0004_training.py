"""What people say, how a rung was climbed, where figures come from, what stood around; a next session may be none."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"

_ID = sa.BigInteger().with_variant(sa.Integer, "sqlite")
_JSON = sa.JSON(none_as_null=True)


def upgrade() -> None:
    """Add the columns and the table; of older sessions nothing more is known than that the sensor counted them."""
    op.add_column("session", sa.Column("method", sa.Text, nullable=False, server_default="own"))
    op.add_column("session", sa.Column("source", sa.Text, nullable=False, server_default="sensor"))
    op.add_column("session", sa.Column("seen_by", sa.Text))
    op.add_column("session", sa.Column("set_up", _JSON))
    op.add_column("session", sa.Column("rpe", sa.Integer))
    op.add_column("session", sa.Column("minutes", sa.Float))
    op.add_column("session", sa.Column("note", sa.Text))
    op.add_column("next_session", sa.Column("method", sa.Text, nullable=False, server_default="own"))
    op.add_column("next_session", sa.Column("cue", sa.Text))
    op.create_table(
        "statement",
        sa.Column("id", _ID, primary_key=True),
        sa.Column("uuid", sa.Text, nullable=False),
        sa.Column("trainee_id", _ID, sa.ForeignKey("trainee.id"), nullable=False),
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("day", sa.Date, nullable=False),
        sa.Column("said_utc_us", sa.BigInteger, nullable=False),
        sa.Column("value", _JSON, nullable=False),
        sa.UniqueConstraint("uuid"),
    )
    op.create_index(None, "statement", ["trainee_id", "said_utc_us"])
    if op.get_bind().dialect.name == "sqlite":
        for act in ("UPDATE", "DELETE"):
            op.execute(
                f"CREATE TRIGGER statement_no_{act.lower()} BEFORE {act} ON statement "
                "BEGIN SELECT RAISE(ABORT, 'what was measured is never overwritten'); END"
            )
