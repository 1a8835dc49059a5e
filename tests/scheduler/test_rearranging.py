"""Published work moves only where that saves enough late days."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from models.loading import load_book
from models.orders import Book
from models.sample import write_sample
from scheduler.checker import check
from scheduler.plan_file import plan_to_json
from scheduler.planner import Outcome, Request, make_plan
from scheduler.rearranging import rearrange_if_worth_it
from scheduler.searching.search import Budget

DEMO = Path(__file__).parents[2] / "demo_orders"


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Book:
    """Six boats of which some are late; the hasty plan leaves something to gain.

    That of seed 1 has nothing that its frozen window lets the search save.
    """
    folder = tmp_path_factory.mktemp("yards") / "yard"
    write_sample(folder, DEMO, 6, 3, 1.3, None)
    return load_book(folder)


@pytest.fixture(scope="module")
def published(book: Book) -> Outcome:
    """A hasty plan of the book."""
    return make_plan(book, Request(budget=Budget(None, 1), workers=1, exact=False))


def rearranged(book: Book, published: Outcome, least: int) -> Outcome:
    """A plan with leave to rearrange the published one."""
    rules = replace(book.yard.objective, least_gain_late_days=least)
    asked = replace(book, yard=replace(book.yard, objective=rules))
    request = Request(
        budget=Budget(None, 4000),
        workers=1,
        committed=published.plan,
        rearrange=True,
        exact=False,
    )
    return rearrange_if_worth_it(asked, request)


def changes(outcome: Outcome) -> float:
    """Level 3: operations whose day or people changed."""
    return {one.name: one.value for one in outcome.plan.answer.levels}["changes"]


def late(outcome: Outcome) -> float:
    """Level 1."""
    return outcome.plan.answer.levels[0].value


def test_a_gain_is_taken(book: Book, published: Outcome) -> None:
    """A hasty plan with late boats is improved, at the price of changes."""
    after = rearranged(book, published, 0)
    assert late(after) < late(published)
    assert changes(after) > 0
    assert f"saves {late(published) - late(after):g} weighted" in after.plan.method
    assert check(plan_to_json(after.plan)) == []


def test_a_small_gain_is_left(book: Book, published: Outcome) -> None:
    """Where the yard asks for more than can be saved, nothing published moves."""
    after = rearranged(book, published, 100_000)
    assert changes(after) == 0
    assert late(after) == late(published)
    assert "published work kept" in after.plan.method
    assert check(plan_to_json(after.plan)) == []
