"""How many days of a yard a book of orders asks for, at a given load.

The busiest resource is looked for among all sets of skills (hours of those skills
against people who have at least one of them) and among the molds that a model can use
for a part and the places in which a part of it can stand (days against their number).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from itertools import combinations

from models.calendars import own_hours
from models.errors import UsageError
from models.sample.flow import Flow, Stay, hours_on
from models.yard import Outage, Person, Yard

# Share of the open hours that plans of the demo yard could use at best: crews must be
# together, one-go work must fit its day, cures and molds hold work up. Measured on
# plans of this project, not a figure of the trade.
USABLE = 0.8
_LONGEST = timedelta(days=3653)
_MOST_SKILLS = 10  # above, only single skills, pairs and all together are looked at

Names = frozenset[str]


@dataclass(frozen=True, slots=True)
class Demand:
    """What a book asks for: hours by skill, days by the molds or places that do."""

    hours: dict[str, float]
    days: dict[Names, float]


def add_up(yard: Yard, flows: Iterable[Flow]) -> Demand:
    """Add up the hours and the days in molds and places of some boats."""
    hours: dict[str, float] = {}
    days: dict[Names, float] = {}
    for flow in flows:
        for operation in flow.routing.operations:
            skill = operation.step.skill
            if skill is not None:
                hours[skill] = hours.get(skill, 0.0) + flow.hours[operation.code]
        for stay in flow.stays():
            would_do = _would_do(yard, stay, flow.model.id)
            days[would_do] = days.get(would_do, 0.0) + stay.days
    # Whoever can only use some of these molds or places uses these as well.
    nested = {
        names: sum(amount for inner, amount in days.items() if inner <= names)
        for names in days
    }
    return Demand(hours, nested)


def _would_do(yard: Yard, stay: Stay, model: str) -> Names:
    if stay.what == "mold":
        return frozenset(
            f"mold {mold.id}"
            for mold in yard.molds
            if mold.part == stay.kind and model in mold.models
        )
    return frozenset(
        f"place {place.id}"
        for place in yard.places
        if place.kind == stay.kind and (not place.models or model in place.models)
    )


def working_days(yard: Yard) -> Iterator[date]:
    """Yield days with open time on the delivery calendar from `as_of` on, ten years."""
    calendar = next(one for one in yard.calendars if one.id == yard.delivery_calendar)
    day = yard.as_of
    while day < yard.as_of + _LONGEST:
        if hours_on(calendar, day.isoweekday()) and day not in calendar.holidays:
            yield day
        day += timedelta(days=1)


def window(yard: Yard, wanted: Demand, load: float) -> list[date]:
    """Working days from `as_of` on in which the work can be done at a load.

    They are the fewest in which no resource is asked for more than `load` times
    `USABLE` of what it is there for.
    """
    skill_sets = _skill_sets(wanted.hours)
    supply_hours = dict.fromkeys(skill_sets, 0.0)
    supply_days = dict.fromkeys(wanted.days, 0.0)
    room = _room(yard)
    days: list[date] = []
    for day in working_days(yard):
        days.append(day)
        for names, hours in _hours_of_people(yard, day).items():
            for skills in skill_sets:
                if not names.isdisjoint(skills):
                    supply_hours[skills] += hours
        open_room = {
            name: capacity
            for name, (capacity, outages) in room.items()
            if not _is_out(outages, day)
        }
        for would_do in supply_days:
            supply_days[would_do] += sum(open_room.get(one, 0) for one in would_do)
        if _covers(skill_sets, supply_hours, load) and _covers(
            wanted.days, supply_days, load
        ):
            return days
    raise UsageError("the orders are too many for this yard: ten years do not suffice")


def _skill_sets(hours: Mapping[str, float]) -> dict[Names, float]:
    names = sorted(hours)
    sizes: Iterable[int] = range(1, len(names) + 1)
    if len(names) > _MOST_SKILLS:
        sizes = (1, 2, len(names))
    return {
        frozenset(chosen): sum(hours[name] for name in chosen)
        for size in sizes
        for chosen in combinations(names, size)
    }


def _hours_of_people(yard: Yard, day: date) -> dict[Names, float]:
    """Hours on a day by set of skills of those who are not on leave."""
    calendars = {calendar.id: calendar for calendar in yard.calendars}
    out: dict[Names, float] = {}
    for person in yard.people:
        calendar = calendars[person.calendar]
        if day not in calendar.holidays and not _is_away(person, day):
            skills = frozenset(person.counts_for)
            hours = hours_on(own_hours(person, calendar), day.isoweekday())
            out[skills] = out.get(skills, 0.0) + hours
    return out


def _is_away(person: Person, day: date) -> bool:
    return any(first <= day <= last for first, last in person.leave)


def _room(yard: Yard) -> dict[str, tuple[int, tuple[Outage, ...]]]:
    """Parts that each mold and place can hold at once, and when it is out of use."""
    molds = {f"mold {mold.id}": (1, mold.outages) for mold in yard.molds}
    return molds | {
        f"place {place.id}": (place.capacity, place.outages) for place in yard.places
    }


def _is_out(outages: Iterable[Outage], day: date) -> bool:
    """Whether something is out of use at noon of a day."""
    noon = datetime.combine(day, time(12))
    return any(outage.start <= noon < outage.end for outage in outages)


def _covers(
    wanted: Mapping[Names, float], supply: Mapping[Names, float], load: float
) -> bool:
    return all(
        amount <= load * USABLE * supply[names] + 1e-9
        for names, amount in wanted.items()
    )
