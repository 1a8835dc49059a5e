"""`hullpace diff`: what is not the same in two plans, files or published ones."""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

from scheduler.commands.common import DEFAULT_PLAN, open_plan
from scheduler.commands.memory import kept_store_options, shown_time, store_address

if TYPE_CHECKING:
    from scheduler.plan import Plan

PUBLISHED = "published"


def register(subparsers: Any) -> None:
    """Add the command to a parser."""
    parser = subparsers.add_parser(
        "diff", help="what is not the same in two plans",
        description="A plan is a file, the number of a published plan, or the word "
        f"'{PUBLISHED}' for the one that the floor works to.",
    )  # fmt: skip
    parser.add_argument(
        "before", nargs="?", default=PUBLISHED, metavar="BEFORE",
        help=f"default {PUBLISHED}",
    )  # fmt: skip
    parser.add_argument(
        "after", nargs="?", default=str(DEFAULT_PLAN), metavar="AFTER",
        help="default build/plan.json",
    )  # fmt: skip
    kept_store_options(parser)
    parser.add_argument(
        "--operations", action="store_true", help="also list every step that changes"
    )
    parser.add_argument("--json", action="store_true", help="print an object")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Words first, tables after; 0 whether the plans differ or not."""
    from scheduler.cause_report import cause_lines, cause_objects
    from scheduler.causes import causes_of
    from scheduler.difference import difference
    from scheduler.difference_report import (
        as_object,
        operation_lines,
        table_lines,
        word_lines,
    )

    (before, name), (after, later) = (
        _named_plan(args, text) for text in (args.before, args.after)
    )
    found = difference(before, after)
    ticks = {one.problem.axis.tick_minutes for one in (before, after)}
    causes = causes_of(before, after) if len(ticks) == 1 else ()
    if args.json:
        moves = {"moves": cause_objects(causes)}
        print(json.dumps({"before": name, "after": later, **as_object(found), **moves}))
        return 0
    zone = after.problem.axis.zone_name
    lines = [f"From {name} to {later}; times in {zone}.", ""]
    lines += [*word_lines(found), *table_lines(found)]
    if causes:
        lines += ["", *cause_lines(causes)]
    if args.operations:
        lines += operation_lines(found)
    print("\n".join(lines))
    return 0


def _named_plan(args: argparse.Namespace, text: str) -> tuple[Plan, str]:
    """Read a plan by number, word or path, and say which it is."""
    number = int(text) if text.isascii() and text.isdigit() else None
    if number is None and text != PUBLISHED:
        return open_plan(Path(text)), text
    from models.store.plans import read_plan
    from models.store.transactions import open_store
    from scheduler.plan_file import plan_from_json

    publication, document = read_plan(open_store(store_address(args)), number)
    plan = plan_from_json(document)
    at = shown_time(publication.at, plan.problem.axis.zone_name)
    return plan, f"plan {publication.number} ({publication.who}, {at})"
