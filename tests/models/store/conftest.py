"""Stores of both kinds with the little yard in them."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import select

from models.actuals.decisions import Decision, basis_of
from models.loading import load_book
from models.loading.floor_entries import Draft
from models.recording.entries import FloorEntry
from models.store.documents import Loaded, OrderRecord, from_book
from models.store.jobs import begin
from models.store.loads import load
from models.store.log import Author
from models.store.plans import publish
from models.store.records import record
from models.store.reservations import reserve, seen_now
from models.store.schema import metadata
from models.store.standards import keep
from models.store.transactions import Store, open_store, read, write
from models.store.users import keep_user
from tests.stores import address, server

__all__ = ["address", "server"]

BASE = Path(__file__).parents[3] / "demo_orders" / "broken" / "base"
NOON = datetime(2026, 11, 30, 12, tzinfo=UTC)
ANN = Author("ann", NOON, "the week's orders")
BEN = Author("ben", NOON)
CREW = ("LM-01", "LM-02", "LM-03")
ON_TIME = {"finish": "2027-03-30", "proposed": "2027-04-06", "tardy_days": 0}


@cache
def little_yard() -> Loaded:
    """The sound yard of the broken examples, with two orders."""
    return from_book(load_book(BASE))


def with_order(files: Loaded, name: str, **changed: Any) -> Loaded:
    """The same files with one order changed, or added as a copy of the first."""
    record = files.orders.get(name)
    if record is None:
        first = next(iter(files.orders.values())).order
        record = OrderRecord(replace(first, order=name))
    record = replace(record, order=replace(record.order, **changed))
    sources = {**files.sources, "orders.csv": f"{name} {changed}"}
    return replace(files, orders={**files.orders, name: record}, sources=sources)


def without(files: Loaded, name: str) -> Loaded:
    """The same files without an order."""
    rest = {key: one for key, one in files.orders.items() if key != name}
    return replace(files, orders=rest, sources={**files.sources, "orders.csv": "less"})


def plan_of(files: Loaded, name: str = "first") -> dict[str, Any]:
    """Something like a plan file that was made from these files."""
    return {
        "inputs": files.sources,
        "method": name,
        "problem": {
            "time_zone": files.yard.yard.time_zone,
            "frozen_until": "2027-03-08T00:00-05:00",
            "orders": [{"order": order, "promised": None} for order in files.orders],
        },
        "answer": {
            "operations": [name],
            "orders": [{"order": order, **ON_TIME} for order in files.orders],
        },
    }


def draft(what: str, at: str, *, corrects: int | None = None, **more: Any) -> Draft:
    """An entry about the laminate of B-1, on March 1, 2027."""
    when = datetime.fromisoformat(f"2027-03-01T{at}")
    entry = FloorEntry("B-1", "hull.laminate", what, when, **more)
    return Draft(entry, corrects, "floor.csv", "row 2")


def demolded() -> list[Draft]:
    """Entries that take the hull of B-1, laminated by March 1, out of its mold."""
    begin, end = (
        datetime.fromisoformat(f"2027-03-04T{hour}:00") for hour in ("06", "09")
    )
    step = ("B-1", "hull.demold")
    entries = (
        FloorEntry(*step, "start", begin, people=CREW),
        FloorEntry(*step, "finish", end, hours=9.0),
    )
    return [Draft(one, None, "floor.csv", "row 3") for one in entries]


def decision(verdict: str, factor: float, boats: int = 3) -> Decision:
    """A decision on the standard of demolding the little yard's boat."""
    yard = little_yard().yard
    basis = basis_of(yard.models["skiff-16"], yard.yard, "hull.demold")
    return Decision("skiff-16", "hull.demold", verdict, factor, boats, 0.05, basis)


def reserved(store: Store, name: str, *, until: str = "2026-12-10") -> int:
    """Reserve a boat like the first of the little yard's."""
    first = next(iter(little_yard().orders.values())).order
    order = replace(first, order=name, reserved_until=date.fromisoformat(until))
    document = {**plan_of(little_yard(), name), "reserved": name}
    seen = read(store, seen_now)
    return reserve(store, order, date(2027, 3, 30), document, seen, ANN)


def rows(store: Store) -> dict[str, list[Any]]:
    """Every row of every table."""
    return read(
        store,
        lambda c: {
            name: sorted(tuple(row) for row in c.execute(select(table)))
            for name, table in metadata.tables.items()
        },
    )


@pytest.fixture
def store(address: str) -> Store:
    """An empty store."""
    return open_store(address, create=True)


@pytest.fixture
def loaded(store: Store) -> Store:
    """A store with the little yard, at load 1."""
    assert load(store, little_yard(), ANN, None).done
    return store


@pytest.fixture
def recorded(published: Store) -> Store:
    """A store with the little yard, plan 1, an entry and a decision."""
    record(published, [draft("hours", "07:00", hours=1.0)], ANN)
    refused = decision("refused", 1.2)
    write(published, lambda connection: keep(connection, refused, ANN))
    return published


@pytest.fixture
def full(recorded: Store) -> Store:
    """A store with a row in every table."""
    reserved(recorded, "R-1")
    keep_user(recorded, ANN.who, "owner", ANN, None)
    begin(recorded, "plan", {"seconds": "20"}, ANN)
    return recorded


@pytest.fixture
def published(loaded: Store) -> Store:
    """A store with the little yard and plan 1."""
    assert publish(loaded, plan_of(little_yard()), ANN, None).done
    return loaded
