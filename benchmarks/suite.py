"""Measure books of several sizes: `python -m benchmarks.suite quick` or `full`.

Each cell runs in a process of its own and leaves one file, so a run that was stopped
goes on where it was: a cell whose file is there is not measured again (`--again`
removes the files of the suite first). `quick` takes under 30 minutes; `full` about
five hours. Tables and plots are written at the end, of all cells that are there.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import time
from collections.abc import Sequence
from pathlib import Path

from benchmarks.cell import Cell
from benchmarks.classical import Entry, entries
from benchmarks.tables import write_tables

ROOT = Path(__file__).resolve().parent.parent
RESULTS = Path(__file__).resolve().parent / "results"

QUICK = (
    Cell(8, 1.1, 1, seconds=30, model_seconds=30, seeds=1),
    Cell(20, 1.1, 1, seconds=60, model_seconds=60, seeds=1),
    Cell(40, 1.1, 1, seconds=60, model_seconds=60, seeds=1),
    Cell(400, 1.1, 1, seconds=60, model_seconds=0, seeds=1),
)
FULL = (
    *(
        Cell(boats, 1.1, seed, seconds=30, model_seconds=60, seeds=3)
        for boats in (8, 12)
        for seed in (1, 2, 3)
    ),
    *(
        Cell(boats, 1.1, seed, seconds=60, model_seconds=600, seeds=3)
        for boats in (20, 40)
        for seed in (1, 2, 3)
    ),
    *(Cell(40, 2.0, seed, seconds=60, model_seconds=0, seeds=3) for seed in (1, 2, 3)),
    *(Cell(400, 1.1, seed, seconds=60, model_seconds=0, seeds=3) for seed in (1, 2, 3)),
)
SUITES = {"quick": QUICK, "full": FULL}


def command_of(cell: Cell, path: Path) -> list[str]:
    """How a cell is measured in a process of its own."""
    options = {
        "--boats": cell.boats,
        "--load": cell.load,
        "--book-seed": cell.book_seed,
        "--seconds": cell.seconds,
        "--model-seconds": cell.model_seconds,
        "--seeds": cell.seeds,
        "--out": path,
    }
    words = [str(word) for pair in options.items() for word in pair]
    return [sys.executable, "-m", "benchmarks.cell", *words]


def jobs_of(suite: str, folder: Path, projects: Path | None) -> dict[Path, list[str]]:
    """The files of a suite and the command that makes each."""
    jobs = {}
    for cell in SUITES[suite]:
        path = folder / "cells" / f"{cell.name}.json"
        jobs[path] = command_of(cell, path)
    for entry in entries(suite, projects):
        path = folder / "cells" / f"{entry.name}.json"
        jobs[path] = [sys.executable, "-m", "benchmarks.classical", *words(entry, path)]
    return jobs


def words(entry: Entry, path: Path) -> list[str]:
    """The options of one classical set."""
    return [
        str(entry.folder), "--pattern", entry.pattern,
        "--seconds", f"{entry.seconds:g}", "--schedules", str(entry.schedules),
        "--out", str(path),
    ]  # fmt: skip


def build_parser() -> argparse.ArgumentParser:
    """The options."""
    parser = argparse.ArgumentParser(
        prog="python -m benchmarks.suite", description="Measure books of several sizes."
    )
    parser.add_argument("suite", choices=sorted(SUITES))
    parser.add_argument("--out", type=Path, default=RESULTS, metavar="DIR")
    parser.add_argument("--again", action="store_true", help="measure all cells anew")
    parser.add_argument(
        "--projects", type=Path, metavar="DIR",
        help="folder of .rcp files and best-known.csv (default: those of the tests)",
    )  # fmt: skip
    return parser


def main(arguments: Sequence[str] | None = None) -> int:
    """Measure what is not there yet, then write the tables."""
    args = build_parser().parse_args(arguments)
    jobs = jobs_of(args.suite, args.out, args.projects)
    if args.again:
        for path in jobs:
            path.unlink(missing_ok=True)
    left = [path for path in jobs if not path.exists()]
    failed = 0
    for number, path in enumerate(left, 1):
        print(f"{number}/{len(left)} {path.stem}", flush=True)
        began = time.perf_counter()
        code = subprocess.run(jobs[path], cwd=ROOT, check=False).returncode
        failed += code != 0
        print(f"    {time.perf_counter() - began:.0f} s, exit code {code}", flush=True)
    print(f"Tables: {write_tables(args.out)}")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
