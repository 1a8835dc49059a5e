"""Files that lack a boat which is in its mold, on both kinds of database."""

from __future__ import annotations

import pytest

from models.errors import DataFaults
from models.store.loads import current, load
from models.store.records import record
from models.store.transactions import Store
from tests.models.store.conftest import (
    ANN,
    demolded,
    draft,
    little_yard,
    rows,
    without,
)


def test_a_boat_in_its_mold_is_not_dropped(published: Store) -> None:
    """One line says which part is in which mold since when, and what to do."""
    before = rows(published)
    with pytest.raises(DataFaults) as refused:
        load(published, without(little_yard(), "B-1"), ANN, 1)
    (fault,) = refused.value.faults
    assert str(fault) == (
        "the order book: order B-1: found no row, while its hull has been in mold "
        "H16-1 since 2027-02-26 06:00; expected its row; or first, once the part is "
        "out, `hullpace record finish B-1 hull.demold`"
    )
    assert rows(published) == before
    assert load(published, without(little_yard(), "B-2"), ANN, 1).done


def test_out_of_its_mold_it_may_go(published: Store) -> None:
    """What the floor recorded counts, also where it takes a finish back."""
    record(published, [draft("finish", "07:00", hours=1.0)], ANN)
    with pytest.raises(DataFaults, match="has been in mold H16-1"):
        load(published, without(little_yard(), "B-1"), ANN, 1)
    record(published, demolded(), ANN)
    assert load(published, without(little_yard(), "B-1"), ANN, 1).done
    held = current(published).loaded
    assert held is not None
    assert list(held.orders) == ["B-2"]
