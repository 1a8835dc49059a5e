"""Plans, and which of them was published when."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from models.store.guards import put_guard

revision = "publications"
down_revision = "loads"


def upgrade() -> None:
    """Make the tables and guard them."""
    op.create_table(
        "plans",
        sa.Column("digest", sa.Text, primary_key=True),
        sa.Column("content", sa.LargeBinary, nullable=False),
        _entry(),
        sqlite_strict=True,
    )
    op.create_table(
        "publications",
        sa.Column("number", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("plan", sa.Text, sa.ForeignKey("plans.digest"), nullable=False),
        sa.Column("load", sa.Integer, sa.ForeignKey("loads.number"), nullable=False),
        _entry(),
        sqlite_strict=True,
    )
    for table in ("plans", "publications"):
        put_guard(op.get_bind(), table)


def _entry() -> sa.Column[int]:
    return sa.Column("entry", sa.Integer, sa.ForeignKey("log.entry"), nullable=False)
