"""How long decoding, compiling and checking take: `python -m benchmarks.decode`.

Books of `hullpace sample` at load 1.1; the median of 200 decodes of the earliest due
date order with the largest crews; the least of three checks of a whole plan file in
memory. A small book stays in the nearest caches when it is decoded again and again, a
large one does not; so all are decoded once in a row and once in turn, where each finds
them full of the other. How often people are counted is counted as well, with the same
functions run as Python: that depends on no machine. Prints the machine, so that figures
can be compared.
"""

from __future__ import annotations

import cProfile
import os
import pickle
import platform
import pstats
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import fields
from math import log
from pathlib import Path
from statistics import median

import numpy as np

from models.loading import load_book
from models.sample import write_sample
from scheduler.building.build import build_problem
from scheduler.checker import check
from scheduler.compiling.arrays import Arrays
from scheduler.compiling.compile import compile_problem
from scheduler.decoding.bundle import Bundle
from scheduler.decoding.decoder import VALUES, decode, due_positions, new_state
from scheduler.decoding.lanes import fewer
from scheduler.decoding.placing import Choices, State
from scheduler.fitting import fitting_compilation
from scheduler.plan_file import plan_to_json
from scheduler.planner import Request, make_plan
from scheduler.searching.alone import alone_figures
from scheduler.searching.chain import new_choices
from scheduler.searching.rules import rule_orders
from scheduler.searching.search import Budget, facts_of

DECODES = 200
SIZES = 40, 400  # boats: about 1,900 and 19,300 operations
DEMO = Path("demo_orders")
COUNT = "--count"  # says, in a process without compiled code, that steps are counted


class Decoding:
    """One book, compiled and ready to be decoded."""

    def __init__(self, yard: Path) -> None:
        self.book = load_book(yard)
        began = time.perf_counter()
        build_problem(self.book)
        self.build_seconds = time.perf_counter() - began
        compilation = fitting_compilation(self.book, Request())
        began = time.perf_counter()
        compile_problem(compilation.problem)
        self.compile_seconds = time.perf_counter() - began
        self.a = a = compilation.arrays
        self.facts = facts_of(a)
        self.choices = new_choices(
            a, rule_orders(a, alone_figures(a, self.facts))["due"]
        )
        self.choices.crew[:] = a.crew_max
        self.decode = ready(a, self.facts, self.choices)
        self.decode()

    def once(self) -> float:
        """Decode once; the milliseconds it took."""
        began = time.perf_counter()
        self.decode()
        return (time.perf_counter() - began) * 1e3

    def check_seconds(self) -> float:
        """Check a plan of the book; the least of three times."""
        planned = make_plan(self.book, Request(Budget(work=1), exact=False)).plan
        document, checks = plan_to_json(planned), []
        for _ in range(3):
            began = time.perf_counter()
            assert check(document) == []
            checks.append(time.perf_counter() - began)
        return min(checks)

    def counts(self) -> int:
        """How often one decode counts people, found in a process without compiling."""
        bundles = self.a, self.facts, self.choices
        done = subprocess.run(
            [sys.executable, "-W", "ignore", "-m", "benchmarks.decode", COUNT],
            env={**os.environ, "NUMBA_DISABLE_JIT": "1"},
            input=pickle.dumps([given(one) for one in bundles]),
            stdout=subprocess.PIPE,
            check=True,
        )
        return int(done.stdout)


def ready(a: Arrays, facts: State, choices: Choices) -> Callable[[], None]:
    """One decode, to be called again and again."""
    state, value, due = new_state(a), np.zeros(VALUES, np.int64), due_positions(a)

    def once() -> None:
        assert decode(a, facts, state, choices, due, value)

    return once


def given(bundle: Bundle) -> dict[str, object]:
    """What a bundle is made of."""
    names = [one.name for one in fields(bundle) if one.init]
    return {name: getattr(bundle, name) for name in names}


def count() -> int:
    """How often the fewer of two counts is taken in one decode of what is given."""
    arrays, facts, choices = pickle.load(sys.stdin.buffer)
    once = ready(Arrays(**arrays), State(**facts), Choices(**choices))
    profile = cProfile.Profile()
    profile.runcall(once)
    code = fewer.__code__
    for place, (_, calls, *_) in pstats.Stats(profile).stats.items():  # type: ignore[attr-defined]
        if place[::2] == (code.co_filename, code.co_name):
            return int(calls)
    raise AssertionError("people were not counted")


def main() -> None:
    """Measure books of several sizes, and how all grows with them."""
    if COUNT in sys.argv[1:]:
        print(count())
        return
    print(f"{platform.processor() or platform.machine()}, {platform.platform()}")
    books = []
    for boats in SIZES:
        with tempfile.TemporaryDirectory() as folder:
            write_sample(Path(folder) / "yard", DEMO, boats, 1, 1.1, None)
            books.append(Decoding(Path(folder) / "yard"))
    in_a_row = [median([one.once() for _ in range(DECODES)]) for one in books]
    turns = [[one.once() for one in books] for _ in range(DECODES)]
    in_turn = [median(own) for own in zip(*turns, strict=True)]
    counts = [one.counts() for one in books]
    for boats, one, row, turn, own in zip(
        SIZES, books, in_a_row, in_turn, counts, strict=True
    ):
        print(
            f"{boats:5} boats {len(one.a.boat_of):6} operations  "
            f"decode {row:5.2f} ms in a row, {turn:5.2f} in turn  "
            f"{own:9,} counts of people  build {one.build_seconds:.2f} s  "
            f"compile {one.compile_seconds:.2f} s  check {one.check_seconds():.2f} s"
        )
    few, many = (len(one.a.boat_of) for one in books)
    print(
        f"growth: operations {many / few:.1f} times, "
        f"n log n {many * log(many) / (few * log(few)):.1f}, "
        f"counts of people {counts[1] / counts[0]:.1f}, "
        f"time in a row {in_a_row[1] / in_a_row[0]:.1f}, "
        f"in turn {in_turn[1] / in_turn[0]:.1f}"
    )


if __name__ == "__main__":
    main()
