"""What became of one order."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from models.errors import UsageError
from models.store.documents import Loaded
from models.store.history import order_history
from models.store.loads import load
from models.store.plans import publish
from models.store.transactions import Store
from tests.models.store.conftest import ANN, BEN, little_yard, with_order, without

FIRST = max(little_yard().orders)


def dated(files: Loaded, finish: str, late: int) -> dict[str, Any]:
    """As much of a plan file as says when the first order is finished."""
    promised = files.orders[FIRST].order.promised
    return {
        "inputs": files.sources,
        "problem": {
            "orders": [{"order": FIRST, "promised": promised and promised.isoformat()}]
        },
        "answer": {
            "orders": [
                {
                    "order": FIRST,
                    "finish": f"{finish}T15:30-04:00",
                    "proposed": None if promised else "2027-06-01",
                    "tardy_days": late,
                }
            ]
        },
    }


def test_every_date_of_a_promise_can_be_read_back(loaded: Store) -> None:
    """What was promised, planned, moved and withdrawn stands in order, with who."""
    files = with_order(little_yard(), FIRST, promised=date(2027, 5, 3))
    load(loaded, files, BEN, 1)
    publish(loaded, dated(files, "2027-05-05", 2), ANN, None)
    publish(loaded, dated(files, "2027-05-03", 0), BEN, 1)
    moved = with_order(files, FIRST, promised=date(2027, 5, 10))
    load(loaded, moved, ANN, 2)
    load(loaded, without(moved, FIRST), BEN, 3)
    before = little_yard().orders[FIRST].order
    told = [
        (one.source, one.number, one.who, one.details)
        for one in order_history(loaded, FIRST)
    ]
    assert told == [
        (
            "load", 1, "ann",
            (f"added, {before.model}, promised {before.promised or 'no date'}",),
        ),
        ("load", 2, "ben", (f"promised: {before.promised or 'none'} → 2027-05-03",)),
        (
            "plan", 1, "ann",
            ("promised 2027-05-03", "finish 2027-05-05", "2 working days late"),
        ),
        ("plan", 2, "ben", ("promised 2027-05-03", "finish 2027-05-03", "in time")),
        ("load", 3, "ann", ("promised: 2027-05-03 → 2027-05-10",)),
        ("load", 4, "ben", ("withdrawn",)),
    ]  # fmt: skip


def test_a_plan_that_changes_nothing_for_an_order_is_left_out(loaded: Store) -> None:
    """Only plans that say something new about the order are listed."""
    files = little_yard()
    publish(loaded, dated(files, "2027-05-05", 2), ANN, None)
    again = dated(files, "2027-05-05", 2) | {"method": "other"}
    publish(loaded, again, ANN, 1)
    none = dated(files, "2027-05-05", 2)
    none["answer"] = {"orders": []}
    publish(loaded, none, ANN, 2)
    plans = [one for one in order_history(loaded, FIRST) if one.source == "plan"]
    assert [one.number for one in plans] == [1, 3]
    assert plans[-1].details == ("not in the plan",)


def test_an_order_that_never_was(loaded: Store) -> None:
    """A wrong name is one clear line with the nearest order."""
    with pytest.raises(UsageError, match="did you mean"):
        order_history(loaded, f"{FIRST}0")
