"""Copying a live store into one file, and a file back into a store.

A backup is a store of SQLite, whatever the store it was made from; so it can be looked
at as any other, and a yard can move from a file to a server and back. Rows are copied
in one transaction: others go on working, and the copy is the state between two of
their changes.
"""

from __future__ import annotations

import os
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from sqlalchemy import Connection, func, select

from models.errors import StoreFault, UsageError
from models.store.guards import lift_guard, put_guard
from models.store.log import Author, append_restored
from models.store.numbering import RESTORED, numbers_given
from models.store.permission import refuse_unless_allowed
from models.store.schema import log, metadata
from models.store.soundness import faults
from models.store.transactions import Store, is_there, open_store, read, write

_ROWS_AT_ONCE = 50


def backup(store: Store, target: Path) -> int:
    """Copy a store into a new file and check the copy; give the entries of its log.

    Raises
    ------
    UsageError
        If the file is there already.
    StoreFault
        If the store or its copy is not whole; no file is left then.
    """
    _refuse_existing(target)
    return read(store, lambda connection: _copy_out(connection, target))


def restore(
    store: Store, source: Path, author: Author, set_aside: Path | None = None
) -> int:
    """Make a store what a backup holds, in one transaction; give the log's entries.

    Parameters
    ----------
    source : Path
        A backup, or any other store of SQLite; it is not changed.
    author : Author
        Who restores, when, and why; an entry of the log says so.
    set_aside : Path, optional
        New file for what the store holds now; needed if it holds anything.

    Raises
    ------
    UsageError
        If there is no such backup, or the store holds something and nobody said where
        to keep that.
    StoreFault
        If the backup is not whole; the store is as it was then.
    """
    if not source.is_file():
        raise UsageError(f"no backup at {source}")
    if set_aside is not None:
        _refuse_existing(set_aside)
    with _own_copy(source) as copy:
        _refuse_unsound(copy, str(source))
        return write(store, lambda c: _replace(c, store, copy, author, set_aside))


def look_at(source: Path) -> None:
    """Refuse what is no backup, or none that is whole; errors as `restore`."""
    if not source.is_file():
        raise UsageError(f"no backup at {source}")
    with _own_copy(source) as copy:
        _refuse_unsound(copy, str(source))


def _refuse_existing(path: Path) -> None:
    if path.exists():
        raise UsageError(f"{path} is there already: name a new file")


def _refuse_unsound(store: Store, shown: str) -> None:
    found = faults(store)
    if found:
        raise StoreFault(f"{shown} is not whole: {' '.join(found[:3])}")


def _copy_out(connection: Connection, target: Path) -> int:
    target.parent.mkdir(parents=True, exist_ok=True)
    # A folder of its own: what a killed copy leaves there is never mistaken for ours.
    with tempfile.TemporaryDirectory(dir=target.parent, prefix="backup-") as folder:
        path = Path(folder) / target.name
        copy = open_store(str(path), create=True)
        entries = write(copy, lambda other: _copy_rows(connection, other))
        _refuse_unsound(copy, "the copy")
        path.replace(target)
    _sync_folder(target.parent)
    return entries


def _copy_rows(source: Connection, target: Connection) -> int:
    for table in metadata.sorted_tables:
        rows = source.execute(select(table)).mappings()
        for some in rows.partitions(_ROWS_AT_ONCE):
            target.execute(table.insert(), [dict(row) for row in some])
    return entry_count(target)


def entry_count(connection: Connection) -> int:
    """Entries of the log."""
    count: int = connection.execute(select(func.count(log.c.entry))).scalar_one()
    return count


def _replace(
    connection: Connection,
    store: Store,
    copy: Store,
    author: Author,
    set_aside: Path | None,
) -> int:
    refuse_unless_allowed(connection, author.who, RESTORED)
    held = entry_count(connection)
    if held and set_aside is None:
        raise UsageError(
            f"{store.shown} holds {held} entries; name a new file that keeps them: "
            "--set-aside FILE"
        )
    if held and set_aside is not None:
        _copy_out(connection, set_aside)
    numbers = numbers_given(connection)
    for table in reversed(metadata.sorted_tables):
        lift_guard(connection, table.name)
        connection.execute(table.delete())
    entries = read(copy, lambda other: _copy_rows(other, connection))
    for table in metadata.sorted_tables:
        put_guard(connection, table.name)
    newer = numbers_given(connection)
    details = {
        "entries": entries,
        "replaced": held,
        "numbers": {name: max(numbers[name], newer[name]) for name in numbers},
    }
    append_restored(connection, author, RESTORED, details)
    return entries


@contextmanager
def _own_copy(source: Path) -> Iterator[Store]:
    """A copy to read from: bringing an older backup up to date leaves it alone."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "backup.db"
        try:
            address = f"{source.resolve().as_uri()}?mode=ro"
            with (
                closing(sqlite3.connect(address, uri=True)) as one,
                closing(sqlite3.connect(path)) as other,
            ):
                one.backup(other)
        except sqlite3.Error as error:
            raise StoreFault(f"{source} cannot be read: {error}") from None
        if not is_there(str(path)):
            raise StoreFault(f"{source} holds no store")
        yield open_store(str(path))


def _sync_folder(folder: Path) -> None:
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
