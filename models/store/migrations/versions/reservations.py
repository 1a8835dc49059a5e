"""Slots that are kept for quotes."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from models.store.guards import put_guard

revision = "reservations"
down_revision = "standards"


def upgrade() -> None:
    """Make the table and guard it."""
    op.create_table(
        "reservations",
        sa.Column("number", sa.Integer, primary_key=True, autoincrement=False),
        *(
            sa.Column(name, sa.Text, nullable=False)
            for name in ("order_id", "digest", "content")
        ),
        sa.Column("plan", sa.Text, sa.ForeignKey("plans.digest"), nullable=False),
        sa.Column("entry", sa.Integer, sa.ForeignKey("log.entry"), nullable=False),
        sqlite_strict=True,
    )
    put_guard(op.get_bind(), "reservations")
