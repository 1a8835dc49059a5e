"""Where a store is: a file, or the address of a PostgreSQL database."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import URL, make_url
from sqlalchemy.exc import ArgumentError

from models.errors import UsageError

_POSTGRES = ("postgresql", "postgresql+psycopg")


@dataclass(frozen=True, slots=True)
class Address:
    """A parsed address; `file` is set for SQLite, `shown` has no password."""

    url: URL
    file: Path | None
    shown: str


def parse_address(text: str) -> Address:
    """Understand what --store names.

    Parameters
    ----------
    text : str
        The path of a file, `sqlite:///PATH`, or `postgresql://USER@HOST/DATABASE`.

    Raises
    ------
    UsageError
        If it is none of these.
    """
    if "://" not in text:
        return _of_file(Path(text))
    try:
        url = make_url(text)
    except (ArgumentError, ValueError):
        raise UsageError(f"--store: {text} is not an address") from None
    if url.drivername == "sqlite":
        if url.host or not url.database or url.database == ":memory:" or url.query:
            raise UsageError("--store: sqlite:/// needs the path of a file, no more")
        return _of_file(Path(url.database))
    if url.drivername in _POSTGRES:
        url = url.set(drivername="postgresql+psycopg")
        shown = url.set(drivername="postgresql").render_as_string(hide_password=True)
        return Address(url, None, shown)
    raise UsageError(
        f"--store: {url.drivername} is no kind of store: expected a file, "
        "sqlite:///FILE or postgresql://USER@HOST/DATABASE"
    )


def _of_file(path: Path) -> Address:
    return Address(URL.create("sqlite", database=str(path)), path, str(path))
