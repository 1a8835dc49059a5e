"""What `hullpace plan` starts from: files, or a store with what the floor did."""

from __future__ import annotations

import argparse
from dataclasses import dataclass
from typing import TYPE_CHECKING

from models.errors import UsageError
from scheduler.commands.common import (
    DEFAULT_YARD,
    local_date,
    open_plan,
    plural,
    read_book,
)
from scheduler.commands.memory import shown_time

if TYPE_CHECKING:
    from models.orders import Book
    from models.store.transactions import Store
    from scheduler.plan import Plan
    from scheduler.replanning import Memory


@dataclass(frozen=True)
class Source:
    """A book to plan, the plan to be kept, and lines that say where both come from."""

    book: Book
    committed: Plan | None
    lines: tuple[str, ...] = ()
    store: Store | None = None


def store_options(parser: argparse.ArgumentParser) -> None:
    """Add --store and --as-of."""
    parser.add_argument(
        "--store", metavar="URL",
        help="plan what was loaded, from what the floor recorded, and keep the "
        "published plan as --committed does",
    )  # fmt: skip
    parser.add_argument(
        "--as-of", type=local_date, metavar="DATE",
        help="with --store: first day to plan (default the day after the newest entry)",
    )  # fmt: skip


def read_source(args: argparse.Namespace) -> Source:
    """Read what the options name.

    Raises
    ------
    UsageError
        If options do not go together.
    """
    if args.store is None:
        if args.as_of is not None:
            raise UsageError("--as-of needs --store URL; files have as_of in yard.toml")
        if args.rearrange and args.committed is None:
            raise UsageError("--rearrange needs --committed PLAN or --store URL")
        committed = open_plan(args.committed) if args.committed else None
        return Source(read_book(args), committed)
    if args.committed or args.orders or args.yard != DEFAULT_YARD:
        raise UsageError(
            "--store holds the yard, its orders and the published plan: leave out "
            "--yard, --orders and --committed"
        )
    from models.store.transactions import open_store
    from scheduler.replanning import recall_all

    store = open_store(args.store)
    memory = recall_all(store, args.as_of)
    lines = (_line(memory, store.shown), *memory.failed_gates, "")
    return Source(memory.book, memory.published, lines, store)


def _line(memory: Memory, address: str) -> str:
    """Say from what is planned."""
    yard = memory.book.yard
    entries = f"{memory.entries} entries" if memory.entries != 1 else "1 entry"
    count = sum(len(one.standards) for one in memory.book.models.values())
    taken = f", {plural(count, 'accepted standard')}" if count else ""
    jobs = len(memory.book.jobs)
    others = f" and {plural(jobs, 'other job')}" if jobs else ""
    plan = "no published plan"
    if memory.publication is not None:
        at = shown_time(memory.publication.at, yard.time_zone)
        plan = f"plan {memory.publication.number} ({memory.publication.who}, {at})"
    return (
        f"{address}: load {memory.load}, {plan}, {entries} from the floor{taken}; "
        f"{plural(len(memory.book.orders), 'boat')}{others} planned from {yard.as_of}."
    )
