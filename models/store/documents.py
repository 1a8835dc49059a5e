"""The yard and its orders as documents: JSON with sorted keys, and back.

A document holds the same data whatever order the sets and dictionaries came in, so
that equal data have equal digests.
"""

from __future__ import annotations

import hashlib
import json
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field, fields, is_dataclass, replace
from datetime import date, time
from functools import cache
from typing import Any, TypeVar

from pydantic import TypeAdapter

from models.actuals.decisions import Decision
from models.boat import BoatModel
from models.job_orders import work_orders
from models.jobs import Job
from models.orders import Arrival, Book, InHand, Lock, Order
from models.planning_jobs import PlanningJob
from models.recording.entries import FloorEntry
from models.reservations import Reservation
from models.yard import Yard


@dataclass(frozen=True, slots=True)
class YardRecord:
    """The yard and its boat models."""

    yard: Yard
    models: dict[str, BoatModel]


@dataclass(frozen=True, slots=True)
class OrderRecord:
    """An order and everything that is known about it."""

    order: Order
    arrivals: tuple[Arrival, ...] = ()
    in_hand: tuple[InHand, ...] = ()
    locks: tuple[Lock, ...] = ()
    job: Job | None = None  # `order` then says how a plan sees it


Kind = TypeVar(
    "Kind", YardRecord, OrderRecord, FloorEntry, Decision, Reservation, PlanningJob
)


@dataclass(frozen=True, slots=True)
class Loaded:
    """What was read from files: the yard, orders by name, SHA-256 by file."""

    yard: YardRecord
    orders: dict[str, OrderRecord]
    sources: dict[str, str] = field(default_factory=dict)


def from_book(book: Book) -> Loaded:
    """Lay a book out as it is stored: whatever names an order goes with it."""
    arrivals, in_hand, locks = (
        _by_order(rows) for rows in (book.arrivals, book.in_hand, book.locks)
    )
    orders = {
        one.order: OrderRecord(
            one, arrivals[one.order], in_hand[one.order], locks[one.order]
        )
        for one in work_orders(book)
    }
    for job in book.jobs:
        orders[job.job] = replace(orders[job.job], job=job)
    return Loaded(YardRecord(book.yard, book.models), orders, dict(book.sources or {}))


def to_book(loaded: Loaded) -> Book:
    """Put a book together again; its orders come in the order of their names."""
    records = [loaded.orders[name] for name in sorted(loaded.orders)]
    return Book(
        yard=loaded.yard.yard,
        models=loaded.yard.models,
        orders=tuple(one.order for one in records if one.job is None),
        arrivals=tuple(row for one in records for row in one.arrivals),
        in_hand=tuple(row for one in records for row in one.in_hand),
        locks=tuple(row for one in records for row in one.locks),
        sources=loaded.sources,
        jobs=tuple(one.job for one in records if one.job is not None),
    )


def to_text(record: object) -> str:
    """Write a record as a document."""
    return json.dumps(_plain(record), sort_keys=True, ensure_ascii=False)


def from_text(kind: type[Kind], text: str) -> Kind:
    """Read a document.

    Raises
    ------
    pydantic.ValidationError
        If it is not a document of this kind, which is a defect: the writer made it.
    """
    known: Any = kind
    record: Kind = _adapter(known).validate_json(text)
    return record


def digest(text: str) -> str:
    """The SHA-256 of a text."""
    return hashlib.sha256(text.encode("utf-8")).hexdigest()


@cache
def _adapter(kind: Any) -> TypeAdapter[Any]:
    return TypeAdapter(kind)


def _by_order(rows: tuple[Any, ...]) -> Mapping[str, tuple[Any, ...]]:
    out: dict[str, tuple[Any, ...]] = defaultdict(tuple)
    for row in rows:
        out[row.order] += (row,)
    return out


def _plain(value: Any) -> Any:
    if is_dataclass(value) and not isinstance(value, type):
        return {one.name: _plain(getattr(value, one.name)) for one in fields(value)}
    if isinstance(value, Mapping):
        return {str(key): _plain(one) for key, one in value.items()}
    if isinstance(value, (set, frozenset)):
        return sorted(_plain(one) for one in value)
    if isinstance(value, (tuple, list)):
        return [_plain(one) for one in value]
    if isinstance(value, (date, time)):
        return value.isoformat()
    return value
