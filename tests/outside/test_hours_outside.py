"""Labor hours against published and derived examples of work measurement."""

from __future__ import annotations

from dataclasses import replace
from math import fsum
from pathlib import Path
from statistics import mean

import pytest
from hypothesis import given
from hypothesis import strategies as st

from models.boat import WorkLine
from models.hours import (
    base_hours,
    hour_lines,
    in_hundredths,
    normal_time,
    operation_hours,
    share_of_day,
    share_of_job,
    standard_time,
    total_hours,
    whole_ticks,
)
from models.loading import load_book
from models.orders import Book

DEMO = Path(__file__).parents[2] / "demo_orders"


@pytest.fixture(scope="module")
def book() -> Book:
    """Give the demo yard's book."""
    return load_book(DEMO)


def test_cv_13_hours_become_whole_ticks() -> None:
    """Labor hours over a crew round up to ticks, and exact ones stay exact.

    CV-13: 24 h / 3 people at 15 min are 32 ticks; 25 h / 3 people are 34. Derived
    from the definition, recomputed.
    """
    assert whole_ticks(24, 3, 15) == 32
    assert whole_ticks(25, 3, 15) == 34


def test_cv_40_normal_and_standard_time() -> None:
    """An allowance of job time is added to the normal time.

    CV-40: readings 27, 19, 20, 21, 13 s, rating 1.20, allowance 20 % of job time.
    Published operations-management exercise, recomputed.
    """
    observed = mean([27, 19, 20, 21, 13])
    assert observed == 20
    normal = normal_time(observed, 1.20)
    assert normal == pytest.approx(24, abs=1e-12)
    assert standard_time(normal, 0.20) == pytest.approx(28.8, abs=1e-12)


def test_cv_41_allowance_of_the_working_day() -> None:
    """An allowance of the working day is converted before it is added.

    CV-41: normal 24, 20 % of the day: 24 / 0.8 = 30. Derived from the definition.
    """
    assert standard_time(24, share_of_job(0.20)) == pytest.approx(30, abs=1e-12)


def test_cv_42_conventions_of_allowances() -> None:
    """The two conventions convert into each other.

    CV-42: 15 % of the day is 0.176471 of job time; 20 % of job time is 0.166667 of the
    day. The factor 1.176 is published in a construction man-hour handbook
    (introduction); recomputed.
    """
    assert share_of_job(0.15) == pytest.approx(0.176471, abs=1e-6)
    assert 1 + share_of_job(0.15) == pytest.approx(1.176, abs=5e-4)
    assert share_of_day(0.20) == pytest.approx(0.166667, abs=1e-6)


def test_cv_43_four_elements() -> None:
    """Rated elements add up before the allowance, whichever convention is meant.

    CV-43: means 0.452, 1.508, 0.833, 1.150; ratings 0.90, 0.85, 1.10, 1.00; 13 %.
    Inputs of a published operations-management exercise, recomputed; 4.3160 is what
    comes out if the 13 % are read as a share of the day.
    """
    means, ratings = (0.452, 1.508, 0.833, 1.150), (0.90, 0.85, 1.10, 1.00)
    normals = [normal_time(*pair) for pair in zip(means, ratings, strict=True)]
    assert normals == pytest.approx([0.4068, 1.2818, 0.9163, 1.1500], abs=1e-4)
    assert sum(normals) == pytest.approx(3.7549, abs=1e-4)
    assert standard_time(sum(normals), 0.13) == pytest.approx(4.2430, abs=1e-4)
    of_day = standard_time(sum(normals), share_of_job(0.13))
    assert of_day == pytest.approx(4.3160, abs=1e-4)


def test_cv_44_hours_from_a_quantity() -> None:
    """Hours follow from area, plies, rate, allowance and crew.

    CV-44: 38 m2 x 3 plies at 2.4 m2/h are 47.5 h; with 15 % of job time 54.625 h; a
    crew of 4 at 15 min takes 13.75 h. Derived from the definition, recomputed.
    """
    line = WorkLine("Three plies", "plies x area", 1 / 2.4, "hull_area_m2", 3)
    base = base_hours(line, 38)
    assert base == pytest.approx(47.5, abs=1e-12)
    hours = standard_time(base, 0.15)
    assert hours == pytest.approx(54.625, abs=1e-12)
    assert whole_ticks(hours, 4, 15) * 15 / 60 == 13.75


def test_cv_44_through_a_whole_derivation(book: Book) -> None:
    """The derivation of an order gives the hours of CV-44 for its inputs.

    CV-44 as above: 47.5 h and 54.625 h, derived from the definition.
    """
    order = next(one for one in book.orders if not one.options and not one.graphics)
    model = book.models[order.model]
    line = WorkLine("Three plies", "plies x area", 1 / 2.4, "test_area_m2", 3)
    step = replace(model.operations[0], work=(line,), allowance="test")
    model = replace(
        model,
        quantities=model.quantities | {"test_area_m2": 38.0},
        operations=(step, *model.operations[1:]),
    )
    yard = replace(book.yard, allowances=book.yard.allowances | {"test": 0.15})
    (shown,) = (
        one for one in hour_lines(model, order, yard) if one.operation == step.code
    )
    assert shown.base_hours == pytest.approx(47.5, abs=1e-12)
    assert shown.hours == pytest.approx(54.625, abs=1e-12)
    assert operation_hours(model, order, yard)[step.code] == shown.hours


def test_cv_247_printed_lines_add_up(book: Book) -> None:
    """The lines of each order of the demo add up to its total, to 0.01 h.

    CV-247: a relation that holds on any data, without a source of its own.
    """
    for order in book.orders:
        lines = hour_lines(book.models[order.model], order, book.yard)
        total = round(total_hours(lines), 2)
        assert round(fsum(line.shown_hours for line in lines), 9) == total
        assert all(abs(line.shown_hours - line.hours) < 0.01 for line in lines)


@given(st.lists(st.floats(0, 2000), max_size=60))
def test_cv_247_on_any_hours(values: list[float]) -> None:
    """Hundredths of any hours add up to their rounded total, each within one.

    CV-247: a relation that holds on any data, without a source of its own.
    """
    shown = in_hundredths(values)
    assert sum(shown) == round(fsum(value * 100 for value in values))
    for hundredths, value in zip(shown, values, strict=True):
        assert abs(hundredths - value * 100) <= 1
