"""Drawing an order book."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import numpy as np
import pytest

from models.loading import load_book
from models.orders import Book, Order
from models.sample import book as books
from models.sample.flow import Flow
from models.sample.load import working_days

DEMO = Path(__file__).resolve().parents[3] / "demo_orders"


@pytest.fixture(scope="module")
def demo() -> Book:
    """Load the demo yard."""
    return load_book(DEMO)


def generator(seed: int) -> np.random.Generator:
    """Make random numbers from a seed."""
    return np.random.default_rng(seed)


@pytest.mark.parametrize("seed", range(20))
def test_options_go_together(demo: Book, seed: int) -> None:
    """No drawn option lacks one it requires or stands beside one it excludes."""
    for order in books.draw_orders(demo, 30, generator(seed)):
        known = {option.id: option for option in demo.models[order.model].options}
        for name in order.options:
            assert set(known[name].requires) <= set(order.options)
            assert set(known[name].excludes).isdisjoint(order.options)


def test_models_keep_their_shares(demo: Book) -> None:
    """As many boats as the base has come in the shares of the base."""
    drawn = books.draw_orders(demo, 2 * len(demo.orders), generator(1))
    twice = Counter(order.model for order in drawn)
    once = Counter(order.model for order in demo.orders)
    assert twice == {name: 2 * count for name, count in once.items()}


def test_every_option_and_layout_is_drawn(demo: Book) -> None:
    """In a thousand boats nothing that can be chosen is missing."""
    drawn = books.draw_orders(demo, 1000, generator(1))
    for model in demo.models.values():
        mine = [order for order in drawn if order.model == model.id]
        options = {name for order in mine for name in order.options}
        assert options == {option.id for option in model.options}
        layouts = {order.graphics for order in demo.orders if order.model == model.id}
        assert {order.graphics for order in mine} == layouts | {None}


def test_a_base_without_orders_has_no_favorite(demo: Book) -> None:
    """Without a book to learn from, each model is drawn as often as the others."""
    empty = Book(demo.yard, demo.models, ())
    drawn = books.draw_orders(empty, 3 * len(demo.models), generator(1))
    assert set(Counter(order.model for order in drawn).values()) == {3}


def test_turns_are_evenly_spread(demo: Book) -> None:
    """Boats of one kind are due one turn apart, and working days only."""
    yard = demo.yard
    plain = tuple(
        Order(f"P-{n}", "", "quillet-23", (), None, None, None, None) for n in range(12)
    )
    flows = {one.order: Flow(demo.models[one.model], one, yard) for one in plain}
    dated = books.date_orders(plain, flows, yard, 1.0, generator(2))
    days = list(working_days(yard))
    dues = [days.index(one.promised or one.wanted) for one in dated]  # type: ignore[arg-type]
    gaps = np.diff(dues)
    assert min(gaps) >= max(gaps) - 1
    assert max(gaps) > 0


def test_a_higher_load_brings_dates_forward(demo: Book) -> None:
    """Twice the load halves the window, so the last boat is due earlier."""
    yard = demo.yard
    orders = books.draw_orders(demo, 26, generator(1))
    flows = {one.order: Flow(demo.models[one.model], one, yard) for one in orders}
    last = []
    for load in (0.8, 1.6):
        dated = books.date_orders(orders, flows, yard, load, generator(2))
        last.append(max(one.promised or one.wanted for one in dated))  # type: ignore[type-var]
    assert last[1] < last[0]  # type: ignore[operator]


def test_items_come_while_the_boat_can_be_in_time(demo: Book) -> None:
    """From an item's coming, the shortest way to the end fits before the due date."""
    yard = demo.yard
    orders = books.draw_orders(demo, 40, generator(3))
    flows = {one.order: Flow(demo.models[one.model], one, yard) for one in orders}
    dated = books.date_orders(orders, flows, yard, 1.0, generator(4))
    arrivals = books.draw_arrivals(demo, dated, flows, yard, generator(5))
    due = {one.order: one.promised or one.wanted for one in dated}
    days = list(working_days(yard))
    assert arrivals
    for row in arrivals:
        comes = row.confirmed or row.expected
        assert comes is not None
        left = days.index(due[row.order]) - days.index(comes)  # type: ignore[arg-type]
        if comes != days[0]:
            assert left >= flows[row.order].to_end(row.operation)
    assert len({(row.order, row.operation) for row in arrivals}) == len(arrivals)
