"""Every way of writing to a store, once each: what is kept, and what it then holds."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from models.actuals.decisions import Decision
from models.change_order import Wish
from models.loading.floor_entries import Draft
from models.planning_jobs import DONE
from models.recording.entries import FloorEntry
from models.store.change_orders import accept_change
from models.store.documents import Loaded
from models.store.jobs import ask_to_stop, begin, jobs_of, tell
from models.store.loads import current, load
from models.store.log import Author
from models.store.plans import publish
from models.store.records import record
from models.store.reservations import (
    decline,
    read_reservations,
    reservation_sources,
    reserve,
    seen_now,
)
from models.store.standards import keep
from models.store.transactions import Store, read, write
from models.store.users import keep_user

BASE = Path(__file__).parents[2] / "demo_orders" / "broken" / "base"
ANN = Author("ann", datetime(2026, 11, 30, 12, tzinfo=UTC))
KIM, ROLES = "kim", ("planner", "floor")
TODAY, MODEL = ANN.at.date(), "skiff-16"
MOST_ROWS = 150  # of entries, users and jobs: more only make the looking slow
MOST_RESERVATIONS = 20
WORKED_ON, CHANGED = "B-1", "B-2"
FIRST_CHOICE, OTHER_CHOICE = "canvas-top", "hard-top"
FIRST_ENTRY = datetime.fromisoformat("2027-03-01T07:00")


@dataclass(frozen=True)
class Seen:
    """What the store holds: newest numbers of every kind, and marks.

    `choice` is what a change order has made of the options of one boat, `role` what
    was said of one user.
    """

    load: int
    load_mark: str
    plan: int
    plan_mark: str
    entry: int
    choice: str
    reservation: int
    declined: bool  # the newest reservation
    decision: int
    user: int  # version of one
    role: str
    job: int  # rows about jobs


def marked(files: Loaded, mark: str) -> Loaded:
    """The same files with a mark on every order, so that half a load would show."""
    orders = {
        name: replace(one, order=replace(one.order, note=mark))
        for name, one in files.orders.items()
    }
    return replace(files, orders=orders, sources={**files.sources, "orders.csv": mark})


def plan_of(files: Loaded, mark: str) -> dict[str, Any]:
    """Something the size of a small plan file, made from these files."""
    orders = [{"order": name} for name in files.orders]
    return {
        "inputs": files.sources,
        "method": mark,
        "problem": {
            "time_zone": "America/New_York",
            "frozen_until": "2027-03-08T00:00-05:00",
        },
        "answer": {"orders": orders, "operations": list(range(2000))},
    }


def entry_of(number: int) -> Draft:
    """An entry that no other is like: an hour of the laminate, and hours left."""
    at = FIRST_ENTRY + timedelta(minutes=number)
    hours = {"hours": 1.0, "remaining_hours": 4.0}
    entry = FloorEntry(WORKED_ON, "hull.laminate", "hours", at, **hours)
    return Draft(entry, None, "", "")


def wish_of(choice: str) -> Wish:
    """A boat's graphics as they are, its options as said."""
    return Wish(tuple(filter(None, choice.split(";"))), "sweep")


def load_files(store: Store, seen: Seen, mark: str, base: Loaded) -> Seen:
    """Load the files with a mark; that undoes a change order."""
    done = load(store, marked(base, mark), ANN, seen.load)
    return replace(seen, load=done.number, load_mark=mark, choice=FIRST_CHOICE)


def publish_plan(store: Store, seen: Seen, mark: str, base: Loaded) -> Seen:
    """Publish a plan with what is reserved."""
    held = current(store).loaded
    assert held is not None
    plan = plan_of(held, mark)
    reserved = read(store, lambda c: reservation_sources(c, ANN.at))
    plan["inputs"] = {**plan["inputs"], **reserved}
    kept = publish(store, plan, ANN, seen.plan, seen.entry)
    return replace(seen, plan=kept.number, plan_mark=mark)


def record_entry(store: Store, seen: Seen, mark: str, base: Loaded) -> Seen:
    """Record one entry."""
    if seen.entry >= MOST_ROWS:
        return seen
    (entry,) = record(store, [entry_of(seen.entry + 1)], ANN).numbers
    return replace(seen, entry=entry)


def change_order(store: Store, seen: Seen, mark: str, base: Loaded) -> Seen:
    """Give a boat the other of two options."""
    choice = FIRST_CHOICE if seen.choice == OTHER_CHOICE else OTHER_CHOICE
    new = accept_change(store, CHANGED, lambda _: wish_of(choice), ANN, seen.load)
    return replace(seen, load=new, choice=choice)


def reserve_slot(store: Store, seen: Seen, mark: str, base: Loaded) -> Seen:
    """Reserve a slot."""
    if seen.reservation >= MOST_RESERVATIONS:
        return seen
    order = replace(base.orders[CHANGED].order, order=f"R-{mark}", reserved_until=TODAY)
    document, now = plan_of(base, mark), read(store, seen_now)
    new = reserve(store, order, TODAY, document, now, ANN)
    return replace(seen, reservation=new, declined=False)


def decline_quote(store: Store, seen: Seen, mark: str, base: Loaded) -> Seen:
    """Give the newest slot back."""
    kept = read(store, read_reservations)
    if seen.declined or not kept:
        return seen
    decline(store, kept[-1].order.order, ANN)
    return replace(seen, reservation=seen.reservation + 1, declined=True)


def decide(store: Store, seen: Seen, mark: str, base: Loaded) -> Seen:
    """Refuse a standard."""
    made = Decision(MODEL, "hull.demold", "refused", 1.2, 3, 0.1, mark)
    return replace(seen, decision=write(store, lambda c: keep(c, made, ANN)))


def say_role(store: Store, seen: Seen, mark: str, base: Loaded) -> Seen:
    """Give a user the other of two roles."""
    if seen.user >= MOST_ROWS:
        return seen
    role = ROLES[seen.role == ROLES[0]]
    user = keep_user(store, KIM, role, ANN, seen.user).user
    return replace(seen, user=user.version, role=role)


def tell_of_job(store: Store, seen: Seen, mark: str, base: Loaded) -> Seen:
    """Begin a job, ask it to stop, or end it, in turn."""
    if seen.job >= MOST_ROWS:
        return seen
    newest = max(jobs_of(store), default=0)
    if seen.job % 3 == 0:
        begin(store, "plan", {"mark": mark}, ANN)
    elif seen.job % 3 == 1:
        ask_to_stop(store, newest, ANN)
    else:
        tell(store, newest, ANN.at, state=DONE, ended=ANN.at)
    return replace(seen, job=seen.job + 1)


WRITERS: tuple[Callable[[Store, Seen, str, Loaded], Seen], ...] = (
    load_files,
    publish_plan,
    record_entry,
    change_order,
    reserve_slot,
    decline_quote,
    decide,
    say_role,
    tell_of_job,
)
