"""How fast a resin cures at another temperature than its data sheet's.

The rate follows the equation of Arrhenius (k = A exp(-E / (R T))), with the
activation energy that a yard takes from the data sheet. A cold shop lengthens a cure; a
warm one never shortens it. Rates are whole millionths, rounded down, so that sums of
them are exact and never too fast.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, timedelta

GAS_CONSTANT = 8.314462618
"""Joules per mole and kelvin (2019 SI)."""

ZERO_CELSIUS = 273.15
"""Kelvin."""

MILLION = 1_000_000
ROUNDING = 1e-3  # millionths; keeps a float's last bit from costing a whole one
_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class DatedTemperature:
    """Degrees Celsius in the shop on some local days, both ends included."""

    first: date
    last: date
    celsius: float


@dataclass(frozen=True, slots=True)
class ShopTemperature:
    """Degrees Celsius in the shop: by month, January first, and on certain days."""

    by_month: tuple[float, ...]
    dated: tuple[DatedTemperature, ...] = ()

    def on(self, day: date) -> float:
        """Degrees Celsius on a local day."""
        for one in self.dated:
            if one.first <= day <= one.last:
                return one.celsius
        return self.by_month[day.month - 1]

    def changes(self, first: date, last: date) -> list[tuple[date, float]]:
        """List the days from `first` to `last` at which it becomes another."""
        out: list[tuple[date, float]] = []
        day = first
        while day <= last:
            celsius = self.on(day)
            if not out or out[-1][1] != celsius:
                out.append((day, celsius))
            day += _DAY
        return out

    @property
    def coldest(self) -> float:
        """The lowest of all its degrees Celsius."""
        return min((*self.by_month, *(one.celsius for one in self.dated)))


def relative_rate(
    celsius: float, reference_celsius: float, activation_kj_per_mol: float
) -> float:
    """Rate of cure at one temperature as a multiple of that at another."""
    warmth = 1 / (celsius + ZERO_CELSIUS) - 1 / (reference_celsius + ZERO_CELSIUS)
    return math.exp(-activation_kj_per_mol * 1000 / GAS_CONSTANT * warmth)


def cure_millionths(
    celsius: float, reference_celsius: float, activation_kj_per_mol: float
) -> int:
    """Cure of a minute in millionths of one at the reference, never more than that."""
    rate = relative_rate(celsius, reference_celsius, activation_kj_per_mol)
    return min(MILLION, math.floor(rate * MILLION + ROUNDING))


def at_coldest(
    sheet_hours: float,
    coldest_celsius: float,
    reference_celsius: float,
    activation_kj_per_mol: float,
) -> float:
    """Hours that a cure takes in the coldest shop; infinite where it never ends."""
    rate = cure_millionths(coldest_celsius, reference_celsius, activation_kj_per_mol)
    return sheet_hours * MILLION / rate if rate else math.inf
