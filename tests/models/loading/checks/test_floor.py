"""Arrivals and locks speak of operations that exist, and of what can be kept."""

from __future__ import annotations

import pytest

from models.loading.checks.floor import every_code
from tests.models.loading.conftest import TinyYard
from tests.models.tiny import skiff

ARRIVALS, LOCKS = "arrivals.csv", "locks.csv"
LOCK = "B-2,hull.prep,2027-03-16T06:00,H16-1,LM-02\n"
ARRIVAL = "B-1,final.rig,engine,2027-03-08,2027-03-10,\n"


@pytest.mark.parametrize(
    ("new", "where", "found"),
    [
        ("B-3,final.rig,engine,2027-03-08,,\n", "row 2, order", "'B-3'"),
        ("B-1,final.rig,engine,,,2027-03-02\n", "row 2, arrived", "2027-03-02"),
        (ARRIVAL + ARRIVAL, "row 3, operation", "'B-1' 'final.rig' 'engine' again"),
    ],
)
def test_arrivals(tiny: TinyYard, new: str, where: str, found: str) -> None:
    """An item comes once, for an order that exists, and has not come tomorrow."""
    tiny.replace(ARRIVALS, ARRIVAL, new)
    fault = tiny.fault()
    assert (fault.file, fault.where, fault.found) == (ARRIVALS, where, found)


def test_several_items_of_one_operation(tiny: TinyYard) -> None:
    """An operation may wait for several items."""
    tiny.replace(ARRIVALS, ARRIVAL, ARRIVAL + ARRIVAL.replace("engine", "tank"))
    assert tiny.faults() == ()


@pytest.mark.parametrize(
    ("new", "where", "found"),
    [
        ("B-2,hull.prep,,,\n", "row 2, start", "nothing to pin"),
        ("B-2,hull.prep,2027-02-26T06:00,,\n", "row 2, start", "2027-02-26 06:00"),
        ("B-2,hull.prep,2027-03-16T06:05,,\n", "row 2, start", "06:05"),
        ("B-2,hull.prep,2027-03-16T12:00,,\n", "row 2, start", "2027-03-16 12:00"),
        ("B-2,hull.prep,2027-05-31T06:00,,\n", "row 2, start", "2027-05-31 06:00"),
        ("B-2,hull.gel_coat,,H16-1,\n", "row 2, mold", "'H16-1'"),
        ("B-2,hull.prep,,,LM-01;LM-01\n", "row 2, people", "a person twice"),
        ("B-2,hull.prep,,,LM-01;LM-02;LM-03\n", "row 2, people", "3 people"),
        ("B-2,hull.gel_coat,,,LM-01\n", "row 2, people", "1 people"),
        (LOCK + LOCK, "row 3, operation", "'B-2' 'hull.prep' again"),
        ("B-1,hull.prep,,,LM-01\n", "row 2, operation", "'hull.prep', which is done"),
        (
            "B-1,hull.laminate,2027-03-02T06:00,,\n",
            "row 2, operation",
            "'hull.laminate', which has begun",
        ),
    ],
)
def test_locks(tiny: TinyYard, new: str, where: str, found: str) -> None:
    """A lock pins what can be kept, of an operation that has not been done."""
    tiny.replace(LOCKS, LOCK, new)
    fault = tiny.fault()
    assert (fault.file, fault.where, fault.found) == (LOCKS, where, found)


@pytest.mark.parametrize(
    "new",
    [
        "B-2,hull.prep,2027-03-16T06:00,,\n",
        "B-2,hull.demold,,H16-1,\n",
        "B-2,hull.color1.mask,,,LM-01\n",
        "B-1,hull.laminate,,,LM-01;LM-03\n",
        "",
    ],
)
def test_locks_that_can_be_kept(tiny: TinyYard, new: str) -> None:
    """A start, a mold or people may be pinned alone; of begun work only people."""
    tiny.replace(LOCKS, LOCK, new)
    assert tiny.faults() == ()


def test_mold_of_another_part(tiny: TinyYard) -> None:
    """A mold is pinned for the part that it makes."""
    tiny.replace(
        "yard.toml",
        "molds = [\n",
        'molds = [\n  { id = "D16-1", part = "deck", models = ["skiff-16"] },\n',
    )
    tiny.replace(LOCKS, "H16-1", "D16-1")
    told = {fault.file: fault.found for fault in tiny.faults()}
    assert told[LOCKS] == "'D16-1'"


def test_codes_of_a_model() -> None:
    """Steps of layouts count among those that a boat of the model may have."""
    codes = every_code(skiff())
    assert "hull.prep" in codes
    assert "hull.color2.unmask" in codes
    assert len(codes) == len(set(codes))


def test_rows_of_orders_with_a_fault(tiny: TinyYard) -> None:
    """Rows about an order that cannot be built are checked against its model."""
    tiny.replace("orders.csv", ",canvas-top,", ",canvas,")
    assert {fault.file for fault in tiny.faults()} == {"orders.csv"}
    tiny.replace(LOCKS, "hull.prep", "hull.pref")
    assert [fault.file for fault in tiny.faults()] == ["orders.csv", LOCKS]
