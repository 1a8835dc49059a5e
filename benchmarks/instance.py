"""Solve an instance of the benchmark literature: `python -m benchmarks.instance FILE`.

Reads the two open formats of `scheduler.classical.reading` and prints what was found,
what no plan can beat, and whether that is the same. Exit codes: 0 done, 2 bad input.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import get_args

from models.errors import DataFaults, HullpaceError
from scheduler.classical.problem_of import Between, Goal
from scheduler.classical.reading import read_instance
from scheduler.classical.solve import Effort, Result, solve_instance
from scheduler.commands.common import positive, threads, whole, whole_or_zero

SECONDS = 10.0


def build_parser() -> argparse.ArgumentParser:
    """The options."""
    parser = argparse.ArgumentParser(
        prog="python -m benchmarks.instance",
        description="Solve a job shop (machine and time pairs) or a project (.rcp).",
    )
    parser.add_argument("file", type=Path, metavar="FILE")
    parser.add_argument(
        "--seconds", type=positive, metavar="S",
        help=f"time to spend (default {SECONDS:g}, or none beside --schedules)",
    )  # fmt: skip
    parser.add_argument(
        "--schedules", type=whole, metavar="N",
        help="search exactly so many schedules (repeatable for a seed); the "
        "constraint model then works only if --seconds is given, too",
    )  # fmt: skip
    parser.add_argument("--goal", choices=get_args(Goal), default="makespan")
    parser.add_argument(
        "--between", choices=get_args(Between), default="free",
        help="what may lie between the steps of a job (default free)",
    )  # fmt: skip
    parser.add_argument("--seed", type=whole_or_zero, default=0, metavar="N")
    parser.add_argument("--workers", type=threads, default=2, metavar="N")
    return parser


def main(arguments: Sequence[str] | None = None) -> int:
    """Read, solve and print."""
    args = build_parser().parse_args(arguments)
    seconds = args.seconds
    if seconds is None and args.schedules is None:
        seconds = SECONDS
    effort = Effort(seconds, args.schedules, args.seed, args.workers)
    try:
        instance = read_instance(args.file)
        result = solve_instance(instance, args.goal, args.between, effort=effort)
    except DataFaults as faults:
        print(faults, file=sys.stderr)
        return 2
    except HullpaceError as error:
        print(f"{args.file}: {error}", file=sys.stderr)
        return error.exit_code
    print(told(args.file.name, args.goal, result))
    return 0


def told(name: str, goal: str, result: Result) -> str:
    """One line: value, bound, status, and what they took."""
    return (
        f"{name}: {goal} {result.value}, at least {result.bound}, {result.status} "
        f"({result.method}, {result.schedules} schedules, {result.seconds:.1f} s)"
    )


if __name__ == "__main__":
    sys.exit(main())
