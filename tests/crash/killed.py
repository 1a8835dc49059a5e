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
import signal
import sys
import time
from collections import Counter
from collections.abc import Callable
from itertools import count
from select import select as wait_for_any
from typing import Any

from sqlalchemy import select

from models.loading import load_book
from models.reservations import DECLINED
from models.store.documents import from_book
from models.store.loads import current, load
from models.store.log import entries
from models.store.plans import history, publish, read_document, read_plan
from models.store.records import records
from models.store.reservations import read_reservations, seen_now
from models.store.schema import jobs
from models.store.soundness import faults
from models.store.transactions import Store, open_store, read
from models.store.users import keep_user, users_of
from tests.crash.writers import (
    ANN,
    BASE,
    CHANGED,
    KIM,
    ROLES,
    WRITERS,
    Seen,
    marked,
    plan_of,
)

LONGEST_MS = 120.0


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
    kept = read(store, read_reservations)
    for row in kept:
        assert read(store, lambda c, plan=row.plan: read_document(c, plan))
    kim = users_of(store)[KIM]
    return Seen(
        state.number,
        marks.pop(),
        plan.number,
        method,
        len(known),
        choice,
        numbers.reservation,
        bool(kept) and kept[-1].what == DECLINED,
        numbers.standard,
        kim.version,
        kim.role,
        read(store, lambda c: len(list(c.execute(select(jobs.c.version))))),
    )


def write_on(address: str, seed: int, acknowledge: Callable[[Seen], None]) -> None:
    """Write in turn in every way until killed; tell of what is kept."""
    store = open_store(address)
    seen = look(store)
    base = from_book(load_book(BASE))
    acknowledge(seen)
    for number in count(1):
        writer = WRITERS[(seed + number) % len(WRITERS)]  # so that each comes first
        seen = writer(store, seen, f"{seed}-{number}", base)
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
        ready, _, _ = wait_for_any([reader], [], [], 60)
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
    numbers = ("load", "plan", "entry", "reservation", "decision", "user", "job")
    more = sum(getattr(seen, name) - getattr(told, name) for name in numbers)
    assert more in {0, 1}, f"told of {told}, found {seen}"
    if seen.load == told.load:
        assert (seen.load_mark, seen.choice) == (told.load_mark, told.choice)
    if seen.plan == told.plan:
        assert seen.plan_mark == told.plan_mark
    if seen.reservation == told.reservation:
        assert seen.declined == told.declined
    if seen.user == told.user:
        assert seen.role == told.role
    return more


def run(address: str, seed: int, kills: int) -> dict[str, Any]:
    """Kill a writer many times and look at the store after each."""
    store = open_store(address, create=True)
    files = marked(from_book(load_book(BASE)), "first")
    load(store, files, ANN, None)
    publish(store, plan_of(files, "first"), ANN, None)
    keep_user(store, ANN.who, "owner", ANN, None)
    keep_user(store, KIM, ROLES[0], ANN, None)
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
        "actions": Counter(one.action for one in read(store, entries)),
        "in_the_end": look(store).__dict__,
    }


if __name__ == "__main__":
    print(json.dumps(run(sys.argv[1], int(sys.argv[2]), int(sys.argv[3]))))
