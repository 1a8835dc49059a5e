"""Measure one cell in a process of its own: `python -m benchmarks.cell --boats 20`.

A cell is one book of `hullpace sample` on which all methods are tried one after the
other, so that its figures share machine and minute. Writes one JSON file.
"""

from __future__ import annotations

import argparse
import json
import os
import platform
import resource
import sys
import tempfile
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from pathlib import Path

from benchmarks.arms import Arm, model_arm, plan_arm, rule_arms
from models.loading import load_book
from models.sample import write_sample
from scheduler.fitting import fitting_compilation
from scheduler.planner import Request, versions

ROOT = Path(__file__).resolve().parent.parent
HINT_SECONDS = 5.0
MODEL_OPERATIONS = 2_500
"""The constraint model alone is not asked with more: it would not fit into memory."""


@dataclass(frozen=True)
class Cell:
    """A book, and what each method may spend on it.

    `seeds` are those of the search; the book has its own.
    """

    boats: int
    load: float
    book_seed: int
    seconds: float
    model_seconds: float
    seeds: int

    @property
    def name(self) -> str:
        """The name of its file."""
        return (
            f"boats-{self.boats}_load-{self.load:g}_book-{self.book_seed}"
            f"_seconds-{self.seconds:g}_model-{self.model_seconds:g}_seeds-{self.seeds}"
        )


def measure(cell: Cell) -> dict[str, object]:
    """Try every method on the book of a cell."""
    with tempfile.TemporaryDirectory() as folder:
        yard = Path(folder) / "yard"
        write_sample(
            yard, ROOT / "demo_orders", cell.boats, cell.book_seed, cell.load, None
        )
        book = load_book(yard)
    compilation = fitting_compilation(book, Request())  # compiles the loops, too
    operations = len(compilation.operations)
    arms: list[Arm] = []
    for seed in range(cell.seeds):
        arm, outcome = plan_arm(book, cell.seconds, seed)
        arms.append(arm)
        if seed == 0:
            arms = [*rule_arms(outcome), *arms]
    if cell.model_seconds and operations <= MODEL_OPERATIONS:
        _, short = plan_arm(book, HINT_SECONDS, 0)
        hint = short.settled.solution
        arms.append(model_arm(short.compilation, hint, cell.model_seconds))
        arms.append(model_arm(short.compilation, None, cell.model_seconds))
    return {
        "cell": asdict(cell),
        "operations": operations,
        "date": datetime.now(UTC).date().isoformat(),
        "machine": machine(),
        "versions": versions(),
        "busy": round(os.getloadavg()[2], 1),
        "peak_mb": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024,
        "arms": [arm.row() for arm in arms],
    }


def machine() -> dict[str, object]:
    """What ran it."""
    return {
        "processor": processor(),
        "cores": os.cpu_count(),
        "system": platform.system(),
        "architecture": platform.machine(),
    }


def processor() -> str:
    """The name that the processor gives itself, where the system tells."""
    told = Path("/proc/cpuinfo")
    if told.exists():
        for line in told.read_text(encoding="utf-8").splitlines():
            if line.startswith("model name"):
                return line.split(":", 1)[1].strip()
    return platform.processor() or "not told"


def build_parser() -> argparse.ArgumentParser:
    """The options."""
    parser = argparse.ArgumentParser(
        prog="python -m benchmarks.cell", description="Measure one book."
    )
    parser.add_argument("--boats", type=int, required=True)
    parser.add_argument("--load", type=float, default=1.1)
    parser.add_argument("--book-seed", type=int, default=1)
    parser.add_argument("--seconds", type=float, default=60.0)
    parser.add_argument(
        "--model-seconds", type=float, default=60.0, help="0: not asked"
    )
    parser.add_argument("--seeds", type=int, default=1, help="of the search")
    parser.add_argument("--out", type=Path, required=True, metavar="FILE")
    return parser


def main(arguments: Sequence[str] | None = None) -> int:
    """Measure and write."""
    args = build_parser().parse_args(arguments)
    cell = Cell(
        args.boats, args.load, args.book_seed, args.seconds, args.model_seconds,
        args.seeds,
    )  # fmt: skip
    found = measure(cell)
    args.out.parent.mkdir(parents=True, exist_ok=True)
    part = args.out.with_suffix(".part")
    part.write_text(json.dumps(found, indent=1) + "\n", encoding="utf-8")
    part.replace(args.out)
    return 0


if __name__ == "__main__":
    sys.exit(main())
