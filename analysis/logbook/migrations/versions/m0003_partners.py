"""Sets of a superset's partner are kept beside those that count."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    """Add the kind; every older set was logged as one of the exercise."""
    op.add_column("rep_set", sa.Column("kind", sa.Text, nullable=False, server_default="exercise"))
