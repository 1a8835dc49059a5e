"""Lets eight desks reserve the same slot at once, again and again.

`python -m tests.crash.reserved ADDRESS ROUNDS` prints how each round went. All desks of
a round have quoted beside the same plan and reservations.
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
from models.store.documents import from_book
from models.store.loads import load
from models.store.plans import publish
from models.store.reservations import Seen, read_reservations, reserve, seen_now
from models.store.soundness import faults
from models.store.transactions import Store, open_store, read
from tests.crash.writers import ANN, BASE, plan_of

PROCESSES = 8
LONGEST_SECONDS = 60


def try_once(store: Store, number: int, who: int, seen: Seen) -> str:
    """Reserve a boat; how it ended in one word."""
    files = from_book(load_book(BASE))
    order = next(iter(files.orders.values())).order
    day = ANN.at.date()
    order = replace(order, order=f"R-{number}-{who}", reserved_until=day)
    document = plan_of(files, order.order)
    try:
        reserve(store, order, day, document, seen, ANN)
    except Overtaken:
        return "overtaken"
    except HullpaceError as error:
        return f"error: {error}"
    return "won"


def desk(address: str, who: int, rounds: int, gate: Barrier, out: Queue[Any]) -> None:
    """One of the desks: quote, wait for the others, then try."""
    store = open_store(address)
    for number in range(1, rounds + 1):
        seen = read(store, seen_now)
        gate.wait(LONGEST_SECONDS)
        out.put((number, try_once(store, number, who, seen)))
        gate.wait(LONGEST_SECONDS)


def run(address: str, rounds: int) -> dict[str, Any]:
    """Let them try; count how rounds went, and look at the store in the end."""
    store = open_store(address, create=True)
    files = from_book(load_book(BASE))
    load(store, files, ANN, None)
    publish(store, plan_of(files, "first"), ANN, None)
    fork = multiprocessing.get_context("fork")
    gate, out = fork.Barrier(PROCESSES), fork.Queue()
    desks = [
        fork.Process(target=desk, args=(address, who, rounds, gate, out))
        for who in range(PROCESSES)
    ]
    for one in desks:
        one.start()
    ends: dict[int, list[str]] = {}
    for _ in range(rounds * PROCESSES):
        number, how = out.get(timeout=LONGEST_SECONDS)
        ends.setdefault(number, []).append(how)
    for one in desks:
        one.join(LONGEST_SECONDS)
    return {
        "rounds": Counter(
            json.dumps(Counter(sorted(how)), sort_keys=True) for how in ends.values()
        ),
        "kept": len(read(store, read_reservations)),
        "faults": faults(store),
    }


if __name__ == "__main__":
    print(json.dumps(run(sys.argv[1], int(sys.argv[2]))))
