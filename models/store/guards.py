"""Triggers that refuse to change or remove what was written."""

from __future__ import annotations

from collections.abc import Iterator

from sqlalchemy import Connection, text

_REFUSAL = "what was written is never changed"
_FUNCTION = f"""
CREATE OR REPLACE FUNCTION refuse_change() RETURNS trigger LANGUAGE plpgsql AS
$$ BEGIN RAISE EXCEPTION '{_REFUSAL}'; END $$
"""


def put_guard(connection: Connection, table: str) -> None:
    """Refuse every UPDATE and DELETE of a table from now on."""
    for statement in _statements(connection, table):
        connection.execute(text(statement))


def lift_guard(connection: Connection, table: str) -> None:
    """Allow UPDATE and DELETE again; only `backup.restore` does, in a transaction."""
    of = f" ON {table}" if connection.dialect.name == "postgresql" else ""
    for change in ("update", "delete"):
        connection.execute(text(f"DROP TRIGGER {table}_no_{change}{of}"))


def _statements(connection: Connection, table: str) -> Iterator[str]:
    if connection.dialect.name == "postgresql":
        yield _FUNCTION
    for change in ("update", "delete"):
        head = f"CREATE TRIGGER {table}_no_{change} BEFORE {change} ON {table}"
        if connection.dialect.name == "postgresql":
            yield f"{head} FOR EACH ROW EXECUTE FUNCTION refuse_change()"
        else:
            yield f"{head} BEGIN SELECT RAISE(ABORT, '{_REFUSAL}'); END"
