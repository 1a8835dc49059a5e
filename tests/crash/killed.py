"""Kills a writer of a store again and again, and looks at the store each time.

Run as a program, so that the children that it forks have no threads of a test runner:
`python -m tests.crash.killed ADDRESS SEED KILLS`. It prints what it saw as JSON; a
fault ends it with a line on the standard error.

A killed program is no loss of power: what the system had taken it still writes.
"""

from __future__ import annotations

import json
import os
import random
import select
import signal
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path
from typing import Any

from models.actuals.decisions import Decision
from models.change_order import Wish
from models.loading import load_book
from models.loading.floor_entries import Draft
from models.recording.entries import FloorEntry
from models.store.change_orders import accept_change
from models.store.documents import Loaded, from_book
from models.store.loads import current, load
from models.store.log import Author
from models.store.plans import history, publish, read_document, read_plan
from models.store.records import record, records
from models.store.reservations import (
    read_reservations,
    reservation_sources,
    reserve,
    seen_now,
)
from models.store.soundness import faults
from models.store.standards import keep
from models.store.transactions import Store, open_store, read, write

BASE = Path(__file__).parents[2] / "demo_orders" / "broken" / "base"
ANN = Author("ann", datetime(2026, 11, 30, 12, tzinfo=UTC))
TODAY, MODEL = ANN.at.date(), "skiff-16"
LONGEST_MS = 120.0
KINDS = ("load", "publish", "record", "change", "reserve", "decide")
MOST_ENTRIES = 150  # more only make the looking slow
MOST_RESERVATIONS = 20
WORKED_ON, CHANGED = "B-1", "B-2"
FIRST_CHOICE, OTHER_CHOICE = "canvas-top", "hard-top"
FIRST_ENTRY = datetime.fromisoformat("2027-03-01T07:00")


@dataclass(frozen=True)
class Seen:
    """What the store holds: newest numbers of every kind, and marks.

    `choice` is what a change order has made of the options of one boat.
    """

    load: int
    load_mark: str
    plan: int
    plan_mark: str
    entry: int
    choice: str
    reservation: int
    decision: int


def marked(files: Loaded, mark: str) -> Loaded:
    """The same files with a mark on every order, so that half a load would show."""
    orders = {
        name: replace(one, order=replace(one.order, note=mark))
        for name, one in files.orders.items()
    }
    return replace(files, orders=orders, sources={**files.sources, "orders.csv": mark})


def look(store: Store) -> Seen:
    """Read the store; raise if anything of it is damaged or half there."""
    found = faults(store)
    assert found == [], found
    state = current(store)
    assert state.loaded is not None
    marks = {one.order.note for one in state.loaded.orders.values()}
    assert len(marks) == 1, f"half a load is kept: {sorted(marks)}"
    assert state.loaded.sources["orders.csv"] in marks
    plans = history(store)
    plan, document = read_plan(store)
    assert plan == plans[-1]
    known = [row.number for row in records(store)]
    assert known == list(range(1, len(known) + 1))
    choice = ";".join(state.loaded.orders[CHANGED].order.options)
    method = document["method"]
    numbers = read(store, seen_now)
    for row in read(store, read_reservations):
        assert read(store, lambda c, plan=row.plan: read_document(c, plan))
    return Seen(
        state.number,
        marks.pop(),
        plan.number,
        method,
        len(known),
        choice,
        numbers.reservation,
        numbers.standard,
    )


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


def write_on(address: str, seed: int, acknowledge: Callable[[Seen], None]) -> None:
    """Write in turn in every way until killed; tell of what is kept."""
    store = open_store(address)
    seen = look(store)
    base = from_book(load_book(BASE))
    acknowledge(seen)
    for number in count(1):
        mark = f"{seed}-{number}"
        kind = KINDS[(seed + number) % len(KINDS)]  # so that each comes first
        if kind == "load":
            files = marked(base, mark)
            done = load(store, files, ANN, seen.load)
            seen = replace(seen, load=done.number, load_mark=mark, choice=FIRST_CHOICE)
        elif kind == "publish":
            held = current(store).loaded
            assert held is not None
            plan = plan_of(held, mark)
            reserved = read(store, lambda c: reservation_sources(c, ANN.at))
            plan["inputs"] = {**plan["inputs"], **reserved}
            kept = publish(store, plan, ANN, seen.plan, seen.entry)
            seen = replace(seen, plan=kept.number, plan_mark=mark)
        elif kind == "record" and seen.entry < MOST_ENTRIES:
            (entry,) = record(store, [entry_of(seen.entry + 1)], ANN).numbers
            seen = replace(seen, entry=entry)
        elif kind == "reserve" and seen.reservation < MOST_RESERVATIONS:
            order = replace(
                base.orders[CHANGED].order, order=f"R-{mark}", reserved_until=TODAY
            )
            document, now = plan_of(base, mark), read(store, seen_now)
            new = reserve(store, order, TODAY, document, now, ANN)
            seen = replace(seen, reservation=new)
        elif kind == "decide":
            made = Decision(MODEL, "hull.demold", "refused", 1.2, number, 0.1, mark)
            new = write(store, lambda c, made=made: keep(c, made, ANN))
            seen = replace(seen, decision=new)
        elif kind == "change":
            choice = FIRST_CHOICE if seen.choice == OTHER_CHOICE else OTHER_CHOICE
            wish = wish_of(choice)
            new = accept_change(
                store, CHANGED, lambda _, wish=wish: wish, ANN, seen.load
            )
            seen = replace(seen, load=new, choice=choice)
        acknowledge(seen)


def kill_once(address: str, seed: int, pause_ms: float) -> tuple[Seen, int]:
    """Kill a writer some time after it began; the last change that it told of."""
    reader, writer = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reader)
        try:
            write_on(address, seed, lambda seen: _tell(writer, seen))
        except BaseException as error:
            print(f"writer {seed}: {error!r}", file=sys.stderr, flush=True)
        finally:
            os._exit(1)
    os.close(writer)
    text = b""
    while b"\n" not in text:  # it has begun
        ready, _, _ = select.select([reader], [], [], 60)
        chunk = os.read(reader, 4096) if ready else b""
        assert chunk, "the writer ended by itself"
        text += chunk
    time.sleep(pause_ms / 1000)
    os.kill(child, signal.SIGKILL)
    while chunk := os.read(reader, 65536):
        text += chunk
    os.close(reader)
    _, status = os.waitpid(child, 0)
    assert os.WIFSIGNALED(status), "the writer ended by itself"
    lines = text.decode().splitlines(keepends=True)
    whole = [line for line in lines if line.endswith("\n")]
    return Seen(**json.loads(whole[-1])), len(whole) - 1


def _tell(writer: int, seen: Seen) -> None:
    os.write(writer, (json.dumps(seen.__dict__) + "\n").encode())


def check_after(told: Seen, seen: Seen) -> int:
    """What was told of is there; at most one change more, kept and not yet told of."""
    numbers = ("load", "plan", "entry", "reservation", "decision")
    more = sum(getattr(seen, name) - getattr(told, name) for name in numbers)
    assert more in {0, 1}, f"told of {told}, found {seen}"
    if seen.load == told.load:
        assert (seen.load_mark, seen.choice) == (told.load_mark, told.choice)
    if seen.plan == told.plan:
        assert seen.plan_mark == told.plan_mark
    return more


def run(address: str, seed: int, kills: int) -> dict[str, Any]:
    """Kill a writer many times and look at the store after each."""
    store = open_store(address, create=True)
    files = marked(from_book(load_book(BASE)), "first")
    load(store, files, ANN, None)
    publish(store, plan_of(files, "first"), ANN, None)
    draw = random.Random(seed)
    kept, untold = 0, 0
    for number in range(kills):
        told, changes = kill_once(
            address, seed * 10**6 + number, draw.uniform(0.5, LONGEST_MS)
        )
        untold += check_after(told, look(store))
        kept += changes
    return {
        "kills": kills,
        "acknowledged": kept,
        "kept_and_not_told": untold,
        "in_the_end": look(store).__dict__,
    }


if __name__ == "__main__":
    print(json.dumps(run(sys.argv[1], int(sys.argv[2]), int(sys.argv[3]))))
