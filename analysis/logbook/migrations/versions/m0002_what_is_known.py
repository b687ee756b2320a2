"""How sure speeds are, why a boundary cannot be told, and where on the body the sensor sat."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"

_FIGURES = ("mean_velocity_sd_m_s", "peak_velocity_sd_m_s")
_REASONS = ("start_why", "top_why", "down_why", "end_why")


def upgrade() -> None:
    """Add the columns; nothing is known of older reps."""
    for name in _FIGURES:
        op.add_column("rep", sa.Column(name, sa.Float))
    for name in _REASONS:
        op.add_column("rep", sa.Column(name, sa.Text))
    op.add_column("session", sa.Column("place", sa.Text))
