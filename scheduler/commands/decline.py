"""`hullpace decline`: a customer says no to a quote; its slot is free at once."""

from __future__ import annotations

import argparse
import json
from typing import Any

from scheduler.commands.memory import (
    author,
    kept_store_options,
    store_address,
    why_option,
)


def register(subparsers: Any) -> None:
    """Add the command to a parser."""
    parser = subparsers.add_parser(
        "decline", help="give a reserved slot back before its quote runs out"
    )
    parser.add_argument("order", metavar="ORDER", help="the order that was reserved")
    kept_store_options(parser)
    why_option(parser)
    parser.add_argument("--json", action="store_true", help="print an object")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Decline, and say so; 1 if there is nothing to give back any more."""
    from models.store.reservations import decline
    from models.store.transactions import open_store

    row = decline(open_store(store_address(args)), args.order, author(args))
    if args.json:
        told = {"order": args.order, "promised": str(row.order.promised)}
        print(json.dumps(told))
        return 0
    print(
        f"{args.order} is declined: its slot for {row.order.promised} is free.\n"
        "Quotes and plans from now on do without it."
    )
    return 0
