"""Solve a set of classical instances: `python -m benchmarks.classical DIR`.

Prints and writes how far above the best known value each is. Sources: the job shops of
Fisher and Thompson (1963), Lawrence (1984), Adams, Balas and Zawack (1988); projects of
the PSPLIB library (European Journal of Operational Research 96, 1997).
"""

from __future__ import annotations

import argparse
import csv
import json
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from statistics import mean

from scheduler.classical.reading import read_instance
from scheduler.classical.solve import Effort, solve_instance
from scheduler.planner import versions

DATA = Path(__file__).resolve().parent.parent / "tests/outside/data"
OPTIMAL = {  # as published, see tests/outside/test_job_shops.py and test_projects.py
    "ft10": 930, "ft20": 1165, "la16": 945, "la21": 1046, "abz5": 1234,
    "j30_1_1": 43, "j30_5_1": 53, "j30_9_1": 83, "j30_13_1": 58, "j30_29_1": 85,
    "j30_45_1": 82,
}  # fmt: skip


@dataclass(frozen=True)
class Entry:
    """A set of instances and what may be spent on each.

    `schedules` 0: seconds count instead.
    """

    folder: Path
    pattern: str
    seconds: float
    schedules: int

    @property
    def name(self) -> str:
        """The name of its file."""
        spent = f"schedules-{self.schedules}"
        if not self.schedules:
            spent = f"seconds-{self.seconds:g}"
        kind = self.pattern.replace("*", "").replace(".", "-").strip("-_")
        return f"classical-{kind}_{spent}"


def entries(suite: str, projects: Path | None) -> list[Entry]:
    """The sets of a suite."""
    shops = (
        ("ft10.txt", "la21.txt")
        if suite == "quick"
        else ("ft*0.txt", "la16.txt", "la21.txt", "abz5.txt")
    )
    found = [Entry(DATA, shop, 60.0, 0) for shop in shops]
    sets = {"j30_*.rcp": projects or DATA}
    if projects is not None:
        sets["j120_*.rcp"] = projects
    counts = (1000,) if suite == "quick" else (1000, 5000)
    for pattern, folder in sets.items():
        found += [Entry(folder, pattern, 0.0, count) for count in counts]
    return found


def best_known(folder: Path) -> dict[str, int]:
    """Best known values by name of instance."""
    listed = folder / "best-known.csv"
    known = dict(OPTIMAL)
    if listed.exists():
        with listed.open(encoding="utf-8", newline="") as file:
            for row in csv.DictReader(file):
                known[row["instance"]] = int(row["best_known_makespan"])
    return known


def measure(entry: Entry, seed: int = 0) -> dict[str, object]:
    """Solve every instance of a set."""
    known, rows = best_known(entry.folder), []
    for path in sorted(entry.folder.glob(entry.pattern)):
        effort = Effort(entry.seconds or None, entry.schedules or None, seed)
        began = time.perf_counter()
        result = solve_instance(read_instance(path), effort=effort)
        rows.append(
            {
                "instance": path.stem,
                "value": result.value,
                "bound": result.bound,
                "status": result.status,
                "best_known": known.get(path.stem),
                "spent_seconds": time.perf_counter() - began,
            }
        )
        print(json.dumps(rows[-1]), flush=True)
    above = [
        100 * (row["value"] / row["best_known"] - 1)  # type: ignore[operator]
        for row in rows
        if row["best_known"] is not None
    ]
    return {
        "set": entry.pattern,
        "schedules": entry.schedules,
        "seconds": entry.seconds,
        "seed": seed,
        "instances": len(rows),
        "average_above_best_known_per_cent": mean(above) if above else None,
        "date": datetime.now(UTC).date().isoformat(),
        "versions": versions(),
        "rows": rows,
    }


def main(arguments: Sequence[str] | None = None) -> int:
    """Solve and write."""
    parser = argparse.ArgumentParser(
        prog="python -m benchmarks.classical", description="Solve a set of instances."
    )
    parser.add_argument("folder", type=Path, metavar="DIR")
    parser.add_argument("--pattern", default="*.rcp")
    parser.add_argument("--seconds", type=float, default=0.0)
    parser.add_argument("--schedules", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--out", type=Path, required=True, metavar="FILE")
    args = parser.parse_args(arguments)
    entry = Entry(args.folder, args.pattern, args.seconds, args.schedules)
    found = measure(entry, args.seed)
    args.out.parent.mkdir(parents=True, exist_ok=True)
    args.out.write_text(json.dumps(found, indent=1) + "\n", encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
