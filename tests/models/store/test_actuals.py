"""Reading boats that have left and what was worked on them."""

from __future__ import annotations

import pytest

from models.errors import UsageError
from models.store.actuals import worked
from models.store.loads import load
from models.store.records import record
from models.store.transactions import Store
from tests.models.store.conftest import (
    ANN,
    BEN,
    demolded,
    draft,
    little_yard,
    without,
)


def test_boats_that_left_the_book_still_count(published: Store) -> None:
    """A withdrawn order keeps its entries, and its standard."""
    record(published, [draft("finish", "07:00", hours=1.0)], ANN)
    record(published, demolded(), ANN)
    assert load(published, without(little_yard(), "B-1"), BEN, 1).done
    known = worked(published)
    assert [one.order for one in known.past.book.orders] == ["B-2", "B-1"]
    assert [(one.order, one.hours) for one in known.entries] == [
        ("B-1", 1.0),
        ("B-1", None),
        ("B-1", 9.0),
    ]
    begun = [row.operation for row in known.past.book.in_hand if row.order == "B-1"]
    assert begun == ["hull.prep", "hull.gel_coat", "hull.laminate"]


def test_an_empty_store(store: Store) -> None:
    """Where nothing was loaded, one line says what to do."""
    with pytest.raises(UsageError, match="nothing was loaded into"):
        worked(store)
