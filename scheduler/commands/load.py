"""`hullpace load --dry-run`: read the yard and its book and list every fault."""

from __future__ import annotations

import argparse
from typing import Any

from models.errors import UsageError
from scheduler.commands.common import read_book, yard_options


def register(subparsers: Any) -> None:
    """Add the command to a parser."""
    parser = subparsers.add_parser("load", help="read the yard and its orders")
    yard_options(parser)
    parser.add_argument(
        "--dry-run", action="store_true", help="only read and check; write nothing"
    )
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Validate everything; nothing is stored yet."""
    if not args.dry_run:
        raise UsageError(
            "there is no store yet: use `hullpace load --dry-run` to check"
        )
    book = read_book(args)
    yard = book.yard
    promised = sum(one.promised is not None for one in book.orders)
    done = sum(one.state == "done" for one in book.in_hand)
    print(f"{yard.name}, planned from {yard.as_of} in {yard.time_zone}: no fault.")
    files = sorted(name for name in book.sources or {} if "boats/" not in name)
    print(f"  read {', '.join([*files, 'boats/*.toml'])}")
    print(
        f"  {len(yard.people)} people, {len(yard.molds)} molds, {len(yard.places)} "
        f"places, {len(yard.stations)} stations, {len(book.models)} models"
    )
    print(
        f"  {len(book.orders)} orders, {promised} of them promised; "
        f"{len(book.arrivals)} arrivals; {done} steps done and "
        f"{len(book.in_hand) - done} begun; {len(book.locks)} locks"
    )
    return 0
