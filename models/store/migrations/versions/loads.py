"""The first tables: the log, and yards and orders as they were loaded."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from models.store.guards import put_guard

revision = "loads"
down_revision = None


def upgrade() -> None:
    """Make the tables and guard them."""
    _log_and_yards()
    op.create_table(
        "loads",
        _number("number"),
        sa.Column("yard_version", sa.Integer, nullable=False),
        sa.Column("sources", sa.Text, nullable=False),
        sa.Column("entry", sa.Integer, sa.ForeignKey("log.entry"), nullable=False),
        sa.ForeignKeyConstraint(["yard_version"], ["yard_versions.version"]),
        sqlite_strict=True,
    )
    op.create_table(
        "order_versions",
        sa.Column("order_id", sa.Text, primary_key=True),
        _number("version"),
        sa.Column("load", sa.Integer, sa.ForeignKey("loads.number"), nullable=False),
        sa.Column("withdrawn", sa.Integer, nullable=False),
        sa.Column("digest", sa.Text, nullable=False),
        sa.Column("content", sa.Text, nullable=False),
        sa.CheckConstraint("withdrawn IN (0, 1)"),
        sqlite_strict=True,
    )
    for table in ("log", "yard_versions", "loads", "order_versions"):
        put_guard(op.get_bind(), table)


def _log_and_yards() -> None:
    op.create_table(
        "log",
        _number("entry"),
        *(
            sa.Column(name, sa.Text, nullable=False)
            for name in ("at", "who", "action", "why", "details")
        ),
        sqlite_strict=True,
    )
    op.create_table(
        "yard_versions",
        _number("version"),
        sa.Column("digest", sa.Text, nullable=False),
        sa.Column("content", sa.Text, nullable=False),
        sa.Column("entry", sa.Integer, sa.ForeignKey("log.entry"), nullable=False),
        sqlite_strict=True,
    )


def _number(name: str) -> sa.Column[int]:
    return sa.Column(name, sa.Integer, primary_key=True, autoincrement=False)
