"""Boats that have left the book."""

from __future__ import annotations

from dataclasses import replace

from models.actuals.past import past_of
from models.learning import UNIT, Learning
from tests.models.recording.conftest import little_book


def test_boats_that_have_left_count_while_their_standard_is_known() -> None:
    """A delivered boat counts; one of a model, option or layout of before does not."""
    book = little_book()
    first = book.orders[0]
    gone = [
        replace(first, order="A-1"),
        replace(first, order="A-2", model="skiff-14"),
        replace(first, order="A-3", graphics="of-before"),
        replace(first, order="A-4", options=("of-before",)),
    ]
    past = past_of(book, gone, [])
    assert [one.order for one in past.book.orders] == ["B-1", "B-2", "A-1"]
    assert past.left_out == ("A-2", "A-3", "A-4")


def test_boats_of_a_new_model_count_while_they_are_in_the_book() -> None:
    """Of a model with a learning curve, the number of a boat that left is not known."""
    book = little_book()
    model = replace(book.models["skiff-16"], learning=Learning(UNIT, 0.9, 3))
    book = replace(book, models={"skiff-16": model})
    past = past_of(book, [replace(book.orders[0], order="A-1")], [])
    assert past.left_out == ("A-1",)
    assert past.numbers == {"B-1": 4, "B-2": 5}
