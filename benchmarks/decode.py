"""How long decoding, compiling and checking take: `python -m benchmarks.decode`.

Books of `hullpace sample` at load 1.1; the median of 200 decodes of the earliest due
date order with the largest crews; the least of three checks of a whole plan file in
memory. Prints the machine, so that figures can be compared.
"""

from __future__ import annotations

import platform
import tempfile
import time
from pathlib import Path
from statistics import median

import numpy as np

from models.loading import load_book
from models.sample import write_sample
from scheduler.building.build import build_problem
from scheduler.checker import check
from scheduler.compiling.compile import compile_problem
from scheduler.decoding.decoder import VALUES, decode, due_positions, new_state
from scheduler.fitting import fitting_compilation
from scheduler.plan_file import plan_to_json
from scheduler.planner import Request, make_plan
from scheduler.searching.alone import alone_figures
from scheduler.searching.chain import new_choices
from scheduler.searching.rules import rule_orders
from scheduler.searching.search import Budget, facts_of

DECODES = 200


def measure(boats: int, base: Path) -> None:
    """Print one row."""
    with tempfile.TemporaryDirectory() as folder:
        write_sample(Path(folder) / "yard", base, boats, 1, 1.1, None)
        book = load_book(Path(folder) / "yard")
    began = time.perf_counter()
    build_problem(book)
    built = time.perf_counter() - began
    compilation = fitting_compilation(book, Request())
    began = time.perf_counter()
    compile_problem(compilation.problem)
    compiled = time.perf_counter() - began
    a = compilation.arrays
    facts, state = facts_of(a), new_state(a)
    value, due = np.zeros(VALUES, np.int64), due_positions(a)
    order = rule_orders(a, alone_figures(a, facts))["due"]
    choices = new_choices(a, order)
    choices.crew[:] = a.crew_max
    times = []
    for _ in range(DECODES + 5):
        began = time.perf_counter()
        assert decode(a, facts, state, choices, due, value)
        times.append(time.perf_counter() - began)
    planned = make_plan(book, Request(Budget(work=1), exact=False)).plan
    document, checks = plan_to_json(planned), []
    for _ in range(3):
        began = time.perf_counter()
        assert check(document) == []
        checks.append(time.perf_counter() - began)
    print(
        f"{boats:5} boats {len(a.boat_of):6} operations  "
        f"decode median {median(times[5:]) * 1e3:6.2f} ms "
        f"(least {min(times[5:]) * 1e3:.2f})  "
        f"build {built:.2f} s  compile {compiled:.2f} s  "
        f"check {min(checks):.2f} s"
    )


def main() -> None:
    """Measure books of several sizes."""
    print(f"{platform.processor() or platform.machine()}, {platform.platform()}")
    for boats in (20, 33, 330):  # about 1,000, 1,600 and 16,000 operations
        measure(boats, Path("demo_orders"))


if __name__ == "__main__":
    main()
