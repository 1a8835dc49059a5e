"""Who works with the store, and in which role."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from models.store.guards import put_guard

revision = "users"
down_revision = "reservations"


def upgrade() -> None:
    """Make the table and guard it."""
    op.create_table(
        "users",
        sa.Column("name", sa.Text, primary_key=True),
        sa.Column("version", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("role", sa.Text, nullable=False),
        sa.Column("active", sa.Integer, nullable=False),
        sa.Column("entry", sa.Integer, sa.ForeignKey("log.entry"), nullable=False),
        sa.CheckConstraint("active IN (0, 1)"),
        sqlite_strict=True,
    )
    put_guard(op.get_bind(), "users")
