"""Cures by temperature against check values 190 to 194.

Computed there from the equation of Arrhenius with R 8.314462618 (CODATA); the doubling
for every 10 °C is a rule of thumb, common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from math import log

import pytest

from models.axis import Axis
from models.cures import GAS_CONSTANT, MILLION, cure_millionths, relative_rate
from scheduler.curing import NEVER, Curing, family_of
from scheduler.problem import Problem, Temperature, Wait
from tests.scheduler.small_yard import small_problem

DOUBLING = GAS_CONSTANT * log(2) / (1 / 293.15 - 1 / 303.15) / 1000


def problem_at(*rows: tuple[str, float]) -> Problem:
    """A shop in UTC with ticks of five minutes and these temperatures."""
    axis = Axis(datetime(2027, 1, 4, tzinfo=UTC), 5, 12 * 24 * 10, "UTC")
    temperature = tuple(Temperature(*row) for row in rows)
    return replace(small_problem(), axis=axis, temperature=temperature)


def cure(hours: float, celsius: float, activation: float) -> Wait:
    """A cure of some hours at a reference temperature."""
    plain = next(one for one in small_problem().waits if one.kind == "cure")
    minutes = round(hours * 60)
    return replace(
        plain,
        min_minutes=minutes,
        data_sheet_min_minutes=minutes,
        activation_kj_per_mol=activation,
        reference_celsius=celsius,
    )


def hours_needed(problem: Problem, wait: Wait, since_hours: float = 0) -> float:
    """Hours from a start to the end of a cure."""
    ticks_an_hour = 60 // problem.axis.tick_minutes
    since = round(since_hours * ticks_an_hour)
    end = Curing(problem).end(wait, since)
    assert end is not None
    return (end - since) / ticks_an_hour


@pytest.mark.parametrize(
    ("cold", "warm", "energy"),
    [(15, 25, 49.512), (20, 30, 51.216), (25, 35, 52.949)],
)
def test_energy_at_which_ten_degrees_double(
    cold: float, warm: float, energy: float
) -> None:
    """CV-190: at this activation energy, ten degrees double the rate."""
    assert relative_rate(warm, cold, energy) == pytest.approx(2, abs=1e-4)


@pytest.mark.parametrize(
    ("cold", "warm", "ratio"),
    [(15, 25, 2.01370), (20, 30, 1.96735), (25, 35, 1.92426)],
)
def test_ratio_of_rates(cold: float, warm: float, ratio: float) -> None:
    """CV-191: rates ten degrees apart at 50 kJ/mol."""
    assert relative_rate(warm, cold, 50) == pytest.approx(ratio, abs=1e-5)


def test_a_cold_shop_lengthens_and_a_warm_one_does_not_shorten() -> None:
    """CV-192: 48 h at 18 °C are 59.516 h at 15 °C; at 25 °C they stay 48 h."""
    assert 48 * MILLION / cure_millionths(15, 18, 50) == pytest.approx(59.516, abs=1e-3)
    assert 48 / relative_rate(25, 18, 50) == pytest.approx(29.555, abs=1e-3)
    wait = cure(48, 18, 50)
    at_15, at_25 = (problem_at(("2027-01-04", celsius)) for celsius in (15.0, 25.0))
    assert hours_needed(at_15, wait) == pytest.approx(59.516, abs=5 / 60)
    assert hours_needed(at_15, wait) >= 59.516
    assert hours_needed(at_25, wait) == 48


def test_doubling_for_ten_degrees() -> None:
    """CV-193: 24 h at 20 °C are 33.941 h at 15 °C where 10 °C double the rate.

    The activation energy is that for which 15 to 20 °C makes the square root of two.
    """
    energy = GAS_CONSTANT * log(2) / 2 / (1 / 288.15 - 1 / 293.15) / 1000
    needed = 24 * MILLION / cure_millionths(15, 20, energy)
    assert needed == pytest.approx(33.941, abs=1e-3)


def test_accumulation_over_a_step() -> None:
    """CV-194: after 10 h at half the rate, a cure of 12 h at 30 °C needs 7 h more."""
    problem = problem_at(("2027-01-04", 20.0), ("2027-01-05", 30.0))
    assert hours_needed(problem, cure(12, 30, DOUBLING), since_hours=14) == 17


def test_accumulation_is_never_faster_than_the_data_sheet() -> None:
    """CV-194 as stated, 24 h at 20 °C: a warmer shop does not cut the 14 h left."""
    problem = problem_at(("2027-01-04", 20.0), ("2027-01-05", 30.0))
    assert hours_needed(problem, cure(24, 20, DOUBLING), since_hours=14) == 24


def test_look_ups_lead_there_and_back() -> None:
    """The last start for an end is the last whose own end is not after it."""
    rows = [(f"2027-01-{day:02}", 8.0 + day % 3 * 9) for day in range(4, 15)]
    problem = problem_at(*rows)
    family = family_of(cure(30, 20, 50), 5)
    assert family is not None
    curing = Curing(problem)
    ends, begins = curing.ends(family), curing.begins(family)
    assert (ends[1:] >= ends[:-1]).all()
    for end in range(0, problem.axis.ticks + 1, 7):
        last = int(begins[end])
        assert last == max((s for s in range(len(ends)) if ends[s] <= end), default=-1)
    assert ends[-1] == NEVER
