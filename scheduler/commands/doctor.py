"""`hullpace doctor`: is everything here that planning needs?"""

from __future__ import annotations

import argparse
from typing import Any
from zoneinfo import ZoneInfo

from scheduler.commands.common import read_book, yard_options


def register(subparsers: Any) -> None:
    """Add the command to a parser."""
    parser = subparsers.add_parser("doctor", help="check the installation and a yard")
    yard_options(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Print versions, then read the yard."""
    from scheduler.planner import versions

    for name, version in versions().items():
        print(f"{name:10} {version}")
    book = read_book(args)
    ZoneInfo(book.yard.time_zone)
    print(f"{'time zone':10} {book.yard.time_zone}")
    print(f"{'yard':10} {book.yard.name}: {len(book.orders)} orders, no fault")
    return 0
