"""`hullpace backup`: copy a live store into a file."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from scheduler.commands.common import plural
from scheduler.commands.memory import kept_store_options, store_address


def register(subparsers: Any) -> None:
    """Add the command to a parser."""
    parser = subparsers.add_parser("backup", help="copy the store into a new file")
    parser.add_argument("file", type=Path, metavar="FILE", help="a new file")
    kept_store_options(parser)
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
