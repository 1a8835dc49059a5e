"""A constraint model being written: variables that know their range and their hint.

The one module, beside `scheduler.cp_model.model`, that touches the solver's own
objects. Its library takes half a second to load, so it is imported where it is used:
most books of hundreds of boats are planned without it.
Functions of a variable are written as a slope and steps: a step is one literal "the
variable has reached this value", shared by all functions of that variable.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

Literal = Any
"""A Boolean variable, its negation, or the constant True or False."""


def negated(literal: Literal) -> Literal:
    """The opposite of a literal."""
    return (not literal) if isinstance(literal, bool) else literal.negated()


MOST_COUNTED = 100_000  # between the least rise of a table and the most


@dataclass(frozen=True, slots=True)
class Quantity:
    """A whole number of the model: a variable plus a constant, or a constant alone."""

    var: Any
    offset: int
    low: int
    high: int
    value: int | None  # by the hint

    @property
    def expr(self) -> Any:
        """The number as the solver's linear expression."""
        return self.offset if self.var is None else self.var + self.offset

    def plus(self, amount: int) -> Quantity:
        """The number with a constant added."""
        value = None if self.value is None else self.value + amount
        return Quantity(
            self.var, self.offset + amount, self.low + amount, self.high + amount, value
        )


def constant(value: int) -> Quantity:
    """A number that is not to be decided."""
    return Quantity(None, value, value, value, value)


@dataclass(frozen=True, slots=True)
class Steps:
    """A function of a quantity: slope times it, plus weighted literals, plus a rest."""

    slope: int
    of: Quantity
    terms: list[tuple[int, Literal]]
    rest: int
    value: int | None  # by the hint

    @property
    def is_constant(self) -> bool:
        """Whether the quantity does not matter at all."""
        return not self.slope and not self.terms

    @property
    def expr(self) -> Any:
        """The function as the solver's linear expression."""
        parts = [weight * literal for weight, literal in self.terms]
        return sum(parts, self.slope * self.of.expr + self.rest)


def usual_rise(rises: NDArray[np.int64]) -> int:
    """The most frequent difference between neighbors in a table, the least of several.

    Counting by place is fast, and no way where one end of a cure is never.
    """
    least = int(rises.min())
    if int(rises.max()) - least > MOST_COUNTED:
        kinds, counts = np.unique(rises, return_counts=True)
        return int(kinds[counts.argmax()])
    return least + int(np.bincount(rises - least).argmax())


def count_steps(table: NDArray[np.int64]) -> int:
    """How many literals it takes to write a function given by its values."""
    rises = np.diff(table)
    return int((rises != usual_rise(rises)).sum()) if len(rises) else 0


def domain_of(values: list[int]) -> Any:
    """The values that a variable may take, as the solver has them."""
    from ortools.sat.python import cp_model

    return cp_model.Domain.from_values(values)


class Draft:
    """A model, its hints, and the literals and splits already made."""

    def __init__(self) -> None:
        from ortools.sat.python import cp_model

        self.model = cp_model.CpModel()
        # Only methods by their older names, each of which holds the model: hundreds of
        # megabytes would wait for the collector of cycles.
        vars(self.model).clear()
        self._reached: dict[tuple[int, int], Literal] = {}

    @property
    def variables(self) -> int:
        """How many variables have been made."""
        return len(self.model.proto.variables)

    def whole(
        self,
        low: int,
        high: int,
        value: int | None,
        allowed: Iterable[int] | None = None,
    ) -> Quantity:
        """Make a whole number in [low, high], or among some values."""
        if low == high:
            return constant(low)
        if value is not None and not low <= value <= high:
            value = None
        if allowed is None:
            var = self.model.new_int_var(low, high, "")
        else:
            var = self.model.new_int_var_from_domain(domain_of(list(allowed)), "")
        if value is not None:
            self.model.add_hint(var, value)
        return Quantity(var, 0, low, high, value)

    def choice(self, value: bool | None) -> Literal:
        """Make a Boolean."""
        var = self.model.new_bool_var("")
        if value is not None:
            self.model.add_hint(var, value)
        return var

    def reached(self, number: Quantity, least: int) -> Literal:
        """Whether a number is at least so much."""
        if least <= number.low:
            return True
        if least > number.high:
            return False
        key = number.var.index, least - number.offset
        if key not in self._reached:
            value = None if number.value is None else number.value >= least
            literal = self.choice(value)
            self.model.add(number.expr >= least).only_enforce_if(literal)
            self.model.add(number.expr <= least - 1).only_enforce_if(literal.negated())
            self._reached[key] = literal
        return self._reached[key]

    def steps(self, number: Quantity, table: NDArray[np.int64]) -> Steps:
        """Write a function, given by its values from `low` to `high` of a number."""
        value = None if number.value is None else int(table[number.value - number.low])
        rises = np.diff(table)
        if len(rises) == 0:
            return Steps(0, number, [], int(table[0]), value)
        slope = usual_rise(rises)
        terms = [
            (int(rises[place]) - slope, self.reached(number, number.low + place + 1))
            for place in np.flatnonzero(rises != slope).tolist()
        ]
        rest = int(table[0]) - slope * number.low
        return Steps(slope, number, terms, rest, value)

    def total(self, parts: Sequence[Steps], low: int, high: int) -> Quantity:
        """Make a number equal to a sum of functions."""
        moving = [one for one in parts if not one.is_constant]
        rest = sum(one.rest for one in parts if one.is_constant)
        if not moving:
            return constant(rest)
        if len(moving) == 1 and moving[0].slope == 1 and not moving[0].terms:
            return moving[0].of.plus(moving[0].rest + rest)
        values = [one.value for one in parts if one.value is not None]
        value = sum(values) if len(values) == len(parts) else None
        number = self.whole(low, high, value)
        self.model.add(number.expr == sum((one.expr for one in moving), rest))
        return number
