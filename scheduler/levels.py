"""The levels of the objective, recomputed from the rows of an answer."""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from datetime import date, timedelta
from typing import TYPE_CHECKING

from scheduler.overtime import price_of, worked_overtime

if TYPE_CHECKING:
    from collections.abc import Sequence

    from models.axis import Axis
    from scheduler.plan import Occupation, OrderResult, Planned
    from scheduler.problem import Problem, Service


def level_values(
    problem: Problem,
    operations: Sequence[Planned],
    occupations: Sequence[Occupation],
    orders: Sequence[OrderResult],
    services: Sequence[Service] = (),
) -> dict[str, float]:
    """Value of every level by name (units: days, price, changes, days, hours squared).

    See the project's DEVELOPERS.md, "The objective", for the definitions.
    """
    return {
        "tardiness": tardiness(problem, orders),
        "overtime": price_of(problem, worked_overtime(problem, operations, services)),
        "changes": changes(problem, operations),
        "work_in_process": work_in_process(problem, operations, occupations, orders),
        "leveling": leveling(problem, operations),
    }


def tardiness(problem: Problem, orders: Sequence[OrderResult]) -> float:
    """Weighted tardiness in whole working days."""
    weights = {one.order: one.weight for one in problem.orders}
    return float(sum(weights[one.order] * one.tardy_days for one in orders))


def changes(problem: Problem, operations: Sequence[Planned]) -> float:
    """Operations that start on another day than published, and people taken off."""
    axis = problem.axis
    now = {one.operation: one for one in operations}
    count = 0
    for published in problem.published:
        planned = now.get(published.operation)
        if planned is None or published.start < problem.frozen_until:
            continue
        if axis.local(planned.start).date() != axis.local(published.start).date():
            count += 1
        present = {stint.person for stint in planned.people}
        count += len(set(published.people) - present)
    return float(count)


def work_in_process(
    problem: Problem,
    operations: Sequence[Planned],
    occupations: Sequence[Occupation],
    orders: Sequence[OrderResult],
) -> float:
    """Mold-days, place-days and days from start to delivery, at the yard's rates."""
    rates = problem.objective
    molds = {one.id for one in problem.molds}
    ticks = 0
    for one in occupations:
        rate = rates.mold_day_rate if one.resource in molds else rates.place_day_rate
        ticks += rate * (one.finish - one.start)
    order_of = {one.id: one.order for one in problem.operations}
    first: dict[str, int] = {}
    for planned in operations:
        order = order_of[planned.operation]
        first[order] = min(first.get(order, planned.start), planned.start)
    for result in orders:
        ticks += rates.flow_day_rate * (result.finish - first[result.order])
    return ticks / problem.axis.ticks_per_day


def week_of(day: date) -> date:
    """The Monday of the ISO week that holds a day."""
    return day - timedelta(days=day.isoweekday() - 1)


def station_hours(
    problem: Problem, operations: Sequence[Planned]
) -> dict[tuple[str, date], float]:
    """Labor hours by station and ISO week (named by its Monday)."""
    axis = problem.axis
    station = {one.id: one.station for one in problem.operations}
    begins, weeks = _weeks_by_day(axis)
    ticks: dict[tuple[str, date], int] = defaultdict(int)
    for planned in operations:
        for start, finish in planned.segments:
            at, day = start, bisect_right(begins, start) - 1
            while at < finish:
                until = min(finish, begins[day + 1])
                key = (station[planned.operation], weeks[day])
                ticks[key] += (until - at) * planned.crew
                at, day = until, day + 1
    return {key: worked * axis.tick_minutes / 60 for key, worked in ticks.items()}


def _weeks_by_day(axis: Axis) -> tuple[list[int], list[date]]:
    """First tick of each local day of the axis, and the Monday of its week.

    A last begin lies behind the axis.
    """
    day = axis.local(0).date()
    begins, weeks = [0], [week_of(day)]
    while begins[-1] <= axis.ticks:
        day += timedelta(days=1)
        begins.append(axis.day_start(day))
        weeks.append(week_of(day))
    return begins, weeks


def leveling(problem: Problem, operations: Sequence[Planned]) -> float:
    """Squared deviation of weekly hours from each station's mean, in hours squared.

    Weeks run from the one that holds `now` to the one that holds the last finish.
    """
    axis = problem.axis
    hours = station_hours(problem, operations)
    if not operations:
        return 0.0
    last = max(problem.now, *(one.finish for one in operations))
    weeks = []
    week = week_of(axis.local(problem.now).date())
    while week <= axis.local(last).date():
        weeks.append(week)
        week += timedelta(days=7)
    total = 0.0
    for station in sorted({name for name, _ in hours}):
        loads = [hours.get((station, week), 0.0) for week in weeks]
        mean = sum(loads) / len(loads)
        total += sum((load - mean) ** 2 for load in loads)
    return total
