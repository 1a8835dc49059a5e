"""Lets eight processes change the same thing at once, again and again.

`python -m tests.crash.raced ADDRESS ROUNDS` prints, for each round, how each process
fared. In odd rounds they change one order, in even rounds they replace the published
plan; all of them have seen the same state before.
"""

from __future__ import annotations

import json
import multiprocessing
import sys
from collections import Counter
from dataclasses import replace
from multiprocessing.queues import Queue
from multiprocessing.synchronize import Barrier
from typing import Any

from models.errors import HullpaceError, Overtaken
from models.loading import load_book
from models.store.documents import Loaded, from_book
from models.store.loads import current, load
from models.store.plans import publish, read_plan
from models.store.soundness import faults
from models.store.transactions import Store, open_store
from tests.crash.writers import ANN, BASE, marked, plan_of

PROCESSES = 8
LONGEST_SECONDS = 60


def change_one(files: Loaded, mark: str) -> Loaded:
    """The same files with one order changed."""
    name = min(files.orders)
    record = files.orders[name]
    record = replace(record, order=replace(record.order, note=mark))
    sources = {**files.sources, "orders.csv": mark}
    return replace(files, orders={**files.orders, name: record}, sources=sources)


def try_once(store: Store, number: int, who: int, base: int, plan: int) -> str:
    """Change the order or the plan; how it ended in one word."""
    mark = f"{number}-{who}"
    try:
        files = current(store).loaded
        assert files is not None
        if number % 2:
            done = load(store, change_one(files, mark), ANN, base).done
        else:
            done = publish(store, plan_of(files, mark), ANN, plan).done
    except Overtaken:
        return "overtaken"
    except HullpaceError as error:
        return f"error: {error}"
    return "won" if done else "not done"


def race(address: str, who: int, rounds: int, gate: Barrier, out: Queue[Any]) -> None:
    """One of the processes: wait for the others, then try."""
    store = open_store(address)
    for number in range(1, rounds + 1):
        base = current(store).number
        plan = read_plan(store)[0].number
        gate.wait(LONGEST_SECONDS)
        out.put((number, try_once(store, number, who, base, plan)))
        gate.wait(LONGEST_SECONDS)


def run(address: str, rounds: int) -> dict[str, Any]:
    """Race; count how rounds went, and look at the store in the end."""
    store = open_store(address, create=True)
    files = marked(from_book(load_book(BASE)), "first")
    load(store, files, ANN, None)
    publish(store, plan_of(files, "first"), ANN, None)
    fork = multiprocessing.get_context("fork")
    gate, out = fork.Barrier(PROCESSES), fork.Queue()
    racers = [
        fork.Process(target=race, args=(address, who, rounds, gate, out))
        for who in range(PROCESSES)
    ]
    for one in racers:
        one.start()
    ends: dict[int, list[str]] = {}
    for _ in range(rounds * PROCESSES):
        number, how = out.get(timeout=LONGEST_SECONDS)
        ends.setdefault(number, []).append(how)
    for one in racers:
        one.join(LONGEST_SECONDS)
    return {
        "rounds": Counter(
            json.dumps(Counter(sorted(how)), sort_keys=True) for how in ends.values()
        ),
        "load": current(store).number,
        "plan": read_plan(store)[0].number,
        "faults": faults(store),
    }


if __name__ == "__main__":
    print(json.dumps(run(sys.argv[1], int(sys.argv[2]))))
