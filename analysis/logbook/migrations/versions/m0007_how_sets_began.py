"""A set says how it began, so that whose it was can be worked out anew once a person says something of it."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"


def upgrade() -> None:
    """Add the columns; of older sets it is not known."""
    op.add_column("rep_set", sa.Column("begins_down", sa.Boolean))
    op.add_column("rep_set", sa.Column("direction", sa.JSON(none_as_null=True)))
