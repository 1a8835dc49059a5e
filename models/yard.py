"""The yard: people, molds, places, stations, calendars and the yard's own rules.

Plain frozen data as `models.loading` reads it from `yard.toml`. Local dates and
times are the yard's own; `models.calendars` turns them into instants.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time
from functools import cached_property

from models.cures import ShopTemperature
from models.materials import Material

LEVEL_NAMES = ("tardiness", "overtime", "changes", "work_in_process", "leveling")


@dataclass(frozen=True, slots=True)
class Shift:
    """One stretch of open time on some weekdays, with its breaks (local times).

    `days` holds ISO weekday numbers, 1 for Monday. `end` may be 00:00, which means
    midnight at the end of the day; a shift never runs past midnight.
    """

    days: tuple[int, ...]
    start: time
    end: time
    breaks: tuple[tuple[time, time], ...] = ()


@dataclass(frozen=True, slots=True)
class TradeCalendar:
    """When one trade works; holidays close the whole local day."""

    id: str
    shifts: tuple[Shift, ...]
    holidays: frozenset[date] = frozenset()
    breaks_relieved: bool = False
    starts_per_slot: int | None = None  # of a calendar of slots: most in one open span


@dataclass(frozen=True, slots=True)
class Skill:
    """Something that people can do, and the calendar on which it is done."""

    id: str
    name: str
    calendar: str


@dataclass(frozen=True, slots=True)
class Setup:
    """Minutes from the end of work in one family of color to work in another."""

    before: str
    after: str
    minutes: int


@dataclass(frozen=True, slots=True)
class Station:
    """Where a kind of work is done; `capacity` None means as many as there are people.

    `group` is one of at most six headings by which the board colors work.
    """

    id: str
    name: str
    group: str
    capacity: int | None = None
    setups: tuple[Setup, ...] = ()
    last_family: str | None = None  # what it is set up for now


@dataclass(frozen=True, slots=True)
class Outage:
    """Local time span for which a mold or place cannot be used."""

    start: datetime  # naive local time
    end: datetime


@dataclass(frozen=True, slots=True)
class Mold:
    """One mold: which part of which models it makes."""

    id: str
    part: str
    models: tuple[str, ...]
    outages: tuple[Outage, ...] = ()
    pulls: int = 0  # since its last service
    service_every: int | None = None  # pulls
    service_hours: float | None = None  # open hours of `service_calendar`
    service_calendar: str | None = None  # default: the skill's, else the delivery one
    service_skill: str | None = None  # of the people on it; None: nobody is
    service_crew: int | None = None  # how many of them at once


@dataclass(frozen=True, slots=True)
class Place:
    """Where parts stand: a hull bay, a deck stand, a rack."""

    id: str
    kind: str
    models: tuple[str, ...]  # empty: any model
    capacity: int = 1
    outages: tuple[Outage, ...] = ()


@dataclass(frozen=True, slots=True)
class WorkLimit:
    """At most so many boats from the start of one step to the end of another."""

    id: str
    from_operation: str
    to_operation: str
    most: int


@dataclass(frozen=True, slots=True)
class PartTime:
    """Days of the week (ISO, 1 for Monday) and hours that someone works at most.

    None leaves days, or that end of the day, to the calendar. `end` 00:00 is midnight.
    """

    days: tuple[int, ...] | None = None
    start: time | None = None
    end: time | None = None


@dataclass(frozen=True, slots=True)
class Person:
    """One person: skills, calendar and days of leave (whole local days, inclusive).

    In the skills of `apprentice_in` they count in a crew beside who has it in full.
    """

    id: str
    skills: tuple[str, ...]
    calendar: str
    leave: tuple[tuple[date, date], ...] = ()
    part_time: PartTime | None = None
    overtime: bool = True  # whether they may be asked for it
    apprentice_in: tuple[str, ...] = ()

    @property
    def counts_for(self) -> tuple[str, ...]:
        """The skills in whose crews this person counts, as an apprentice or in full."""
        return (*self.skills, *self.apprentice_in)


@dataclass(frozen=True, slots=True)
class Overtime:
    """Time outside the shifts of a calendar that the yard can open, day by day.

    One window on each of `days` (ISO weekdays) from `first` to `last`, but for
    holidays of the calendar. `price_per_hour` is what an hour of one person costs.
    """

    id: str
    calendar: str
    days: tuple[int, ...]
    start: time
    end: time  # 00:00 is midnight at the end of the day
    first: date
    last: date
    price_per_hour: float


@dataclass(frozen=True, slots=True)
class OvertimeLimits:
    """Most hours of overtime that one person works on a day and in an ISO week."""

    hours_per_day: float
    hours_per_week: float


@dataclass(frozen=True, slots=True)
class ObjectiveRules:
    """Order of the levels after the first, what they may spend, rates of level 4."""

    levels: tuple[str, ...] = LEVEL_NAMES
    tolerances: tuple[int, ...] = (0, 0, 0, 0, 0)
    mold_day_rate: int = 3
    place_day_rate: int = 2
    flow_day_rate: int = 1
    weight_promised: int = 3
    weight_unpromised: int = 1
    least_gain_late_days: int = 0  # more are to be saved before published work moves


@dataclass(frozen=True)
class Yard:
    """Everything that `yard.toml` says."""

    name: str
    time_zone: str
    tick_minutes: int
    as_of: date  # first local day that the plan may fill
    delivery_calendar: str
    frozen_days: int  # calendar days from as_of in which a committed plan stands still
    buffer_days: int  # working days added to a planned finish for a proposed date
    allowances: dict[str, float]  # name -> share of job time, e.g. 0.15
    calendars: tuple[TradeCalendar, ...]
    skills: tuple[Skill, ...]
    stations: tuple[Station, ...]
    molds: tuple[Mold, ...]
    places: tuple[Place, ...]
    people: tuple[Person, ...]
    objective: ObjectiveRules
    temperature: ShopTemperature | None = None  # of the shop
    limits: tuple[WorkLimit, ...] = ()  # on work in process
    materials: tuple[Material, ...] = ()
    overtime: tuple[Overtime, ...] = ()
    overtime_limits: OvertimeLimits | None = None  # given where overtime is

    @cached_property
    def led_skills(self) -> frozenset[str]:
        """Skills in which somebody is an apprentice."""
        return frozenset(name for one in self.people for name in one.apprentice_in)

    def least_leads(self, skill: str | None, leads_min: int) -> int:
        """How many of a crew have its skill in full; 0 where nobody learns it."""
        return max(1, leads_min) if skill in self.led_skills else 0
