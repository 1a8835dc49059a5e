"""Standards that were accepted, refused or ended."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from models.store.guards import put_guard

revision = "standards"
down_revision = "floor"


def upgrade() -> None:
    """Make the table and guard it."""
    op.create_table(
        "standards",
        sa.Column("number", sa.Integer, primary_key=True, autoincrement=False),
        *(
            sa.Column(name, sa.Text, nullable=False)
            for name in ("model", "operation", "digest", "content")
        ),
        sa.Column("entry", sa.Integer, sa.ForeignKey("log.entry"), nullable=False),
        sqlite_strict=True,
    )
    put_guard(op.get_bind(), "standards")
