"""Labor hours: one line for each piece of work, unrounded, adding up."""

from __future__ import annotations

import math

import pytest

from models.hours import (
    hour_lines,
    in_hundredths,
    operation_hours,
    routed_hours,
    total_hours,
    unit_of,
    whole_ticks,
)
from models.routing import route
from tests.models.tiny import order_of, skiff, tiny_yard


def test_lines_of_an_order() -> None:
    """Every line shows quantity, unit, factor, rate and allowance, as derived."""
    lines = hour_lines(skiff(), order_of(), tiny_yard())
    spray = next(line for line in lines if line.operation == "hull.gel_coat")
    assert (spray.station, spray.text, spray.basis) == (
        "booth",
        "Spray two passes",
        "area",
    )
    assert (spray.quantity_name, spray.quantity) == ("hull_area_m2", 14.0)
    assert (spray.unit, spray.factor, spray.hours_per_unit) == ("m²", 2, 0.08)
    assert spray.base_hours == pytest.approx(14 * 2 * 0.08)
    assert spray.allowance == 0.15
    assert spray.hours == pytest.approx(14 * 2 * 0.08 * 1.15)


def test_fixed_hours_without_allowance() -> None:
    """A fixed line has no quantity, and a step without an allowance adds none."""
    lines = hour_lines(skiff(), order_of(), tiny_yard())
    lift = next(line for line in lines if line.operation == "hull.demold")
    assert (lift.quantity_name, lift.quantity, lift.unit) == (None, None, "h")
    assert lift.base_hours == lift.hours == 9
    assert lift.allowance == 0


def test_graphics_have_their_own_quantities() -> None:
    """The lines of a color show its own area and length of masking."""
    order = order_of(graphics="sweep")
    lines = hour_lines(skiff(), order, tiny_yard())
    mask, fixed, spray, unmask = (
        line for line in lines if line.operation.startswith("hull.color1.")
    )
    assert (mask.quantity, mask.unit, mask.base_hours) == (12, "m", pytest.approx(1.2))
    assert (fixed.quantity, fixed.base_hours) == (None, 0.5)
    assert (spray.quantity, spray.unit) == (2.0, "m²")
    assert spray.base_hours == pytest.approx(0.4)
    assert unmask.base_hours == pytest.approx(12 * 0.03)


def test_operations_and_lines_agree() -> None:
    """Each operation's hours are the sum of its lines, none is left out."""
    order = order_of("hard-top", "top-lights", graphics="sweep")
    lines = hour_lines(skiff(), order, tiny_yard())
    hours = operation_hours(skiff(), order, tiny_yard())
    assert list(hours) == [one.code for one in route(skiff(), order).operations]
    for code, value in hours.items():
        own = [line.hours for line in lines if line.operation == code]
        assert value == pytest.approx(math.fsum(own), abs=1e-12)
    assert total_hours(lines) == pytest.approx(math.fsum(hours.values()), abs=1e-9)


def test_routed_hours() -> None:
    """A step's hours follow from its final work and the yard's allowances."""
    routing = route(skiff(), order_of("hard-top"))
    rig = next(one for one in routing.operations if one.code == "final.rig")
    hours = routed_hours(rig, routing.quantities, {"shop": 0.5})
    assert hours == pytest.approx((10 + 30 * 0.25 + 6) * 1.5)


@pytest.mark.parametrize(
    ("hours", "crew", "tick", "ticks"),
    [
        (0, 2, 15, 0),
        (1e-12, 2, 15, 0),
        (0.01, 2, 15, 1),
        (0.1 * 3, 1, 6, 3),
        (24.000001, 3, 15, 33),
        (2000, 1, 5, 24000),
    ],
)
def test_whole_ticks(hours: float, crew: int, tick: int, ticks: int) -> None:
    """Ticks round up, but not on the noise of floating point."""
    assert whole_ticks(hours, crew, tick) == ticks


def test_hundredths() -> None:
    """The missing hundredths go to the largest remainders."""
    assert in_hundredths([]) == ()
    assert in_hundredths([0.333, 0.333, 0.334]) == (33, 33, 34)
    assert in_hundredths([1.006, 1.006, 1.006]) == (101, 101, 100)


@pytest.mark.parametrize(
    ("name", "unit"),
    [
        ("hull_area_m2", "m²"),
        ("joint_length_m", "m"),
        ("engine_count", "each"),
        ("m2", None),
        ("hull_area", None),
        ("team", None),
    ],
)
def test_unit_of(name: str, unit: str | None) -> None:
    """The unit is the last part of a name that has others."""
    assert unit_of(name) == unit
