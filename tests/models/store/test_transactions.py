"""Whole transactions, and errors as one clear line."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest
from sqlalchemy import Connection, event, func, select, text

from models.errors import StoreFault
from models.store.backup import backup, restore
from models.store.loads import current, load
from models.store.log import append
from models.store.plans import publish
from models.store.schema import log
from models.store.soundness import faults
from models.store.transactions import Store, is_there, open_store, read, write
from tests.models.store.conftest import (
    ANN,
    BEN,
    little_yard,
    plan_of,
    rows,
    with_order,
)
from tests.stores import new_database


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


def more_orders(store: Store, folder: Path) -> None:
    """Load a new order."""
    load(store, with_order(little_yard(), "B-9", note="new"), BEN, None)


def next_plan(store: Store, folder: Path) -> None:
    """Publish another plan."""
    publish(store, plan_of(little_yard(), "second"), BEN, 1)


def earlier_state(store: Store, folder: Path) -> None:
    """Restore what the store was at first."""
    for old in folder.glob("aside*"):
        old.unlink()
    restore(store, folder / "first.db", BEN, folder / "aside.db")


@pytest.mark.parametrize(
    "change",
    [more_orders, next_plan, pytest.param(earlier_state, marks=pytest.mark.slow)],
)
def test_every_statement_may_fail(
    published: Store, tmp_path: Path, change: Callable[[Store, Path], None]
) -> None:
    """Whichever statement of a change fails, the store is as it was before."""
    backup(published, tmp_path / "first.db")
    if change is earlier_state:
        more_orders(published, tmp_path)
    before = rows(published)
    failed = 0
    while True:
        seen = 0

        @event.listens_for(published.engine, "before_cursor_execute")
        def fail(*args: object, allowed: int = failed) -> None:
            nonlocal seen
            seen += 1
            if seen > allowed:
                raise OSError("no room")

        try:
            change(published, tmp_path)
            break
        except OSError:
            failed += 1
        finally:
            event.remove(published.engine, "before_cursor_execute", fail)
        assert rows(published) == before
    assert failed > 5
    assert rows(published) != before
    assert faults(published) == []


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


def test_a_lost_connection_is_one_clear_line(server: str) -> None:
    """Where the server ends a connection, the user is told to run it again."""
    store = open_store(new_database(server), create=True)
    end = text("SELECT pg_terminate_backend(pg_backend_pid())")
    with pytest.raises(StoreFault, match="nothing is done twice"):
        write(store, lambda c: c.execute(end))
    assert current(store).number == 0
