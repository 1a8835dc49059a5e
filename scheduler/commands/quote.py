"""`hullpace quote`: the earliest date for one more boat, with nothing else moved."""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

from scheduler.commands.common import (
    DEFAULT_PLAN,
    local_date,
    open_plan,
    refuse_missing_yard,
    whole_or_zero,
    yard_options,
)

if TYPE_CHECKING:
    from scheduler.promise import Quote


def register(subparsers: Any) -> None:
    """Add the command to a parser."""
    parser = subparsers.add_parser("quote", help="a date for one more boat")
    yard_options(parser)
    parser.add_argument("--plan", type=Path, default=DEFAULT_PLAN, metavar="FILE")
    parser.add_argument("--model", required=True, metavar="MODEL")
    parser.add_argument("--options", default="", metavar="A,B", help="option ids")
    parser.add_argument("--graphics", metavar="LAYOUT", help="a graphics layout")
    parser.add_argument("--wanted", type=local_date, metavar="DATE")
    parser.add_argument("--seed", type=whole_or_zero, default=0, metavar="N")
    parser.add_argument("--json", action="store_true")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Print the date and what it waits for; 1 if a wanted date cannot be kept."""
    from scheduler.promise import asked_book, quote

    plan = open_plan(args.plan)
    refuse_missing_yard(args.yard)
    options = tuple(one.strip() for one in args.options.split(",") if one.strip())
    book = asked_book(
        args.yard,
        args.orders,
        model=args.model,
        options=options,
        graphics=args.graphics,
    )
    found = quote(book, plan, seed=args.seed)
    kept = args.wanted is None or found.proposed <= args.wanted
    if args.json:
        print(json.dumps(_as_object(args, found, kept)))
        return 0 if kept else 1
    chosen = ", ".join(options) or "no options"
    if args.wanted is not None:
        answer = "Yes" if kept else "No"
        print(f"{answer}: wanted {args.wanted}, nearest date {found.proposed}.")
    print(f"{args.model} with {chosen}: ready to promise for {found.proposed}.")
    print(
        f"Planned finish {found.finish}, then the yard's buffer; no operation of "
        "another boat moves."
    )
    print(_reason(found, {one.id: one.name for one in book.yard.skills}))
    return 0 if kept else 1


def _reason(found: Quote, skills: dict[str, str]) -> str:
    if found.longest_wait is None:
        return "Nothing holds it up: its own work and cures take that long."
    from scheduler.report import called, length

    resource, operation = found.longest_wait
    step = operation.split("/", 1)[-1]
    days = length(found.waits_days[resource])
    return (
        f"It waits longest for {called(resource, skills)}: {days} "
        f"(step {step}).\nIn an empty yard it would be finished on {found.alone}."
    )


def _as_object(args: argparse.Namespace, found: Quote, kept: bool) -> dict[str, Any]:
    return {
        "model": args.model,
        "finish": found.finish.isoformat(),
        "proposed": found.proposed.isoformat(),
        "alone": found.alone.isoformat(),
        "wanted": args.wanted.isoformat() if args.wanted else None,
        "kept": kept,
        "waits_for": {name: round(days, 1) for name, days in found.waits_days.items()},
    }
