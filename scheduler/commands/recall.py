"""`hullpace recall`: write a published plan into a file again."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from scheduler.commands.common import program, whole
from scheduler.commands.memory import kept_store_options, shown_time, store_address


def register(subparsers: Any) -> None:
    """Add the command to a parser."""
    parser = subparsers.add_parser(
        "recall", help="write a published plan into a file again"
    )
    parser.add_argument(
        "number", type=whole, nargs="?", metavar="N",
        help="number of a published plan (default the newest)",
    )  # fmt: skip
    parser.add_argument(
        "--out", type=Path, default=Path("build/published.json"), metavar="FILE",
        help="default build/published.json",
    )  # fmt: skip
    kept_store_options(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Write the file, whole or not at all, and say which plan it is."""
    from models.store.plans import read_plan
    from models.store.transactions import open_store
    from scheduler.plan_file import text_of, write_text

    store = open_store(store_address(args))
    publication, document = read_plan(store, args.number)
    write_text(text_of(document), args.out)
    at = shown_time(publication.at, document["problem"]["time_zone"])
    by = f"published by {publication.who} on {at}"
    print(f"{args.out}: plan {publication.number}, {by}.")
    print(f"Plan around it: {program()} plan --committed {args.out}")
    return 0
