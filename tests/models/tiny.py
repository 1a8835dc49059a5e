"""The tiny sound yard of `demo_orders/broken/base`, loaded, and orders for it."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from pathlib import Path

from models.boat import BoatModel
from models.loading import load_book
from models.orders import Book, Order
from models.yard import Yard

BASE = Path(__file__).parents[2] / "demo_orders" / "broken" / "base"


@lru_cache
def tiny_book() -> Book:
    """Load the tiny yard once."""
    return load_book(BASE)


def tiny_yard() -> Yard:
    """Give the tiny yard."""
    return tiny_book().yard


def skiff() -> BoatModel:
    """Give its one boat model."""
    return tiny_book().models["skiff-16"]


def order_of(*options: str, graphics: str | None = None) -> Order:
    """Give an order of the boat with some options and graphics."""
    plain = tiny_book().orders[0]
    return replace(plain, order="T-1", options=options, graphics=graphics)
