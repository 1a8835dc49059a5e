"""The little yard of the broken examples as a book, and entries about it."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from functools import cache
from pathlib import Path
from typing import Any

from models.loading import load_book
from models.orders import Book
from models.recording.entries import FloorEntry

ROOT = Path(__file__).parents[3]


@cache
def little_book() -> Book:
    """Two orders; B-1's hull is being laminated, B-2 has not begun."""
    return replace(load_book(ROOT / "demo_orders" / "broken" / "base"), locks=())


def said(order: str, step: str, what: str, at: str, **more: Any) -> FloorEntry:
    """An entry; `at` as day of March 2027 and time, such as '2 06:00'."""
    day, clock = at.split()
    when = datetime.fromisoformat(f"2027-03-{int(day):02} {clock}")
    return FloorEntry(order, step, what, when, **more)
