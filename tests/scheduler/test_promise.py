"""Quotes: safe dates beside a committed plan."""

from __future__ import annotations

from datetime import date
from functools import lru_cache
from pathlib import Path
from random import Random

import pytest

from models.errors import DataFaults, UsageError
from models.loading import load_book
from models.orders import Book
from scheduler.checker import check
from scheduler.plan import Plan
from scheduler.plan_file import plan_to_json
from scheduler.planner import Request, make_plan
from scheduler.promise import NAME, asked_book, quote
from scheduler.searching.search import Budget

YARD = Path("demo_orders")
REQUESTS = 50


@lru_cache
def committed() -> tuple[Book, Plan]:
    """The demo book and a quick plan of it."""
    book = load_book(YARD)
    request = Request(budget=Budget(None, 40), workers=1, exact=False)
    return book, make_plan(book, request).plan


def generated(number: int) -> tuple[str, list[str], str | None]:
    """A model, options that go together, and perhaps graphics."""
    random = Random(number)
    book, _ = committed()
    model = book.models[random.choice(sorted(book.models))]
    options: list[str] = []
    for option in random.sample(list(model.options), k=random.randint(0, 4)):
        rivals = {one.id for one in model.options if option.id in one.excludes} | set(
            option.excludes
        )
        if set(option.requires) <= set(options) and not rivals & set(options):
            options.append(option.id)
    graphics = random.choice([None, *(one.id for one in model.graphics)])
    return model.id, options, graphics


@pytest.mark.parametrize("number", range(REQUESTS))
def test_a_quote_moves_nobody_and_keeps_every_rule(number: int) -> None:
    """On generated requests the plan with the new boat passes, all others stand."""
    model, options, graphics = generated(number)
    _, plan = committed()
    book = asked_book(YARD, None, model=model, options=options, graphics=graphics)
    found = quote(book, plan)
    assert check(plan_to_json(found.plan)) == []
    axis, before = found.plan.problem.axis, plan.problem.axis
    now = {one.operation: one for one in found.plan.answer.operations}
    for one in plan.answer.operations:
        same = now[one.operation]
        assert axis.instant(same.start) == before.instant(one.start)
        assert axis.instant(same.finish) == before.instant(one.finish)
        people = [stint.person for stint in one.people]
        assert [stint.person for stint in same.people] == people
    assert found.alone <= found.finish < found.proposed
    assert any(name.startswith(f"{NAME}/") for name in now)


def test_a_boat_that_cannot_be_ordered_is_refused() -> None:
    """Options go through the same checks as in the order book."""
    with pytest.raises(DataFaults) as caught:
        asked_book(YARD, None, model="quillet-23", options=["no-such-thing"])
    assert all("the boat asked for" in str(one) for one in caught.value.faults)


def test_a_plan_that_misses_orders_is_refused() -> None:
    """A plan older than the book gives no safe date."""
    files = [YARD / "orders.csv", YARD / "week" / "orders.csv"]
    book = asked_book(YARD, files, model="quillet-23")
    _, plan = committed()
    with pytest.raises(UsageError, match="hullpace plan"):
        quote(book, plan)


def test_a_lone_boat_is_quoted_in_reasonable_time_of_its_own() -> None:
    """The finish in an empty yard is within the year for a small boat."""
    _, plan = committed()
    found = quote(asked_book(YARD, None, model="quillet-23"), plan)
    assert date(2026, 11, 30) < found.alone < date(2027, 11, 30)
