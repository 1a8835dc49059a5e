"""`hullpace restore`: make a store what a backup holds."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from scheduler.commands.common import DEFAULT_YARD
from scheduler.commands.memory import author, store_address, store_option, why_option


def register(subparsers: Any) -> None:
    """Add the command to a parser."""
    parser = subparsers.add_parser("restore", help="make the store what a backup holds")
    parser.add_argument("file", type=Path, metavar="FILE", help="a backup")
    parser.add_argument(
        "--yard", type=Path, default=DEFAULT_YARD, metavar="DIR",
        help="the yard beside whose files the store lies (default demo_orders)",
    )  # fmt: skip
    store_option(parser)
    parser.add_argument(
        "--set-aside", type=Path, metavar="FILE",
        help="a new file for what the store holds now; needed if it holds anything",
    )  # fmt: skip
    why_option(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Check the backup, set aside what is there, replace it in one transaction."""
    from models.store.backup import restore
    from models.store.transactions import open_store

    store = open_store(store_address(args), create=True)
    entries = restore(store, args.file, author(args), args.set_aside)
    print(f"{store.shown}: restored from {args.file}, {entries} entries of the log.")
    if args.set_aside is not None and args.set_aside.exists():
        print(f"What it held before: {args.set_aside}")
    return 0
