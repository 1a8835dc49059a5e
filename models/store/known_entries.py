"""Which entries from the floor a plan knows of, and which came after it was made.

A plan made from the store carries a mark of every entry up to the newest it has read.
A plan made from files knows of none.
"""

from __future__ import annotations

from sqlalchemy import Connection, select

from models.store.documents import digest
from models.store.schema import floor_entries

SOURCE = "entries from the floor"  # among the inputs of a plan


def entries_source(connection: Connection) -> dict[str, str]:
    """The mark of all entries, as an input of a plan; empty where there are none."""
    marks = _marks(connection)
    return {SOURCE: marks[-1][1]} if marks else {}


def later_entries(connection: Connection, inputs: dict[str, str]) -> list[int]:
    """Numbers of entries that a plan with these inputs does not know of."""
    marks = _marks(connection)
    known = next(
        (turn for turn, (_, mark) in enumerate(marks, 1) if mark == inputs.get(SOURCE)),
        0,
    )
    return [number for number, _ in marks[known:]]


def _marks(connection: Connection) -> list[tuple[int, str]]:
    """Each entry's number, with a digest of it and all before it."""
    query = select(floor_entries.c.number, floor_entries.c.digest)
    out: list[tuple[int, str]] = []
    mark = ""
    for row in connection.execute(query.order_by(floor_entries.c.number)):
        mark = digest(f"{mark} {row.number} {row.digest}")
        out.append((row.number, mark))
    return out
