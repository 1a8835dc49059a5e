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
from datetime import UTC, datetime
from itertools import count
from pathlib import Path
from typing import Any

from models.loading import load_book
from models.store.documents import Loaded, from_book
from models.store.loads import current, load
from models.store.log import Author
from models.store.plans import history, publish, read_plan
from models.store.soundness import faults
from models.store.transactions import Store, open_store

BASE = Path(__file__).parents[2] / "demo_orders" / "broken" / "base"
ANN = Author("ann", datetime(2026, 11, 30, 12, tzinfo=UTC))
LONGEST_MS = 60.0


@dataclass(frozen=True)
class Seen:
    """What the store holds: numbers of the newest load and plan, and their marks."""

    load: int
    load_mark: str
    plan: int
    plan_mark: str


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
    return Seen(state.number, marks.pop(), plan.number, document["method"])


def plan_of(files: Loaded, mark: str) -> dict[str, Any]:
    """Something the size of a small plan file, made from these files."""
    return {"inputs": files.sources, "method": mark, "answer": list(range(2000))}


def write_on(address: str, seed: int, acknowledge: Callable[[Seen], None]) -> None:
    """Load and publish in turn until killed; tell of each change once it is kept."""
    store = open_store(address)
    seen = look(store)
    base = current(store).loaded
    assert base is not None
    acknowledge(seen)
    for number in count(1):
        mark = f"{seed}-{number}"
        if number % 2:
            files = marked(base, mark)
            done = load(store, files, ANN, seen.load)
            seen = replace(seen, load=done.number, load_mark=mark)
        else:
            files = marked(base, seen.load_mark)
            kept = publish(store, plan_of(files, mark), ANN, seen.plan)
            seen = replace(seen, plan=kept.number, plan_mark=mark)
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
    more = (seen.load - told.load) + (seen.plan - told.plan)
    assert more in {0, 1}, f"told of {told}, found {seen}"
    if seen.load == told.load:
        assert seen.load_mark == told.load_mark
    if seen.plan == told.plan:
        assert seen.plan_mark == told.plan_mark
    return more


def run(address: str, seed: int, kills: int) -> dict[str, int]:
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
    return {"kills": kills, "acknowledged": kept, "kept_and_not_told": untold}


if __name__ == "__main__":
    print(json.dumps(run(sys.argv[1], int(sys.argv[2]), int(sys.argv[3]))))
