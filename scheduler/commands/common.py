"""What several commands share: options, the book, text tables."""

from __future__ import annotations

import argparse
import shutil
import sys
from collections.abc import Iterable, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from models.errors import UsageError

if TYPE_CHECKING:
    from models.orders import Book
    from scheduler.plan import Plan

DEFAULT_YARD = Path("demo_orders")
DEFAULT_PLAN = Path("build/plan.json")
MOST_DIGITS = 9
MOST_THREADS = 64


def yard_options(parser: argparse.ArgumentParser) -> None:
    """Add --yard and --orders."""
    parser.add_argument(
        "--yard",
        type=Path,
        default=DEFAULT_YARD,
        metavar="DIR",
        help="folder of yard.toml, boats/ and the order book (default demo_orders)",
    )
    parser.add_argument(
        "--orders",
        type=Path,
        action="append",
        metavar="FILE",
        help="orders, CSV or .xlsx; may be repeated (default DIR/orders.csv)",
    )


def budget_options(parser: argparse.ArgumentParser, seconds: float) -> None:
    """Add --seconds, --work, --seed and --workers."""
    parser.add_argument(
        "--seconds", type=positive, default=seconds, metavar="S",
        help=f"time to search, in seconds (default {seconds:g})",
    )  # fmt: skip
    parser.add_argument(
        "--work", type=whole, metavar="N",
        help="search N decoded plans instead of a time: repeatable for a seed",
    )  # fmt: skip
    parser.add_argument(
        "--seed", type=whole_or_zero, default=0, metavar="N", help="default 0"
    )
    parser.add_argument(
        "--workers", type=threads, default=2, metavar="N", help="threads (default 2)"
    )


def positive(text: str) -> float:
    """A number above zero, for argparse."""
    try:
        value = float(text)
    except ValueError:
        value = 0.0
    if not 0 < value < 1e6:
        raise argparse.ArgumentTypeError(f"{text} is not a number above 0")
    return value


def whole(text: str) -> int:
    """A whole number above zero, for argparse."""
    value = whole_or_zero(text)
    if value == 0:
        raise argparse.ArgumentTypeError(f"{text} is not a whole number above 0")
    return value


def whole_or_zero(text: str) -> int:
    """A whole number, zero or more, for argparse."""
    if not (text.isascii() and text.isdigit() and len(text) <= MOST_DIGITS):
        raise argparse.ArgumentTypeError(
            f"{text} is not a whole number from 0 to {10**MOST_DIGITS - 1}"
        )
    return int(text)


def threads(text: str) -> int:
    """A number of threads, for argparse."""
    value = whole(text)
    if value > MOST_THREADS:
        raise argparse.ArgumentTypeError(f"{text} threads are more than {MOST_THREADS}")
    return value


def local_date(text: str) -> date:
    """An ISO date, for argparse."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(
            f"{text} is not a date such as 2027-04-30"
        ) from None


def read_book(args: argparse.Namespace) -> Book:
    """Load the book that --yard and --orders name."""
    from models.loading import load_book

    refuse_missing_yard(args.yard)
    return load_book(args.yard, args.orders)


def refuse_missing_yard(yard: Path) -> None:
    """Say clearly that --yard names no folder."""
    if not yard.is_dir():
        raise UsageError(f"no yard at {yard}: --yard names a folder with yard.toml")


def open_plan(path: Path) -> Plan:
    """Read a plan file; a damaged one is one clear line.

    Raises
    ------
    UsageError
        If there is no such file, or it is not a whole plan.
    """
    from scheduler.plan_file import read_plan

    try:
        return read_plan(path)
    except (KeyError, TypeError, ValueError, AttributeError):
        raise UsageError(
            f"{path} is damaged: `{program()} check {path}` says where; make a new one "
            f"with `{program()} plan`"
        ) from None


def program() -> str:
    """How this program is called from here: by name, or by where it lies."""
    if shutil.which("hullpace"):
        return "hullpace"
    beside = Path(sys.executable).with_name("hullpace")
    if not beside.exists():
        return f"{Path(sys.executable).name} -m scheduler"
    here = Path.cwd()
    return str(beside.relative_to(here) if beside.is_relative_to(here) else beside)


def book_counts(book: Book) -> list[str]:
    """How much of everything a book has, in two lines."""
    yard = book.yard
    promised = sum(one.promised is not None for one in book.orders)
    jobs = f"; {plural(len(book.jobs), 'other job')}" if book.jobs else ""
    done = sum(one.state == "done" for one in book.in_hand)
    return [
        f"{len(yard.people)} people, {plural(len(yard.molds), 'mold')}, "
        f"{plural(len(yard.places), 'place')}, "
        f"{plural(len(yard.stations), 'station')}, {plural(len(book.models), 'model')}",
        f"{plural(len(book.orders), 'order')}, {promised} of them promised; "
        f"{plural(len(book.arrivals), 'arrival')}; {plural(done, 'step')} done and "
        f"{len(book.in_hand) - done} begun; {plural(len(book.locks), 'lock')}{jobs}",
    ]


def plural(count: int, noun: str) -> str:
    """A count and its noun."""
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"


def table(
    heads: Sequence[str], rows: Iterable[Sequence[object]], right: str = ""
) -> list[str]:
    """Lay rows out in columns.

    `right` has one letter a column, "r" for those that are set to the right.
    """
    cells = [[str(cell) for cell in row] for row in rows]
    widths = [
        max(len(line[column]) for line in [list(heads), *cells])
        for column in range(len(heads))
    ]
    sides = right.ljust(len(heads))

    def line(row: Sequence[str]) -> str:
        return "  ".join(
            cell.rjust(width) if side == "r" else cell.ljust(width)
            for cell, width, side in zip(row, widths, sides, strict=True)
        ).rstrip()

    return [line(list(heads)), "  ".join("-" * width for width in widths)] + [
        line(row) for row in cells
    ]
