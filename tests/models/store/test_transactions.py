"""Whole transactions, and errors as one clear line."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest
from sqlalchemy import Connection, event, func, select, text

from models.errors import StoreFault
from models.store.loads import current, load
from models.store.log import append
from models.store.schema import log
from models.store.transactions import Store, is_there, open_store, read, write
from tests.models.store.conftest import ANN, BEN, little_yard, with_order


def entry_count(store: Store) -> int:
    """Entries of the log."""
    query = select(func.count()).select_from(log)
    return read(store, lambda c: c.execute(query).scalar_one())


def test_a_failure_leaves_nothing_behind(store: Store) -> None:
    """What was written before an error is taken back."""

    def work(connection: Connection) -> None:
        append(connection, ANN, "try", {})
        raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        write(store, work)
    assert entry_count(store) == 0


def test_every_statement_may_fail(loaded: Store) -> None:
    """Whichever statement of a load fails, the store is as it was before."""
    before = current(loaded)
    files = with_order(little_yard(), "B-9", note="new")
    failed = 0
    for number in range(1, 60):
        seen = 0

        @event.listens_for(loaded.engine, "before_cursor_execute")
        def fail(*args: object, number: int = number) -> None:
            nonlocal seen
            seen += 1
            if seen == number:
                raise OSError("no room")

        try:
            load(loaded, files, BEN, None)
            break
        except OSError:
            failed += 1
        finally:
            event.remove(loaded.engine, "before_cursor_execute", fail)
        assert current(loaded) == before
    assert failed > 5
    assert current(loaded).number == before.number + 1


def test_a_full_disk_is_one_clear_line(tmp_path: Path) -> None:
    """Where nothing more fits, the user is told so and the store is as it was."""
    store = open_store(str(tmp_path / "yard.db"), create=True)
    load(store, little_yard(), ANN, None)

    @event.listens_for(store.engine, "connect")
    def limit(connection: sqlite3.Connection, record: object) -> None:
        (pages,) = connection.execute("PRAGMA page_count").fetchone()
        connection.execute(f"PRAGMA max_page_count = {pages}")

    files = with_order(little_yard(), "B-9", note="long " * 5000)
    with pytest.raises(StoreFault, match="the disk is full; nothing was changed"):
        load(store, files, BEN, None)
    assert current(open_store(store.shown)).number == 1


def test_a_file_that_is_no_store(tmp_path: Path) -> None:
    """A file of something else is refused in one line and left alone."""
    path = tmp_path / "notes.txt"
    path.write_text("no store\n" * 400, encoding="utf-8")
    with pytest.raises(StoreFault, match="the file is not a store"):
        open_store(str(path), create=True)
    assert path.read_text(encoding="utf-8") == "no store\n" * 400


def test_a_database_of_something_else(tmp_path: Path) -> None:
    """Tables that are not ours are never touched."""
    path = tmp_path / "other.db"
    with sqlite3.connect(path) as other:
        other.execute("CREATE TABLE parts (id INTEGER)")
    with pytest.raises(StoreFault, match="tables of something else"):
        open_store(str(path), create=True)


def test_reading_makes_no_store(tmp_path: Path) -> None:
    """A store that is not there is not made by looking for it."""
    path = tmp_path / "yard.db"
    with pytest.raises(StoreFault, match="no store at"):
        open_store(str(path))
    assert not is_there(str(path))
    assert not path.exists()


def test_a_folder_is_no_store(tmp_path: Path) -> None:
    """The folder of the yard is not its store."""
    with pytest.raises(StoreFault, match="is a folder"):
        open_store(str(tmp_path))


def test_a_server_that_does_not_answer(tmp_path: Path) -> None:
    """A server that is not there is one clear line, without the password."""
    address = f"postgresql://ann:secret@/yard?host={tmp_path}"
    with pytest.raises(StoreFault, match="not reached") as error:
        open_store(address)
    assert "secret" not in str(error.value)
    assert "\n" not in str(error.value)


def test_a_missing_database_is_told(server: str) -> None:
    """A database that the server does not have is one clear line."""
    with pytest.raises(StoreFault, match="does not exist"):
        open_store(f"postgresql://postgres@/none?host={server}", create=True)


def test_a_defect_stays_one(store: Store) -> None:
    """A wrong statement is not told as if the user could mend it."""
    with pytest.raises(Exception, match="no_such_table") as error:
        read(store, lambda c: c.execute(text("SELECT * FROM no_such_table")))
    assert not isinstance(error.value, StoreFault)
