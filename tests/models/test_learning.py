"""Learning: which boat of its model an order is, and what its rates are then."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from models.boat import BoatModel
from models.hours import hour_lines, operation_hours, total_hours
from models.learning import (
    CURVES,
    UNIT,
    Learning,
    average_total_share,
    average_unit_share,
    boat_numbers,
    hours_share,
    learned,
)
from tests.models.tiny import order_of, skiff, tiny_book, tiny_yard

curves = st.sampled_from(CURVES)
rates = st.floats(0.6, 1)


def new_skiff(built: int = 0, rates_of_boat: int = 1) -> BoatModel:
    """The skiff as a new model, on the unit curve at 85 %."""
    return replace(skiff(), learning=Learning(UNIT, 0.85, built, rates_of_boat))


def test_boats_are_numbered_by_model_in_the_order_of_the_book() -> None:
    """The first boat of a model in the book follows those already built."""
    plain = tiny_book().orders[0]
    orders = [
        replace(plain, order=name, model=model)
        for name, model in (("A", "skiff"), ("B", "dory"), ("C", "skiff"))
    ]
    models = {"skiff": new_skiff(built=3), "dory": skiff()}
    assert boat_numbers(models, orders) == {"A": 4, "B": 1, "C": 5}


def test_without_a_curve_nothing_changes() -> None:
    """A model that says nothing of learning keeps its rates."""
    assert hours_share(None, 7) == 1
    assert learned(skiff(), 7) is skiff()


@given(curves, rates, st.integers(1, 200), st.integers(1, 200))
def test_the_rates_are_those_of_the_boat_that_the_model_names(
    curve: str, rate: float, number: int, rates_of: int
) -> None:
    """That boat takes the hours as they stand; later ones fewer, earlier ones more."""
    learning = Learning(curve, rate, 0, rates_of)
    assert hours_share(learning, rates_of) == 1
    share = hours_share(learning, number)
    assert share > 0
    if number > rates_of:
        assert share <= 1 + 1e-9
    else:
        assert share >= 1 - 1e-9


@given(rates, st.integers(1, 300))
def test_boats_of_the_cumulative_average_add_up(rate: float, number: int) -> None:
    """The hours of single boats come to the total that the average states."""
    single = math.fsum(average_unit_share(rate, one) for one in range(1, number + 1))
    assert single == pytest.approx(average_total_share(rate, number), rel=1e-9)


def test_a_line_of_the_derivation_says_so() -> None:
    """The last line takes off what learning saves, and all lines add up."""
    model = new_skiff(built=1)
    lines = hour_lines(model, order_of("hard-top"), tiny_yard(), 4)
    plain = hour_lines(skiff(), order_of("hard-top"), tiny_yard())
    assert [one.text for one in lines[:-1]] == [one.text for one in plain]
    last = lines[-1]
    assert last.text == "Boat 4 of the model: unit curve, 85 %"
    assert (last.operation, last.basis) == ("all steps", "learning")
    assert last.quantity == pytest.approx(total_hours(plain))
    assert last.factor == pytest.approx(0.85**2 - 1)
    assert total_hours(lines) == pytest.approx(total_hours(plain) * 0.85**2)
    shown = math.fsum(one.shown_hours for one in lines)
    assert shown == pytest.approx(round(total_hours(lines), 2))


def test_every_step_takes_its_share() -> None:
    """Steps, options and the colors of graphics fall alike, and come to the lines."""
    model, order = new_skiff(), order_of("hard-top", graphics="sweep")
    plain = operation_hours(skiff(), order, tiny_yard())
    hours = operation_hours(model, order, tiny_yard(), 2)
    assert hours.keys() == plain.keys()
    assert all(hours[code] == pytest.approx(plain[code] * 0.85) for code in plain)
    lines = hour_lines(model, order, tiny_yard(), 2)
    assert total_hours(lines) == pytest.approx(math.fsum(hours.values()))


def test_waits_and_cures_are_not_learned() -> None:
    """What chemistry takes does not get shorter."""
    assert learned(new_skiff(), 50).waits == skiff().waits
    tack = learned(new_skiff(), 50).graphics[0]
    assert tack.tack_min_hours == skiff().graphics[0].tack_min_hours
