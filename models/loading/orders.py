"""Reading the CSV files: orders, arrivals, work in hand and locks."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from models.loading.fields import (
    CellCode,
    CellCodes,
    CellDate,
    CellHours,
    CellMinute,
    CellWhole,
    Code,
    Label,
    LocalMinute,
    Row,
)
from models.orders import Arrival, InHand, Lock, Order


def _weight(value: object) -> object:
    return "1" if value == "" else value


class OrderRow(Row):
    order: Code
    customer_ref: Label
    model: Code
    options: CellCodes
    graphics: CellCode
    wanted: CellDate
    promised: CellDate
    release: CellDate
    weight: Annotated[CellWhole, Field(ge=1, le=9), BeforeValidator(_weight)] = 1
    dealer_ref: Label = ""
    note: Label = ""


class ArrivalRow(Row):
    order: Code
    operation: Code
    item: Label
    expected: CellDate
    confirmed: CellDate
    arrived: CellDate


class InHandRow(Row):
    order: Code
    operation: Code
    state: Literal["done", "started"]
    started: LocalMinute
    finished: CellMinute
    remaining_hours: CellHours
    mold: CellCode
    place: CellCode
    people: CellCodes


class LockRow(Row):
    order: Code
    operation: Code
    start: CellMinute
    mold: CellCode
    people: CellCodes


def to_order(row: OrderRow) -> Order:
    """Turn a good row into an order."""
    return Order(**(row.model_dump() | {"options": tuple(row.options)}))


def to_arrival(row: ArrivalRow) -> Arrival:
    """Turn a good row into an arrival."""
    return Arrival(**row.model_dump())


def to_in_hand(row: InHandRow) -> InHand:
    """Turn a good row into work in hand."""
    return InHand(**(row.model_dump() | {"people": tuple(row.people)}))


def to_lock(row: LockRow) -> Lock:
    """Turn a good row into a lock."""
    return Lock(**(row.model_dump() | {"people": tuple(row.people)}))
