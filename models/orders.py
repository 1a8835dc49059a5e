"""The order book and what is true on the floor now.

Plain frozen data as `models.loading` reads it from the CSV files.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from models.boat import BoatModel
from models.jobs import Job
from models.yard import Yard


@dataclass(frozen=True, slots=True)
class Rework:
    """Work that the routing does not foresee (`models.rework`).

    It is done after the end of the step `after`, on the parts of the step `like` and,
    unless `station`, `skill` and crew say otherwise, as that one is. With
    `keeps_waits` (of a change order) the waits of `after` stay beside its own.
    """

    code: str
    name: str
    after: str
    like: str
    hours: float
    station: str | None = None
    skill: str | None = None
    crew_min: int = 1
    crew_max: int = 1
    keeps_waits: bool = False


@dataclass(frozen=True, slots=True)
class Order:
    """One boat for one customer (`orders.csv`).

    `rework`, `kept` (steps that were done for an option since given up) and `reprep`
    (re-preparations that it needs or has begun) come from the floor and from changes of
    the order, not from the file; `reserved_until` from a reservation
    (`models.reservations`).
    """

    order: str
    customer_ref: str
    model: str
    options: tuple[str, ...]
    graphics: str | None
    wanted: date | None
    promised: date | None
    release: date | None
    weight: int = 1
    dealer_ref: str = ""
    note: str = ""
    rework: tuple[Rework, ...] = ()
    kept: tuple[str, ...] = ()
    reprep: tuple[str, ...] = ()
    reserved_until: date | None = None


@dataclass(frozen=True, slots=True)
class Arrival:
    """An item that blocks an operation until it is here (`arrivals.csv`)."""

    order: str
    operation: str  # routing code
    item: str
    expected: date | None
    confirmed: date | None
    arrived: date | None


@dataclass(frozen=True, slots=True)
class InHand:
    """What has been done or begun (`in_hand.csv`); times are naive local."""

    order: str
    operation: str
    state: str  # done | started
    started: datetime
    finished: datetime | None
    remaining_hours: float | None
    mold: str | None
    place: str | None
    people: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Lock:
    """What the planner has pinned (`locks.csv`); any of the three may be left open."""

    order: str
    operation: str
    start: datetime | None
    mold: str | None
    people: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Book:
    """A yard, its boat models, everything ordered and other jobs: a plan's input."""

    yard: Yard
    models: dict[str, BoatModel]
    orders: tuple[Order, ...]
    arrivals: tuple[Arrival, ...] = ()
    in_hand: tuple[InHand, ...] = ()
    locks: tuple[Lock, ...] = ()
    sources: dict[str, str] | None = None  # file name -> sha256
    jobs: tuple[Job, ...] = ()
