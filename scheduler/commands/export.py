"""`hullpace export`: the tables of a plan as CSV."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from scheduler.commands.common import DEFAULT_PLAN, open_plan


def register(subparsers: Any) -> None:
    """Add the command to a parser."""
    parser = subparsers.add_parser("export", help="write the tables of a plan as CSV")
    parser.add_argument("--plan", type=Path, default=DEFAULT_PLAN, metavar="FILE")
    parser.add_argument(
        "--out", type=Path, default=Path("build/tables"), metavar="DIR",
        help="default build/tables",
    )  # fmt: skip
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Write the files and name them."""
    from scheduler.export import export_csv

    for path in export_csv(open_plan(args.plan), args.out):
        print(path)
    return 0
