"""A session knows how many sets answer for it, so that years of sessions can be read without their sets."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"


def upgrade() -> None:
    """Add the columns, and count what stands in finished sessions whose sets are all their own trainee's."""
    for column, kind in (("own_sets", "exercise"), ("partner_sets", "partner"), ("warm_up_sets", "warm-up")):
        op.add_column("session", sa.Column(column, sa.Integer))
        op.execute(f"UPDATE session SET {column} = ({_COUNTED.format(kind=kind)}) WHERE {_SETTLED}")
    op.create_index(None, "session", ["own_sets"])


_BEST_RUN = (
    "SELECT coalesce(max(CASE WHEN kind = 'refined' THEN id END), max(id)) FROM analysis_run "
    "WHERE session_id = session.id"
)
_COUNTED = f"SELECT count(*) FROM rep_set WHERE run_id = ({_BEST_RUN}) AND kind = '{{kind}}'"
_SETTLED = (
    "ended_utc_us IS NOT NULL AND outcome IS NOT NULL "
    "AND NOT EXISTS (SELECT 1 FROM analysis_run WHERE session_id = session.id AND kind = 're-analysis') "
    "AND NOT EXISTS (SELECT 1 FROM rep_set JOIN analysis_run ON rep_set.run_id = analysis_run.id "
    "WHERE analysis_run.session_id = session.id AND rep_set.trainee_id <> session.trainee_id)"
)
