"""Plans and trials in the making."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from models.store.guards import put_guard

revision = "jobs"
down_revision = "users"


def upgrade() -> None:
    """Make the table and guard it."""
    op.create_table(
        "jobs",
        *(
            sa.Column(name, sa.Integer, primary_key=True, autoincrement=False)
            for name in ("number", "version")
        ),
        sa.Column("digest", sa.Text, nullable=False),
        sa.Column("content", sa.Text, nullable=False),
        sa.Column("entry", sa.Integer, sa.ForeignKey("log.entry"), nullable=True),
        sqlite_strict=True,
    )
    put_guard(op.get_bind(), "jobs")
