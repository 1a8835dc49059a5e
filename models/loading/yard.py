"""Reading `yard.toml`: the shape of each table, and what one entry must satisfy."""

from __future__ import annotations

from datetime import date, datetime
from itertools import pairwise
from typing import Annotated
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from pydantic import AfterValidator, Field

from models.cures import DatedTemperature, ShopTemperature
from models.loading.fields import (
    Celsius,
    Code,
    CrewSize,
    LocalDate,
    LocalMinute,
    Name,
    Positive,
    Row,
    Share,
    Wrong,
)
from models.loading.materials import MaterialRow, to_material
from models.loading.overtime import (
    OvertimeLimitsRow,
    OvertimeRow,
    check_overtime_row,
    to_overtime,
    to_overtime_limits,
)
from models.loading.shifts import (
    PartTimeRow,
    ShiftRow,
    check_part_time,
    check_shift,
    pair,
    to_part_time,
    to_shift,
)
from models.yard import (
    LEVEL_NAMES,
    Mold,
    ObjectiveRules,
    Outage,
    Person,
    Place,
    Setup,
    Skill,
    Station,
    TradeCalendar,
    WorkLimit,
    Yard,
)

_Rate = Annotated[int, Field(ge=0, le=1000)]
_Weight = Annotated[int, Field(ge=1, le=9)]


def _zone(name: str) -> str:
    try:
        ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise ValueError("a time zone, such as America/New_York") from None
    return name


def _tick(minutes: int) -> int:
    if minutes < 5 or 60 % minutes:
        raise ValueError("a tick that divides an hour: 5, 6, 10, 12, 15, 20, 30 or 60")
    return minutes


def _outage(values: list[datetime]) -> list[datetime]:
    pair(list(values))
    if values[0] >= values[1]:
        found = f"{values[0]:%Y-%m-%d %H:%M} to {values[1]:%Y-%m-%d %H:%M}"
        raise Wrong(found, "a span whose end is after its start")
    return values


def _leave(values: list[date]) -> list[date]:
    pair(list(values))
    if values[0] > values[1]:
        found = f"{values[0]} to {values[1]}"
        raise Wrong(found, "a first day that is not after the last day")
    return values


class CalendarRow(Row):
    id: Code
    shifts: Annotated[
        list[Annotated[ShiftRow, AfterValidator(check_shift)]], Field(min_length=1)
    ]
    breaks_relieved: bool = False
    holidays: bool = True
    starts_per_slot: Annotated[int, Field(ge=1, le=1000)] | None = None


class SkillRow(Row):
    id: Code
    name: Name
    calendar: Code


class SetupRow(Row):
    before: Code
    after: Code
    minutes: Annotated[int, Field(ge=1, le=10_000)]


class StationRow(Row):
    id: Code
    name: Name
    group: Name
    capacity: Annotated[int, Field(ge=1, le=1000)] | None = None
    setups: list[SetupRow] = Field(default_factory=list)
    last_family: Code | None = None


_Outages = list[Annotated[list[LocalMinute], AfterValidator(_outage)]]


class MoldRow(Row):
    id: Code
    part: Code
    models: Annotated[list[Code], Field(min_length=1)]
    outages: _Outages = Field(default_factory=list)
    pulls: Annotated[int, Field(ge=0, le=100_000)] = 0
    service_every: Annotated[int, Field(ge=1, le=100_000)] | None = None
    service_hours: Positive | None = None
    service_calendar: Code | None = None
    service_skill: Code | None = None
    service_crew: CrewSize | None = None


def _mold(row: MoldRow) -> MoldRow:
    given = [row.service_every, row.service_hours]
    if (given[0] is None) != (given[1] is None):
        name = "service_hours" if given[0] is None else "service_every"
        raise Wrong(f"{name} alone", "service_every and service_hours together")
    if row.service_every is None and row.service_calendar is not None:
        raise Wrong("service_calendar alone", "service_every and service_hours")
    crewed = [row.service_skill, row.service_crew]
    if row.service_every is None and crewed != [None, None]:
        raise Wrong("people for a service", "service_every and service_hours")
    if row.service_skill is None and row.service_crew is not None:
        raise Wrong("service_crew alone", "service_skill as well")
    if row.service_every is not None and row.pulls > row.service_every:
        raise Wrong(
            f"{row.pulls} pulls with service_every {row.service_every}",
            f"pulls since its last service, at most {row.service_every}",
        )
    return row


class PlaceRow(Row):
    id: Code
    kind: Code
    models: list[Code] = Field(default_factory=list)
    capacity: Annotated[int, Field(ge=1, le=1000)] = 1
    outages: _Outages = Field(default_factory=list)


class PersonRow(Row):
    id: Code
    skills: list[Code]
    apprentice_in: list[Code] = Field(default_factory=list)
    calendar: Code
    leave: list[Annotated[list[LocalDate], AfterValidator(_leave)]] = Field(
        default_factory=list
    )
    part_time: Annotated[PartTimeRow, AfterValidator(check_part_time)] | None = None
    overtime: bool = True


def _person(row: PersonRow) -> PersonRow:
    if not row.skills and not row.apprentice_in:
        raise Wrong("neither skills nor apprentice_in", "at least one skill")
    return row


def _levels(levels: list[str]) -> list[str]:
    if sorted(levels) != sorted(LEVEL_NAMES) or levels[0] != "tardiness":
        raise ValueError(
            f"each of {', '.join(LEVEL_NAMES)} once, tardiness first, the others in "
            "any order"
        )
    return levels


def _tolerances(tolerances: list[int]) -> list[int]:
    wanted = len(LEVEL_NAMES)
    if len(tolerances) != wanted or min(tolerances) < 0 or tolerances[0] != 0:
        raise ValueError(f"{wanted} whole numbers from 0 on, the first of them 0")
    return tolerances


class ObjectiveRow(Row):
    levels: Annotated[list[str], AfterValidator(_levels)] = Field(
        default_factory=lambda: list(LEVEL_NAMES)
    )
    tolerances: Annotated[list[int], AfterValidator(_tolerances)] = Field(
        default_factory=lambda: [0] * len(LEVEL_NAMES)
    )
    mold_day_rate: _Rate = 3
    place_day_rate: _Rate = 2
    flow_day_rate: _Rate = 1
    weight_promised: _Weight = 3
    weight_unpromised: _Weight = 1
    least_gain_late_days: Annotated[int, Field(ge=0, le=1_000_000)] = 0


class LimitRow(Row):
    id: Code
    from_operation: Code
    to_operation: Code
    max: Annotated[int, Field(ge=1, le=1000)]


class DatedRow(Row):
    first: LocalDate
    last: LocalDate
    celsius: Celsius


def _dated(row: DatedRow) -> DatedRow:
    _leave([row.first, row.last])
    return row


def _apart(rows: list[DatedRow]) -> list[DatedRow]:
    for one, other in pairwise(sorted(rows, key=lambda row: row.first)):
        if other.first <= one.last:
            found = f"{one.first} to {one.last} and {other.first} to {other.last}"
            raise Wrong(found, "days that do not overlap each other")
    return rows


def _months(celsius: list[float]) -> list[float]:
    if len(celsius) != 12:
        raise Wrong(f"{len(celsius)} values", "one for each of 12 months")
    return celsius


class TemperatureRow(Row):
    celsius_by_month: Annotated[list[Celsius], AfterValidator(_months)]
    dates: Annotated[
        list[Annotated[DatedRow, AfterValidator(_dated)]], AfterValidator(_apart)
    ] = Field(default_factory=list)


class YardFile(Row):
    name: Name
    time_zone: Annotated[str, AfterValidator(_zone)]
    tick_minutes: Annotated[int, AfterValidator(_tick)] = 15
    as_of: LocalDate | None = None
    delivery_calendar: Code
    frozen_days: Annotated[int, Field(ge=0, le=365)]
    buffer_days: Annotated[int, Field(ge=0, le=250)]
    holidays: list[LocalDate] = Field(default_factory=list)
    allowances: dict[Code, Share] = Field(default_factory=dict)
    objective: ObjectiveRow = ObjectiveRow()
    calendars: Annotated[list[CalendarRow], Field(min_length=1)]
    skills: Annotated[list[SkillRow], Field(min_length=1)]
    stations: Annotated[list[StationRow], Field(min_length=1)]
    molds: list[Annotated[MoldRow, AfterValidator(_mold)]] = Field(default_factory=list)
    places: list[PlaceRow] = Field(default_factory=list)
    people: Annotated[
        list[Annotated[PersonRow, AfterValidator(_person)]], Field(min_length=1)
    ]
    temperature: TemperatureRow | None = None
    limits: list[LimitRow] = Field(default_factory=list)
    materials: list[MaterialRow] = Field(default_factory=list)
    overtime: list[Annotated[OvertimeRow, AfterValidator(check_overtime_row)]] = Field(
        default_factory=list
    )
    overtime_limits: OvertimeLimitsRow | None = None


def to_yard(file: YardFile, today: date) -> Yard:
    """Turn a read file into the yard's plain data."""
    holidays = frozenset(file.holidays)
    goal = file.objective
    return Yard(
        name=file.name,
        time_zone=file.time_zone,
        tick_minutes=file.tick_minutes,
        as_of=file.as_of or today,
        delivery_calendar=file.delivery_calendar,
        frozen_days=file.frozen_days,
        buffer_days=file.buffer_days,
        allowances=dict(file.allowances),
        calendars=tuple(_to_calendar(row, holidays) for row in file.calendars),
        skills=tuple(Skill(row.id, row.name, row.calendar) for row in file.skills),
        stations=tuple(_to_station(row) for row in file.stations),
        molds=tuple(
            Mold(
                row.id,
                row.part,
                tuple(row.models),
                outages=_to_outages(row.outages),
                pulls=row.pulls,
                service_every=row.service_every,
                service_hours=row.service_hours,
                service_calendar=row.service_calendar,
                service_skill=row.service_skill,
                service_crew=_service_crew(row),
            )
            for row in file.molds
        ),
        places=tuple(
            Place(
                row.id,
                row.kind,
                tuple(row.models),
                row.capacity,
                _to_outages(row.outages),
            )
            for row in file.places
        ),
        people=tuple(_to_person(row) for row in file.people),
        objective=ObjectiveRules(
            tuple(goal.levels),
            tuple(goal.tolerances),
            goal.mold_day_rate,
            goal.place_day_rate,
            goal.flow_day_rate,
            goal.weight_promised,
            goal.weight_unpromised,
            goal.least_gain_late_days,
        ),
        temperature=_to_temperature(file.temperature),
        limits=tuple(
            WorkLimit(row.id, row.from_operation, row.to_operation, row.max)
            for row in file.limits
        ),
        materials=tuple(to_material(row) for row in file.materials),
        overtime=tuple(to_overtime(row) for row in file.overtime),
        overtime_limits=to_overtime_limits(file.overtime_limits),
    )


def _to_temperature(row: TemperatureRow | None) -> ShopTemperature | None:
    if row is None:
        return None
    dated = (DatedTemperature(one.first, one.last, one.celsius) for one in row.dates)
    return ShopTemperature(tuple(row.celsius_by_month), tuple(dated))


def _to_calendar(row: CalendarRow, holidays: frozenset[date]) -> TradeCalendar:
    shifts = tuple(to_shift(shift) for shift in row.shifts)
    closed = holidays if row.holidays else frozenset()
    return TradeCalendar(
        row.id, shifts, closed, row.breaks_relieved, row.starts_per_slot
    )


def _to_station(row: StationRow) -> Station:
    setups = tuple(Setup(one.before, one.after, one.minutes) for one in row.setups)
    return Station(row.id, row.name, row.group, row.capacity, setups, row.last_family)


def _service_crew(row: MoldRow) -> int | None:
    """How many are on the service of a mold: one where only their skill is named."""
    return row.service_crew or (None if row.service_skill is None else 1)


def _to_outages(spans: list[list[datetime]]) -> tuple[Outage, ...]:
    return tuple(Outage(start, end) for start, end in spans)


def _to_person(row: PersonRow) -> Person:
    leave = tuple((first, last) for first, last in row.leave)
    hours = to_part_time(row.part_time)
    return Person(
        row.id,
        tuple(row.skills),
        row.calendar,
        leave,
        hours,
        row.overtime,
        tuple(row.apprentice_in),
    )
