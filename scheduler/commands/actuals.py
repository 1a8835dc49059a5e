"""`hullpace actuals`: earned against actual hours, and standards that they suggest."""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import Any

from scheduler.commands.common import DEFAULT_YARD
from scheduler.commands.memory import store_address, store_option


def register(subparsers: Any) -> None:
    """Add the command to a parser."""
    parser = subparsers.add_parser(
        "actuals", help="hours earned against hours worked, standards that they suggest"
    )
    parser.add_argument(
        "--yard", type=Path, default=DEFAULT_YARD, metavar="DIR",
        help="the yard beside whose files the store lies (default demo_orders)",
    )  # fmt: skip
    store_option(parser)
    parser.add_argument(
        "--all", action="store_true",
        help="also figures that cannot be told from the standard that holds",
    )  # fmt: skip
    parser.add_argument("--json", action="store_true", help="print an object")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Print what the recorded hours come to."""
    from models.actuals.earned import earned_against_actual
    from models.actuals.estimates import estimates
    from models.actuals.finished import finished_steps
    from models.store.actuals import worked
    from models.store.transactions import open_store
    from scheduler import actuals_report as report

    known = worked(open_store(store_address(args)))
    earned = earned_against_actual(known.past, known.entries)
    found = estimates(finished_steps(known.past, known.entries))
    suggested = [one for one in found if one.differs_from(1.0)]
    if args.json:
        left_out = known.past.left_out
        print(json.dumps(report.as_object(earned, found, suggested, left_out)))
        return 0
    lines = ["EARNED AND WORKED HOURS BY STATION AND WEEK (earned / worked)"]
    lines += report.earned_lines(earned)
    lines += ["", "STANDARDS THAT RECORDED HOURS SUGGEST"]
    lines += report.suggestion_lines(found, suggested, every=args.all)
    lines += report.flagged_lines(found)
    lines += report.left_out_line(known.past.left_out)
    print("\n".join(lines))
    return 0
