"""The log."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone

from models.store.log import Author, append, entries
from models.store.transactions import Store, read, write


def test_who_when_and_why_can_be_read_back(store: Store) -> None:
    """An entry keeps who, the instant, why, and what; entries are numbered from 1."""
    at = datetime(2026, 11, 30, 7, 5, tzinfo=timezone(timedelta(hours=-5)))
    details = {"orders": ["Ä-1"], "count": 2}
    zoe = Author("zoë", at, "late ‘engine’")
    numbers = [write(store, lambda c: append(c, zoe, "a", details)) for _ in range(2)]
    assert numbers == [1, 2]
    first, second = read(store, entries)
    assert (first.number, second.number) == (1, 2)
    assert (first.who, first.why, first.action) == ("zoë", "late ‘engine’", "a")
    assert first.at == at
    assert first.details == details
