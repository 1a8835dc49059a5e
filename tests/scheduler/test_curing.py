"""From the yard's temperature to the end of a cure, and who is told of it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from models.cures import DatedTemperature, ShopTemperature
from models.errors import DataFaults, UsageError
from models.orders import Book
from scheduler.building.build import build_problem, estimate_horizon_days
from scheduler.compiling.compile import compile_problem
from scheduler.curing import Curing
from scheduler.plan_clock import PlanClock
from scheduler.problem import Wait
from scheduler.waiting import WaitClock
from tests.scheduler.small_book import begun, done, small_book


def cold_book(celsius: float = 20.0) -> Book:
    """The small book with a hull's cure at 50 kJ/mol; 10 °C on two December days."""
    book = small_book()
    dated = (DatedTemperature(date(2026, 12, 5), date(2026, 12, 6), 10.0),)
    yard = replace(book.yard, temperature=ShopTemperature((celsius,) * 12, dated))
    models = {
        name: replace(
            model,
            waits=tuple(
                replace(wait, activation_kj_per_mol=50.0, reference_celsius=20.0)
                if wait.kind == "cure"
                else wait
                for wait in model.waits
            ),
        )
        for name, model in book.models.items()
    }
    return replace(book, yard=yard, models=models)


def cure_of(waits: tuple[Wait, ...]) -> Wait:
    """The first cure of a problem."""
    return next(one for one in waits if one.kind == "cure")


def test_days_of_change_reach_the_problem() -> None:
    """The problem lists the temperature from the axis's first day, change by change."""
    problem = build_problem(cold_book(), horizon_days=30)
    rows = [(one.date, one.celsius) for one in problem.temperature]
    first = problem.axis.local(0).date().isoformat()
    assert rows == [(first, 20), ("2026-12-05", 10), ("2026-12-07", 20)]
    wait = cure_of(problem.waits)
    assert (wait.activation_kj_per_mol, wait.reference_celsius) == (50, 20)


def test_every_clock_tells_the_same_end() -> None:
    """Arrays, plan clock and wait clock agree on ends of a cure on every tick."""
    problem = build_problem(cold_book(), horizon_days=30)
    a = compile_problem(problem).arrays
    wait = cure_of(problem.waits)
    row = a.cure_end[a.wait_cure[problem.waits.index(wait)]]
    curing, plan_clock, wait_clock = (
        kind(problem) for kind in (Curing, PlanClock, WaitClock)
    )
    for since in range(0, problem.axis.ticks, 17):
        end = curing.end(wait, since)
        assert end == row[since]
        assert plan_clock.after_wait(wait, since) == min(end or 0, problem.axis.ticks)
        assert wait_clock.cured(wait, since) == end
        assert wait_clock.keeps(wait, since, int(row[since]))
        assert not wait_clock.keeps(wait, since, int(row[since]) - 1)
    plain = next(one for one in problem.waits if one.kind != "cure")
    assert curing.end(plain, 0) is None


def test_a_cold_shop_needs_a_longer_horizon() -> None:
    """The estimate reckons with the coldest days of the year."""
    assert estimate_horizon_days(cold_book(-5)) > estimate_horizon_days(cold_book(20))


def test_a_cure_cut_short_by_the_cold_is_a_fault() -> None:
    """Begun after 48 h in a shop of 10 °C: refused, with the hours that it needed."""
    book = cold_book(10)

    facts = (
        done("B1", "prep", "2026-11-25T06:00", "2026-11-25T08:00", mold="H1"),
        done("B1", "gel_coat", "2026-11-25T08:00", "2026-11-25T10:00"),
        done("B1", "skin", "2026-11-26T06:00", "2026-11-26T12:00"),
        begun("B1", "demold", "2026-11-28T12:00", 1.0, place="Bay 1"),
    )
    with pytest.raises(DataFaults) as refused:
        build_problem(replace(book, in_hand=facts), horizon_days=30)
    told = [str(one) for one in refused.value.faults if "(cure)" in str(one)]
    assert told
    assert "begun 48 h after" in told[0]
    assert "in the cold shop" in told[0]


def test_a_temperature_that_is_missing_is_refused() -> None:
    """Without it the end of a cure is not known, and nobody guesses."""
    problem = replace(build_problem(cold_book(), horizon_days=30), temperature=())
    with pytest.raises(UsageError, match="temperature of the shop"):
        compile_problem(problem)
