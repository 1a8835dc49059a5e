"""`hullpace doctor`: is everything here that planning needs?"""

from __future__ import annotations

import argparse
from typing import Any
from zoneinfo import ZoneInfo

from scheduler.commands.common import book_counts, plural, read_book, yard_options
from scheduler.commands.memory import store_address, store_option


def register(subparsers: Any) -> None:
    """Add the command to a parser."""
    parser = subparsers.add_parser(
        "doctor", help="check the installation, a yard and its store"
    )
    yard_options(parser)
    store_option(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Print versions, then read the yard, then look through the store."""
    from scheduler.planner import versions

    for name, version in versions().items():
        _tell(name, version)
    book = read_book(args)
    ZoneInfo(book.yard.time_zone)
    _tell("time zone", book.yard.time_zone)
    _tell("yard", f"{book.yard.name}: no fault", *book_counts(book))
    return _look_into_store(args)


def _look_into_store(args: argparse.Namespace) -> int:
    """Count what the store holds and look whether all of it is whole."""
    from models.store.address import parse_address
    from models.store.soundness import counts, faults
    from models.store.transactions import is_there, open_store

    address = store_address(args)
    if not args.store and not is_there(address):
        shown = parse_address(address).shown
        _tell("store", f"{shown}: none yet, `hullpace load` makes one")
        return 0
    store = open_store(address)
    found = faults(store)
    some = [f"{name} {number}" for name, number in counts(store).items() if number]
    state = plural(len(found), "fault") if found else "no fault"
    _tell("store", f"{store.shown}: {state}", ", ".join(some) or "nothing yet", *found)
    return 1 if found else 0


def _tell(name: str, *lines: str) -> None:
    for head, line in zip((name, *[""] * len(lines)), lines, strict=False):
        print(f"{head:10} {line}")
