"""Learning curves: the hours of the n-th boat of a new model.

Every doubling of the number built brings hours down to `rate` of what they were. Two
textbook models say so of different things, so a curve is always named: the *unit*
model of the hours of each boat, the *cumulative average* model of the average of all
boats up to it. In both, b = log2(rate), and n to the power of b is the share of the
first boat's hours.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from models.boat import BoatModel, BoatOption, Graphic, WorkLine
    from models.orders import Order

UNIT = "unit"
CUMULATIVE_AVERAGE = "cumulative average"
CURVES = (UNIT, CUMULATIVE_AVERAGE)


@dataclass(frozen=True, slots=True)
class Learning:
    """How a model's hours fall from boat to boat.

    `built` boats stand before the first of the order book. The rates of the model's
    file are those of its boat number `rates_of_boat`.
    """

    curve: str  # one of CURVES
    rate: float  # share of the hours that is left when the number has doubled
    built: int
    rates_of_boat: int = 1


def exponent(rate: float) -> float:
    """Give b = log2(rate): 85 % is -0.2345."""
    return math.log2(rate)


def rate_between(
    first_unit: int, first_hours: float, second_unit: int, second_hours: float
) -> float:
    """Give the rate of the unit curve through two boats."""
    doublings = math.log2(second_unit / first_unit)
    return float((second_hours / first_hours) ** (1 / doublings))


def unit_share(rate: float, number: int) -> float:
    """Hours of one boat over those of the first, in the unit model: n^b."""
    return float(number ** exponent(rate))


def unit_total_share(rate: float, number: int) -> float:
    """Hours of the first n boats over those of the first, in the unit model."""
    return math.fsum(unit_share(rate, one) for one in range(1, number + 1))


def average_share(rate: float, number: int) -> float:
    """Average hours of the first n boats over those of the first boat: n^b.

    In the cumulative average model.
    """
    return float(number ** exponent(rate))


def average_total_share(rate: float, number: int) -> float:
    """Hours of the first n boats over those of the first: n x n^b.

    In the cumulative average model.
    """
    return number * average_share(rate, number) if number else 0.0


def average_unit_share(rate: float, number: int) -> float:
    """Hours of the n-th boat alone: the total of n less the total of n - 1.

    In the cumulative average model, as a share of the first boat's hours.
    """
    return average_total_share(rate, number) - average_total_share(rate, number - 1)


def hours_share(learning: Learning | None, number: int) -> float:
    """Hours of boat number `number` over those at the rates of the model's file."""
    if learning is None:
        return 1.0
    of = unit_share if learning.curve == UNIT else average_unit_share
    return of(learning.rate, number) / of(learning.rate, learning.rates_of_boat)


def learned(model: BoatModel, number: int) -> BoatModel:
    """Give a model with the rates of its boat number `number`.

    Every labor line of its steps, options and graphics takes `hours_share` of its
    hours; steps without a crew, waits and cures stay as they are.
    """
    share = hours_share(model.learning, number)
    if share == 1:
        return model

    def lines(work: tuple[WorkLine, ...]) -> tuple[WorkLine, ...]:
        return tuple(
            replace(line, hours_per_unit=line.hours_per_unit * share) for line in work
        )

    def option(one: BoatOption) -> BoatOption:
        rated = zip(one.adds, lines(tuple(added.line for added in one.adds)))
        return replace(one, adds=tuple(replace(a, line=line) for a, line in rated))

    def graphic(one: Graphic) -> Graphic:
        return replace(
            one,
            mask_hours_per_m=one.mask_hours_per_m * share,
            spray_hours_per_m2=one.spray_hours_per_m2 * share,
            spray_fixed_hours=one.spray_fixed_hours * share,
            unmask_hours_per_m=one.unmask_hours_per_m * share,
        )

    return replace(
        model,
        operations=tuple(replace(s, work=lines(s.work)) for s in model.operations),
        options=tuple(map(option, model.options)),
        graphics=tuple(map(graphic, model.graphics)),
    )


def boat_number(model: BoatModel, place: int) -> int:
    """Number of the boat with this place, from 1, among the book's boats of a model."""
    return place + (model.learning.built if model.learning else 0)


def boat_numbers(
    models: Mapping[str, BoatModel], orders: Iterable[Order]
) -> dict[str, int]:
    """Give the number of each order's boat within its model, by order.

    Boats of a model count in the order of their order numbers, after those already
    built: digits are read as numbers, names without any come last. So an order's hours
    depend neither on the rows of a file nor on what a plan decides.
    """
    places: dict[str, int] = {}
    numbers: dict[str, int] = {}
    for order in sorted(orders, key=lambda one: _natural(one.order)):
        places[order.model] = places.get(order.model, 0) + 1
        numbers[order.order] = boat_number(models[order.model], places[order.model])
    return numbers


def _natural(name: str) -> tuple[bool, list[tuple[int, str]], str]:
    """Sort key of an order's name: B-2 before B-10, names without digits last."""
    pieces = re.findall(r"[0-9]+|[^0-9]+", name)
    key = [(int(one), "") if one.isdecimal() else (-1, one) for one in pieces]
    return not any(map(str.isdigit, name)), key, name
