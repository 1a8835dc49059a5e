"""Connections with the settings that keep what was written.

SQLite (documented at sqlite.org, "PRAGMA Statements"): a rollback journal with
`synchronous=EXTRA`, so that a transaction that was acknowledged survives a crash of the
program and a loss of power; foreign keys checked; ten seconds of patience with other
writers. Write-ahead logging is left alone: it needs one host and a newer SQLite than
many machines have. PostgreSQL: SERIALIZABLE.
"""

from __future__ import annotations

import sqlite3
from typing import Any

from sqlalchemy import Connection, Engine, NullPool, create_engine, event

from models.errors import StoreFault
from models.store.address import Address

PATIENCE_SECONDS = 10
_PRAGMAS = (
    f"busy_timeout = {PATIENCE_SECONDS * 1000}",
    "synchronous = EXTRA",
    "foreign_keys = ON",
    "trusted_schema = OFF",
)


def make_engine(address: Address) -> Engine:
    """Make an engine; nothing is opened yet.

    Raises
    ------
    StoreFault
        If PostgreSQL is asked for and its driver is not installed.
    """
    if address.file is not None:
        return _sqlite(address)
    try:
        return create_engine(
            address.url,
            poolclass=NullPool,
            isolation_level="SERIALIZABLE",
            connect_args={
                "connect_timeout": PATIENCE_SECONDS,
                "options": f"-c lock_timeout={PATIENCE_SECONDS}s",
            },
        )
    except ModuleNotFoundError:
        raise StoreFault(
            "PostgreSQL needs its driver: install hullpace[postgres]"
        ) from None


def _sqlite(address: Address) -> Engine:
    engine = create_engine(address.url, poolclass=NullPool)

    @event.listens_for(engine, "connect")
    def set_up(connection: sqlite3.Connection, record: object) -> None:
        # Python's own transactions begin late and silently; ours begin when told.
        connection.isolation_level = None
        for pragma in _PRAGMAS:
            connection.execute(f"PRAGMA {pragma}")
        (mode,) = connection.execute("PRAGMA journal_mode = DELETE").fetchone()
        if mode != "delete":
            raise StoreFault(f"{address.shown} keeps a journal of kind {mode}")

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        # A transaction that reads first and writes later could find the file locked
        # when it is too late to wait; so whoever may write says so at once.
        options: dict[str, Any] = dict(connection.get_execution_options())
        kind = "DEFERRED" if options.get("only_reads") else "IMMEDIATE"
        connection.exec_driver_sql(f"BEGIN {kind}")

    return engine
