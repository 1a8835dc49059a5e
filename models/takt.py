"""The pace of a yard: takt time, people for a volume, line balance, line of balance."""

from __future__ import annotations

import math
from collections.abc import Sequence

from models.hours import whole_ticks

_ROUNDING = 1e-9  # people, stations; keeps a float's last bit from adding one


def takt_time(available: float, units: float) -> float:
    """Time between two finished units, in the unit of the time available."""
    _positive(available=available, units=units)
    return available / units


def people_needed(
    hours_per_unit: float,
    units: float,
    hours_per_person: float,
    productive_share: float = 1.0,
) -> float:
    """People for a volume, unrounded; see `whole_people`.

    Parameters
    ----------
    hours_per_unit : float
        Standard labor hours of one unit.
    units : float
        Units in the period.
    hours_per_person : float
        Hours for which one person is paid in the period.
    productive_share : float
        Share of those hours that goes into standard hours.
    """
    _positive(hours_per_person=hours_per_person, productive_share=productive_share)
    return hours_per_unit * units / (hours_per_person * productive_share)


def whole_people(needed: float) -> int:
    """People to employ for an unrounded need."""
    return math.ceil(needed - _ROUNDING)


def elapsed_hours(labor_hours: float, crew: int, tick_minutes: int) -> float:
    """Hours on the clock that a crew takes, in whole ticks."""
    return whole_ticks(labor_hours, crew, tick_minutes) * tick_minutes / 60


def fewest_stations(task_times: Sequence[float], cycle_time: float) -> int:
    """The least stations that a total of work allows; it is not always reached."""
    _positive(cycle_time=cycle_time)
    return math.ceil(math.fsum(task_times) / cycle_time - _ROUNDING)


def line_efficiency(
    task_times: Sequence[float], stations: int, cycle_time: float
) -> float:
    """Share of the stations' time in a cycle that is work."""
    _positive(stations=stations, cycle_time=cycle_time)
    return math.fsum(task_times) / (stations * cycle_time)


def balance_delay(
    task_times: Sequence[float], stations: int, cycle_time: float
) -> float:
    """Share of the stations' time in a cycle that is idle."""
    return 1 - line_efficiency(task_times, stations, cycle_time)


def units_due(rate: float, first_delivery: float, lead_time: float, at: float) -> float:
    """Units that must have passed a stage by a time (line of balance).

    Parameters
    ----------
    rate : float
        Units delivered in one period from `first_delivery` on.
    first_delivery : float
        When deliveries begin.
    lead_time : float
        Time from the stage to delivery.
    at : float
        The time asked for, in the same periods.
    """
    return max(0.0, rate * (at - first_delivery + lead_time))


def _positive(**values: float) -> None:
    for name, value in values.items():
        if not value > 0:
            raise ValueError(f"{name} must be more than 0, not {value}")
