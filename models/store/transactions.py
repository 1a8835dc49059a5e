"""Reading and writing in whole transactions, and what may go wrong with them."""

from __future__ import annotations

import random
import sqlite3
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from sqlalchemy import Connection, Engine
from sqlalchemy.exc import DBAPIError

from models.errors import StoreFault
from models.store.address import Address, parse_address
from models.store.engine import PATIENCE_SECONDS, make_engine
from models.store.upgrade import is_current, revision, upgrade

Result = TypeVar("Result")

_MOST_TRIES = 60
_LONGEST_PAUSE_SECONDS = 0.25
# PostgreSQL could not serialize, met a deadlock, or two wrote the same number.
_AGAIN = {"40001", "40P01", "23505"}
_SQLITE_REASONS = {
    "SQLITE_BUSY": f"others have been writing for {PATIENCE_SECONDS} seconds; "
    "nothing was changed: try again in a minute",
    "SQLITE_FULL": "the disk is full; nothing was changed",
    "SQLITE_READONLY": "the file may only be read; nothing was changed",
    "SQLITE_CANTOPEN": "the file cannot be opened",
    "SQLITE_CORRUPT": "the file is damaged: move it away and restore a backup",
    "SQLITE_NOTADB": "the file is not a store",
    "SQLITE_IOERR": "the disk does not answer; nothing was changed",
}


@dataclass(frozen=True, slots=True)
class Store:
    """An open store; connections are made for each transaction."""

    address: Address
    engine: Engine

    @property
    def shown(self) -> str:
        """Its address, without a password."""
        return self.address.shown


def open_store(address: str, *, create: bool = False) -> Store:
    """Open a store; one of an earlier version is brought up to date.

    Parameters
    ----------
    address : str
        As `models.store.address.parse_address` understands it.
    create : bool
        Make its tables if there are none.

    Raises
    ------
    StoreFault
        If there is none, or it cannot be used.
    UsageError
        If the address is no address.
    """
    where = parse_address(address)
    if where.file is not None:
        _look_at(where.file, create)
    store = Store(where, make_engine(where))
    if read(store, is_current):
        return store
    if not create and read(store, revision) is None:
        raise StoreFault(f"no store at {store.shown} yet: `hullpace load` makes one")
    write(store, _upgrade_if_needed)
    return store


def is_there(address: str) -> bool:
    """Whether a store is at an address, of whatever version.

    Raises
    ------
    StoreFault
        If the database cannot be reached or holds something else.
    """
    where = parse_address(address)
    if where.file is not None and not where.file.exists():
        return False
    return read(Store(where, make_engine(where)), revision) is not None


def read(store: Store, work: Callable[[Connection], Result]) -> Result:
    """Run `work` on one unchanging view of the store."""
    engine = store.engine.execution_options(only_reads=True)
    return _patiently(store, engine, work)


def write(store: Store, work: Callable[[Connection], Result]) -> Result:
    """Run `work` in one transaction: all of it is kept, or nothing.

    Where PostgreSQL finds that two transactions cannot be put in turn, `work` runs
    again; so it must do nothing but read and write the store.

    Raises
    ------
    StoreFault
        If the store cannot be written; it is as it was.
    """
    return _patiently(store, store.engine, work)


def _patiently(
    store: Store, engine: Engine, work: Callable[[Connection], Result]
) -> Result:
    for attempt in range(1, _MOST_TRIES + 1):
        try:
            with _told(store), engine.connect() as connection, connection.begin():
                return work(connection)
        except DBAPIError as error:
            if getattr(error.orig, "sqlstate", None) not in _AGAIN:
                raise
            if attempt == _MOST_TRIES:
                break
        longest = min(_LONGEST_PAUSE_SECONDS, 0.005 * 2**attempt)
        time.sleep(random.uniform(0.0, longest))
    raise StoreFault(
        f"{store.shown}: others write to it all the time; nothing was changed: "
        "try again in a minute"
    )


def _upgrade_if_needed(connection: Connection) -> None:
    if not is_current(connection):
        upgrade(connection)


def _look_at(file: Path, create: bool) -> None:
    if file.is_dir():
        raise StoreFault(f"{file} is a folder: --store names a file")
    if create:
        file.parent.mkdir(parents=True, exist_ok=True)
    elif not file.exists():
        raise StoreFault(f"no store at {file} yet: `hullpace load` makes one")


@contextmanager
def _told(store: Store) -> Iterator[None]:
    """Turn what a user can mend into one clear line; a defect stays one."""
    try:
        yield
    except DBAPIError as error:
        reason = _reason(error.orig)
        if reason is None:
            raise
        raise StoreFault(f"{store.shown}: {reason}") from None


def _reason(error: BaseException | None) -> str | None:
    if isinstance(error, sqlite3.Error):
        name = getattr(error, "sqlite_errorname", "") or ""
        return next(
            (text for code, text in _SQLITE_REASONS.items() if name.startswith(code)),
            None,
        )
    state = getattr(error, "sqlstate", None)
    lost = (state or "")[:2] in {"08", "57"}  # classes of PostgreSQL's error codes
    if lost or (type(error).__name__ == "OperationalError" and state is None):
        # Lost while a change was being kept, nobody here knows whether it was.
        first = str(error).splitlines()[0].strip()
        return f"not reached ({first}); run it again: nothing is done twice"
    if state == "55P03":
        return _SQLITE_REASONS["SQLITE_BUSY"]
    if state in {"53100", "42501", "28P01", "28000", "3D000"}:
        return str(error).splitlines()[0].strip()
    return None
