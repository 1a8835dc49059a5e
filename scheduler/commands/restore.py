"""`hullpace restore`: make a store what a backup holds."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from scheduler.commands.memory import (
    author,
    kept_store_options,
    store_address,
    why_option,
)


def register(subparsers: Any) -> None:
    """Add the command to a parser."""
    parser = subparsers.add_parser("restore", help="make the store what a backup holds")
    parser.add_argument("file", type=Path, metavar="FILE", help="a backup")
    kept_store_options(parser)
    parser.add_argument(
        "--set-aside", type=Path, metavar="FILE",
        help="a new file for what the store holds now; needed if it holds anything",
    )  # fmt: skip
    why_option(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Check the backup, set aside what is there, replace it in one transaction."""
    from models.store.backup import look_at, restore
    from models.store.transactions import is_there, open_store

    address = store_address(args)
    if not is_there(address):
        look_at(args.file)  # before a store is made for nothing
    store = open_store(address, create=True)
    entries = restore(store, args.file, author(args), args.set_aside)
    print(f"{store.shown}: restored from {args.file}, {entries} entries of the log.")
    if args.set_aside is not None and args.set_aside.exists():
        print(f"What it held before: {args.set_aside}")
    return 0
