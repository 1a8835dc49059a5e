"""`hullpace backup`: copy a live store into a file."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from scheduler.commands.common import DEFAULT_YARD, plural
from scheduler.commands.memory import store_address, store_option


def register(subparsers: Any) -> None:
    """Add the command to a parser."""
    parser = subparsers.add_parser("backup", help="copy the store into a new file")
    parser.add_argument("file", type=Path, metavar="FILE", help="a new file")
    parser.add_argument(
        "--yard", type=Path, default=DEFAULT_YARD, metavar="DIR",
        help="the yard beside whose files the store lies (default demo_orders)",
    )  # fmt: skip
    store_option(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Copy, check the copy, and say what is in it; others may go on working."""
    from models.store.backup import backup
    from models.store.transactions import open_store

    store = open_store(store_address(args))
    entries = backup(store, args.file)
    size = args.file.stat().st_size / 1e6
    count = plural(entries, "entry").replace("entrys", "entries")
    print(f"{args.file}: {count} of the log of {store.shown}, {size:.1f} MB, whole.")
    return 0
