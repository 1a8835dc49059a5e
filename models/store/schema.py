"""The tables as they are today; `migrations/` makes them.

Every table is append-only (`guards`): what holds now is the newest version. Numbers
are given by the writer itself, inside its transaction, so that they have no gaps and
are the same on every database. Instants are ISO 8601 in UTC, documents are JSON with
sorted keys.
"""

from __future__ import annotations

from sqlalchemy import (
    CheckConstraint,
    Column,
    ForeignKey,
    Integer,
    LargeBinary,
    MetaData,
    Table,
    Text,
)

metadata = MetaData()


def _number(name: str) -> Column[int]:
    return Column(name, Integer, primary_key=True, autoincrement=False)


def _entry(nullable: bool = False) -> Column[int]:
    return Column("entry", Integer, ForeignKey("log.entry"), nullable=nullable)


def _document() -> tuple[Column[str], Column[str]]:
    """A JSON document and its SHA-256."""
    return (
        Column("digest", Text, nullable=False),
        Column("content", Text, nullable=False),
    )


# Who did what, when and why.
log = Table(
    "log",
    metadata,
    _number("entry"),
    Column("at", Text, nullable=False),
    Column("who", Text, nullable=False),
    Column("action", Text, nullable=False),
    Column("why", Text, nullable=False),
    Column("details", Text, nullable=False),
    sqlite_strict=True,
)

# The yard with its boat models, as one document.
yard_versions = Table(
    "yard_versions",
    metadata,
    _number("version"),
    *_document(),
    _entry(),
    sqlite_strict=True,
)

# Each time that files were taken in; `sources` has their SHA-256 by name.
loads = Table(
    "loads",
    metadata,
    _number("number"),
    Column(
        "yard_version", Integer, ForeignKey("yard_versions.version"), nullable=False
    ),
    Column("sources", Text, nullable=False),
    _entry(),
    sqlite_strict=True,
)

# An order with its arrivals, work in hand and locks, as one document.
order_versions = Table(
    "order_versions",
    metadata,
    Column("order_id", Text, primary_key=True),
    _number("version"),
    Column("load", Integer, ForeignKey("loads.number"), nullable=False),
    Column("withdrawn", Integer, nullable=False),
    *_document(),
    CheckConstraint("withdrawn IN (0, 1)"),
    sqlite_strict=True,
)

# Plan files that were published, compressed (zlib), by the SHA-256 of their text.
plans = Table(
    "plans",
    metadata,
    Column("digest", Text, primary_key=True),
    Column("content", LargeBinary, nullable=False),
    _entry(),
    sqlite_strict=True,
)

# The newest is the plan that the floor works to.
publications = Table(
    "publications",
    metadata,
    _number("number"),
    Column("plan", Text, ForeignKey("plans.digest"), nullable=False),
    Column("load", Integer, ForeignKey("loads.number"), nullable=False),
    _entry(),
    sqlite_strict=True,
)

# What the floor recorded, as one document each. One that corrects another names its
# number; both stay.
floor_entries = Table(
    "floor_entries",
    metadata,
    _number("number"),
    Column("order_id", Text, nullable=False),
    *_document(),
    Column("corrects", Integer, nullable=True),
    _entry(),
    sqlite_strict=True,
)

# What was decided about suggested standards, as one document each.
standards = Table(
    "standards",
    metadata,
    _number("number"),
    Column("model", Text, nullable=False),
    Column("operation", Text, nullable=False),
    *_document(),
    _entry(),
    sqlite_strict=True,
)

# Slots reserved for quotes, and accepted ones, as one document each.
reservations = Table(
    "reservations",
    metadata,
    _number("number"),
    Column("order_id", Text, nullable=False),
    *_document(),
    Column("plan", Text, ForeignKey("plans.digest"), nullable=False),
    _entry(),
    sqlite_strict=True,
)

# Who works with the store; of each name the newest version holds.
users = Table(
    "users",
    metadata,
    Column("name", Text, primary_key=True),
    _number("version"),
    Column("role", Text, nullable=False),
    Column("active", Integer, nullable=False),
    _entry(),
    CheckConstraint("active IN (0, 1)"),
    sqlite_strict=True,
)

# Plans and trials in the making, as one document each time that something is said of
# them. `entry` is there where somebody asked that one stop.
jobs = Table(
    "jobs",
    metadata,
    _number("number"),
    _number("version"),
    *_document(),
    _entry(nullable=True),
    sqlite_strict=True,
)
