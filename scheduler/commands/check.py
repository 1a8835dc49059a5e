"""`hullpace check PLAN`: verify a plan file with the independent checker."""

from __future__ import annotations

import argparse
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from models.errors import UsageError
from scheduler.commands.common import DEFAULT_PLAN, DEFAULT_YARD, plural, read_book

if TYPE_CHECKING:
    from models.orders import Book

MOST_SHOWN = 200


def register(subparsers: Any) -> None:
    """Add the command to a parser."""
    parser = subparsers.add_parser("check", help="verify a plan against every rule")
    parser.add_argument(
        "plan",
        type=Path,
        nargs="?",
        default=DEFAULT_PLAN,
        help="default build/plan.json",
    )
    parser.add_argument(
        "--yard", type=Path, metavar="DIR", help="also compare with the data of a yard"
    )
    parser.add_argument(
        "--orders", type=Path, action="append", metavar="FILE",
        help="the order files that it was made for, with --yard",
    )  # fmt: skip
    parser.add_argument(
        "--store", metavar="URL",
        help="also compare with what was loaded and recorded in a store",
    )  # fmt: skip
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Print each violation as a sentence; 0 if there is none."""
    from scheduler.checker import check
    from scheduler.plan_file import problem_from_json, read_json

    document = read_json(args.plan)
    found = check(document)
    if args.orders and args.yard is None:
        args.yard = DEFAULT_YARD
    if args.store is not None and args.yard is not None:
        raise UsageError("--store holds the yard and its orders: name it or --yard")
    data = args.yard if args.store is None else args.store
    if data is not None and not found:
        from scheduler.building.build import build_problem
        from scheduler.compare import compare
        from scheduler.missed_windows import with_missed_windows

        problem = problem_from_json(document["problem"])
        axis = problem.axis
        book = with_missed_windows(_book(args, axis.local(problem.now).date()))
        days = (axis.local(axis.ticks).date() - book.yard.as_of).days
        found = compare(problem, build_problem(book, horizon_days=days))
    for sentence in found[:MOST_SHOWN]:
        print(sentence)
    if len(found) > MOST_SHOWN:
        print(f"... and {len(found) - MOST_SHOWN} more")
    if found:
        count = plural(len(found), "violation")
        print(f"{args.plan}: {count}. This plan must not be worked to.")
        return 1
    operations = len(document["answer"]["operations"])
    against = f", and agree with {_shown(args)}" if data is not None else ""
    print(f"{args.plan}: {operations} operations keep every rule{against}.")
    return 0


def _book(args: argparse.Namespace, as_of: date) -> Book:
    """The data to compare with: of files, or of a store as of the plan's first day."""
    if args.store is None:
        return read_book(args)
    from models.store.transactions import open_store
    from scheduler.replanning import recall_book

    return recall_book(open_store(args.store), as_of)


def _shown(args: argparse.Namespace) -> str:
    if args.store is None:
        return str(args.yard)
    from models.store.address import parse_address

    return parse_address(args.store).shown
