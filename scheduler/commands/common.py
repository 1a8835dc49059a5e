"""What several commands share: options, the book, text tables."""

from __future__ import annotations

import argparse
from collections.abc import Iterable, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from models.errors import UsageError

if TYPE_CHECKING:
    from models.orders import Book

DEFAULT_YARD = Path("demo_orders")
DEFAULT_PLAN = Path("build/plan.json")


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
        help="an order file; may be repeated (default DIR/orders.csv)",
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
    parser.add_argument("--seed", type=int, default=0, metavar="N", help="default 0")
    parser.add_argument(
        "--workers", type=whole, default=2, metavar="N", help="threads (default 2)"
    )


def positive(text: str) -> float:
    """A number above zero, for argparse."""
    value = float(text)
    if not 0 < value < 1e6:
        raise argparse.ArgumentTypeError(f"{text} is not a number above 0")
    return value


def whole(text: str) -> int:
    """A whole number above zero, for argparse."""
    if not text.isdigit() or int(text) == 0:
        raise argparse.ArgumentTypeError(f"{text} is not a whole number above 0")
    return int(text)


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
