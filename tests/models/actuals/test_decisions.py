"""Which accepted standards hold, and what is suggested beside them."""

from __future__ import annotations

from dataclasses import replace

import pytest

from models.actuals.decisions import (
    ACCEPTED,
    ENDED,
    REFUSED,
    SOURCE,
    Decision,
    basis_of,
    standards_of,
    with_standards,
)
from models.actuals.estimates import estimates
from models.hours import hour_lines, operation_hours, total_hours
from models.orders import Book
from tests.models.actuals.boats import boats
from tests.models.recording.conftest import little_book

DEMOLD = ("skiff-16", "hull.demold")


def decided(
    verdict: str, factor: float = 1.2, boats: int = 6, operation: str = "hull.demold"
) -> Decision:
    """A decision at the rates of the little yard."""
    book = little_book()
    basis = basis_of(book.models["skiff-16"], book.yard, operation)
    return Decision("skiff-16", operation, verdict, factor, boats, 0.05, basis)


def demold_hours(book: Book) -> float:
    """Hours of demolding the first boat."""
    order = book.orders[0]
    return operation_hours(book.models[order.model], order, book.yard)["hull.demold"]


def test_what_was_accepted_multiplies_hours_and_is_a_line() -> None:
    """9 h become 10.8, with the boats behind it; everything else stays."""
    book = with_standards(little_book(), [decided(ACCEPTED)])
    assert demold_hours(book) == pytest.approx(10.8)
    order = book.orders[0]
    lines = hour_lines(book.models["skiff-16"], order, book.yard)
    texts = [line.text for line in lines if line.operation == "hull.demold"]
    assert texts == [
        "Lift and inspect",
        "Standard re-estimated x 1.2 from 6 boats",
    ]
    plain = hour_lines(little_book().models["skiff-16"], order, book.yard)
    assert total_hours(lines) == pytest.approx(total_hours(plain) + 1.8)
    hours = operation_hours(book.models["skiff-16"], order, book.yard)
    assert total_hours(lines) == pytest.approx(sum(hours.values()))


def test_options_and_colors_take_part() -> None:
    """A factor applies to what options add, and to steps of a layout."""
    decisions = [
        decided(ACCEPTED, 2.0, operation="final.rig"),
        decided(ACCEPTED, 3.0, operation="hull.color1.mask"),
    ]
    book, plain = with_standards(little_book(), decisions), little_book()
    model, before = book.models["skiff-16"], plain.models["skiff-16"]
    for order, code, factor in (
        (book.orders[0], "final.rig", 2.0),
        (book.orders[1], "hull.color1.mask", 3.0),
    ):
        now = operation_hours(model, order, book.yard)[code]
        then = operation_hours(before, order, book.yard)[code]
        assert now == pytest.approx(factor * then)


def test_the_inputs_say_so() -> None:
    """What was accepted is one of a book's sources, and differs with the factors."""
    sources = [
        with_standards(little_book(), [decided(ACCEPTED, factor)]).sources
        for factor in (1.2, 1.3)
    ]
    assert sources[0] is not None
    assert sources[1] is not None
    assert sources[0][SOURCE] != sources[1][SOURCE]
    for verdict in (REFUSED, ENDED):
        assert with_standards(little_book(), [decided(verdict)]) == little_book()


def test_the_newest_decision_holds() -> None:
    """A second factor replaces the first; a refusal leaves it; an end takes it away."""
    first, second = decided(ACCEPTED), decided(ACCEPTED, 1.3)
    book = little_book()
    assert standards_of(book, [first, second]).factor(DEMOLD) == 1.3
    assert standards_of(book, [first, decided(REFUSED, 1.3)]).factor(DEMOLD) == 1.2
    assert standards_of(book, [first, decided(ENDED)]).factor(DEMOLD) == 1.0


def test_a_changed_rate_ends_what_was_accepted_for_the_old_one() -> None:
    """A yard that mends the rate in its file does not pay for it twice."""
    book = little_book()
    model = book.models["skiff-16"]
    steps = tuple(
        replace(one, work=tuple(replace(w, hours_per_unit=11.0) for w in one.work))
        if one.code == "hull.demold"
        else one
        for one in model.operations
    )
    mended = replace(book, models={"skiff-16": replace(model, operations=steps)})
    assert demold_hours(with_standards(mended, [decided(ACCEPTED)])) == 11.0
    assert list(standards_of(mended, [decided(ACCEPTED)]).outdated) == [DEMOLD]


def test_what_a_basis_is_made_of() -> None:
    """Allowances, quantities and rates of layouts are part of it, names are not."""
    book = little_book()
    model, yard = book.models["skiff-16"], book.yard

    def rig(**changes: object) -> str:
        return basis_of(replace(model, **changes), yard, "final.rig")  # type: ignore[arg-type]

    assert rig(name="Another name") == rig()
    assert rig(quantities={**model.quantities, "engine_count": 2.0}) != rig()
    assert (
        basis_of(model, replace(yard, allowances={"shop": 0.2}), "final.rig") != rig()
    )
    mask = basis_of(model, yard, "hull.color1.mask")
    graphics = tuple(replace(one, mask_hours_per_m=0.2) for one in model.graphics)
    other = replace(model, graphics=graphics)
    assert basis_of(other, yard, "hull.color1.mask") != mask


def test_a_refused_figure_waits_for_more_boats() -> None:
    """What was refused is suggested again only once another boat is finished."""
    steps = boats(11.9, 12.0, 12.1, model="skiff-16", operation="hull.demold")
    found = estimates(steps)
    book = little_book()
    assert standards_of(book, []).suggested(found) == list(found)
    assert standards_of(book, [decided(REFUSED, boats=3)]).suggested(found) == []
    assert standards_of(book, [decided(REFUSED, boats=2)]).suggested(found) == list(
        found
    )
    assert standards_of(book, [decided(ACCEPTED, 1.2)]).suggested(found) == []
