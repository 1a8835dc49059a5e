"""Backup and restore."""

from __future__ import annotations

import threading
from pathlib import Path

import pytest

from models.errors import StoreFault, UsageError
from models.store.backup import backup, restore
from models.store.loads import current, load
from models.store.log import entries
from models.store.plans import publish, read_plan
from models.store.schema import metadata
from models.store.soundness import faults
from models.store.transactions import Store, open_store, read
from tests.models.store.conftest import (
    ANN,
    BEN,
    little_yard,
    plan_of,
    rows,
    with_order,
)


@pytest.fixture
def other(tmp_path: Path) -> Store:
    """Another, empty store, in a file."""
    return open_store(str(tmp_path / "other.db"), create=True)


def test_a_backup_is_the_store(published: Store, tmp_path: Path) -> None:
    """The copy of either kind of database is a store with the same rows."""
    assert backup(published, tmp_path / "copies" / "one.db") == 2
    copy = open_store(str(tmp_path / "copies" / "one.db"))
    assert rows(copy) == rows(published)
    assert faults(copy) == []
    assert [path.name for path in (tmp_path / "copies").iterdir()] == ["one.db"]


def test_a_file_is_never_written_over(published: Store, tmp_path: Path) -> None:
    """An older backup stays."""
    (tmp_path / "one.db").write_text("older", encoding="utf-8")
    with pytest.raises(UsageError, match="is there already"):
        backup(published, tmp_path / "one.db")
    assert (tmp_path / "one.db").read_text(encoding="utf-8") == "older"


def test_an_empty_store_is_restored(
    published: Store, other: Store, tmp_path: Path
) -> None:
    """A new machine gets everything back, and the log says that it was restored."""
    backup(published, tmp_path / "one.db")
    assert restore(other, tmp_path / "one.db", BEN) == 2
    assert current(other) == current(published)
    assert read_plan(other) == read_plan(published)
    *before, entry = read(other, entries)
    assert before == read(published, entries)
    assert (entry.who, entry.action, entry.details["entries"]) == ("ben", "restore", 2)
    assert faults(other) == []


def test_what_a_store_holds_is_set_aside(published: Store, tmp_path: Path) -> None:
    """Nothing is lost by restoring: what was there is kept in a file first."""
    backup(published, tmp_path / "one.db")
    files = with_order(little_yard(), "B-9")
    load(published, files, BEN, None)
    before = rows(published)
    with pytest.raises(UsageError, match="--set-aside FILE"):
        restore(published, tmp_path / "one.db", BEN)
    assert rows(published) == before
    restore(published, tmp_path / "one.db", BEN, tmp_path / "aside.db")
    assert current(published).loaded == little_yard()
    assert rows(open_store(str(tmp_path / "aside.db"))) == before
    assert faults(published) == []


def test_numbers_are_never_given_twice(published: Store, tmp_path: Path) -> None:
    """After a restore, loads and plans go on from the numbers that were lost."""
    backup(published, tmp_path / "one.db")
    files = with_order(little_yard(), "B-9")
    load(published, files, BEN, None)
    publish(published, plan_of(files), BEN, 1)
    restore(published, tmp_path / "one.db", BEN, tmp_path / "aside.db")
    with pytest.raises(UsageError, match="no such load"):
        load(published, files, BEN, 2)
    assert load(published, files, BEN, None).number == 3
    assert publish(published, plan_of(files), BEN, 1).number == 3
    assert faults(published) == []


def test_guards_stand_after_a_restore(
    full: Store, other: Store, tmp_path: Path
) -> None:
    """A restored store refuses changes as any other."""
    from sqlalchemy import text
    from sqlalchemy.exc import DBAPIError

    from models.store.transactions import write

    backup(full, tmp_path / "one.db")
    restore(other, tmp_path / "one.db", BEN)
    for table in metadata.tables:
        with pytest.raises(DBAPIError, match="never changed"):
            write(other, lambda c, table=table: c.execute(text(f"DELETE FROM {table}")))


@pytest.mark.parametrize("content", [b"", b"no store " * 900])
def test_a_file_that_is_no_backup(other: Store, tmp_path: Path, content: bytes) -> None:
    """Something else is refused in one line; the store is as it was."""
    path = tmp_path / "note.txt"
    path.write_bytes(content)
    before = rows(other)
    with pytest.raises(StoreFault, match=r"note\.txt"):
        restore(other, path, BEN)
    with pytest.raises(UsageError, match="no backup at"):
        restore(other, tmp_path / "none.db", BEN)
    assert rows(other) == before


def test_a_damaged_backup_is_refused(
    published: Store, other: Store, tmp_path: Path
) -> None:
    """A backup that is not whole replaces nothing."""
    path = tmp_path / "one.db"
    backup(published, path)
    content = bytearray(path.read_bytes())
    at = content.index(b'"hull_area_m2"')
    content[at + 1] ^= 1
    path.write_bytes(content)
    with pytest.raises(StoreFault, match="is not what was written"):
        restore(other, path, BEN)
    assert current(other).number == 0


def test_a_backup_of_a_store_in_use(loaded: Store, tmp_path: Path) -> None:
    """A copy made while others write is a state between two of their changes."""
    stop = threading.Event()
    failed: list[BaseException] = []

    def write_on() -> None:
        files = little_yard()
        number = 0
        try:
            while not stop.is_set():
                number += 1
                files = with_order(files, f"C-{number}")
                files = with_order(files, f"D-{number}")
                load(loaded, files, ANN, None)
        except BaseException as error:  # told by the test
            failed.append(error)

    writer = threading.Thread(target=write_on)
    writer.start()
    try:
        for number in range(4):
            path = tmp_path / f"{number}.db"
            backup(loaded, path)
            copy = open_store(str(path))
            assert faults(copy) == []
            state = current(copy)
            assert state.loaded is not None
            # each load brings two orders, the first one two as well
            assert len(state.loaded.orders) == 2 * state.number
    finally:
        stop.set()
        writer.join()
    assert failed == []
    assert current(loaded).number > 1
