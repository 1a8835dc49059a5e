"""`hullpace export`: the tables of a plan as CSV, or as a workbook."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from scheduler.commands.common import DEFAULT_PLAN, open_plan


def register(subparsers: Any) -> None:
    """Add the command to a parser."""
    parser = subparsers.add_parser("export", help="write the tables of a plan")
    parser.add_argument("--plan", type=Path, default=DEFAULT_PLAN, metavar="FILE")
    parser.add_argument(
        "--out", type=Path, default=Path("build/tables"), metavar="DIR",
        help="default build/tables",
    )  # fmt: skip
    parser.add_argument(
        "--xlsx", action="store_true",
        help="one workbook, tables.xlsx, instead of CSV files",
    )  # fmt: skip
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Write the files and name them."""
    from scheduler.export import export_csv, export_workbook

    plan = open_plan(args.plan)
    if args.xlsx:
        print(export_workbook(plan, args.out))
        return 0
    for path in export_csv(plan, args.out):
        print(path)
    return 0
