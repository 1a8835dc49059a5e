"""Loading a yard, its boat models and its order book, with every fault at once."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from models.loading.book import read_book
from models.orders import Book

__all__ = ["load_book"]


def load_book(yard_dir: Path, order_files: Sequence[Path] | None = None) -> Book:
    """Load everything that a plan needs, or nothing.

    Parameters
    ----------
    yard_dir : Path
        Folder with `yard.toml`, `boats/*.toml` and, by default, `orders.csv`.
    order_files : sequence of Path, optional
        Files of orders to be read together instead of the yard's own. `arrivals.csv`,
        `in_hand.csv` and `locks.csv` are read from the yard's folder and from the
        folder of each file of orders, where they exist. Rows of the yard's folder
        about orders of its own `orders.csv` are left out if that is not read.

    Returns
    -------
    Book
        With the SHA-256 of each file, by its name relative to the yard's folder.

    Raises
    ------
    DataFaults
        With every fault of every file.
    """
    return read_book(yard_dir, order_files)
