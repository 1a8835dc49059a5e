"""Settings of connections."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest
from sqlalchemy import text

from models.errors import StoreFault
from models.store import engine as engines
from models.store.transactions import open_store, read, write
from tests.stores import new_database


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """A new file of SQLite."""
    path = tmp_path / "yard.db"
    open_store(str(path), create=True)
    return path


def test_sqlite_is_set_to_keep_what_was_written(file: Path) -> None:
    """Each connection journals, syncs twice, checks keys and trusts no schema."""
    expected = {
        "journal_mode": "delete",
        "synchronous": 3,  # EXTRA, sqlite.org "PRAGMA synchronous"
        "foreign_keys": 1,
        "trusted_schema": 0,
        "busy_timeout": 10_000,
    }
    found = read(
        open_store(str(file)),
        lambda c: {n: c.execute(text(f"PRAGMA {n}")).scalar_one() for n in expected},
    )
    assert found == expected


def test_a_long_wait_ends_in_one_clear_line(
    file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where another keeps writing for too long, the user is told to try again."""
    pragmas = ("busy_timeout = 50", *engines._PRAGMAS[1:])
    monkeypatch.setattr(engines, "_PRAGMAS", pragmas)
    store = open_store(str(file))
    with sqlite3.connect(file) as other:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(StoreFault, match="others have been writing") as error:
            write(store, lambda c: None)
    assert "try again" in str(error.value)


def test_postgresql_can_serialize(server: str) -> None:
    """A transaction of PostgreSQL is serializable."""
    store = open_store(new_database(server), create=True)
    query = text("SHOW transaction_isolation")
    assert write(store, lambda c: c.execute(query).scalar_one()) == "serializable"
