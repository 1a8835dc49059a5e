"""Yards drawn at random: calendars, people, molds, places and stations."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace
from datetime import date, time, timedelta
from random import Random
from zoneinfo import ZoneInfo

from models.axis import Axis, local_instant
from models.calendars import expand, relieved
from models.spans import Span, subtract
from models.yard import Shift, TradeCalendar
from scheduler.problem import Calendar, Mold, Part, Person, Place, Station

MONDAY = date(2027, 3, 1)  # clocks go forward on Sunday 2027-03-14
ZONE = ZoneInfo("America/New_York")
MOLD_SKILLS = ("laminate", "gel_coat")
FLOOR_SKILLS = ("assemble", "rig")
WEEK = (1, 2, 3, 4, 5)
EVERY_DAY = (1, 2, 3, 4, 5, 6, 7)
CALENDARS = ("same", "one", "mixed", "round")
"""Same hours with lamination's breaks relieved (as in most yards); one calendar for
all; trades with different hours; work round the clock without a break."""

_EARLY = (time(6), time(14, 30), ((time(9), time(9, 15)), (time(12), time(12, 30))))
_LATE = (time(7), time(15, 30), ((time(12), time(12, 30)),))
_HOURLY = (time(6), time(15), ((time(9), time(10)), (time(12), time(13))))
_HOURLY_LATE = (time(8), time(17), ((time(12), time(13)),))


@dataclass(frozen=True)
class RandomYard:
    """What the orders of a random problem are drawn into."""

    axis: Axis
    calendars: tuple[Calendar, ...]
    calendar_of: dict[str, str]  # by skill
    people: tuple[Person, ...]
    crew_of: dict[str, int]  # by skill: people who work all of its calendar
    run_of: dict[str, int]  # by calendar: longest span of a one-go operation, in ticks
    plain: bool

    @property
    def oven(self) -> str | None:
        """A calendar that never closes, for work without people."""
        return next((one.id for one in self.calendars if one.id == "oven"), None)


def draw_yard(
    random: Random, tick: int, kind: str, days: int, *, plain: bool
) -> RandomYard:
    """Draw calendars and people on an axis of so many days."""
    endless = Axis(local_instant(MONDAY, time(0), ZONE), tick, 0, str(ZONE))
    last = MONDAY + timedelta(days=days + (-days) % 7)
    axis = replace(endless, ticks=endless.day_start(last))
    trades = _trades(random, kind, tick)
    if kind != "round" and not plain and random.random() < 0.15:
        always = Shift(EVERY_DAY, time(0), time(0))
        trades.insert(0, TradeCalendar("oven", (always,)))
    calendars = tuple(
        Calendar(one.id, *expand(one, axis), one.breaks_relieved) for one in trades
    )
    manned = [one for one in calendars if one.id != "oven"]
    calendar_of = dict.fromkeys(MOLD_SKILLS, manned[0].id)
    calendar_of |= dict.fromkeys(FLOOR_SKILLS, manned[-1].id)
    opened = {one.id: one.open for one in calendars}
    people, crew_of = _people(random, opened, calendar_of, axis, plain)
    run_of = {}
    for one in calendars:
        whole = relieved(one.open, one.breaks) if one.breaks_relieved else one.open
        run_of[one.id] = max(end - start for start, end in whole)
    return RandomYard(axis, calendars, calendar_of, people, crew_of, run_of, plain)


def _trades(random: Random, kind: str, tick: int) -> list[TradeCalendar]:
    holidays = frozenset({MONDAY + timedelta(days=random.randint(3, 25))})
    early = Shift(WEEK, *(_HOURLY if tick == 60 else _EARLY))
    late = Shift(WEEK, *(_HOURLY_LATE if tick == 60 else _LATE))
    if kind == "round":
        return [TradeCalendar("shop", (Shift(EVERY_DAY, time(0), time(0)),))]
    if kind == "one":
        return [TradeCalendar("shop", (early,), holidays, random.random() < 0.5)]
    shop = (early,) if kind == "same" else (late,)
    if kind == "mixed" and random.random() < 0.3:
        shop += (Shift((6,), time(6), time(12)),)
    return [
        TradeCalendar("lamination", (early,), holidays, random.random() < 0.8),
        TradeCalendar("shop", shop, holidays, kind == "mixed"),
    ]


def _people(
    random: Random,
    opened: dict[str, tuple[Span, ...]],
    calendar_of: dict[str, str],
    axis: Axis,
    plain: bool,
) -> tuple[tuple[Person, ...], dict[str, int]]:
    """Four to eight people, at least one for each skill; some are on leave a while."""
    skills = tuple(calendar_of)
    people = []
    whole: dict[str, int] = dict.fromkeys(skills, 0)
    for number in range(random.randint(4, 8)):
        first = skills[number % len(skills)]
        own = {first, *random.sample(skills, random.choice((0, 0, 1, 1, 2)))}
        present = opened[calendar_of[first]]
        for skill in own:
            whole[skill] += calendar_of[skill] == calendar_of[first]
        if not plain and random.random() < 0.3:
            day = MONDAY + timedelta(days=random.randint(0, 30))
            until = day + timedelta(days=random.randint(1, 7))
            present = subtract(present, [(axis.day_start(day), axis.day_start(until))])
        people.append(Person(f"P{number + 1}", tuple(sorted(own)), present))
    return tuple(people), whole


def draw_molds(
    random: Random, parts: Collection[tuple[str, str]], yard: RandomYard
) -> tuple[Mold, ...]:
    """One or two molds for each model and part, some of them out for a while."""
    out = []
    for model, part in sorted(set(parts)):
        for number in range(random.choice((1, 1, 2))):
            name = f"{part}-{model}-{number + 1}"
            out.append(Mold(name, part, (model,), _outage(random, yard)))
    return tuple(out)


def draw_places(
    random: Random, parts: Collection[Part], yard: RandomYard, models: Collection[str]
) -> tuple[Place, ...]:
    """One to three bays and stands; the first of a kind takes any model."""
    out = []
    for kind in sorted({one.place_kind for one in parts if one.place_kind}):
        for number in range(random.choice((1, 2, 2, 3))):
            fits = () if number == 0 else random.choice(((), tuple(sorted(models))[:1]))
            room = random.choice((1, 1, 1, 2))
            name = f"{kind} {number + 1}"
            out.append(Place(name, kind, fits, room, _outage(random, yard)))
    return tuple(out)


def _outage(random: Random, yard: RandomYard) -> tuple[Span, ...]:
    if yard.plain or random.random() < 0.8:
        return ()
    day = MONDAY + timedelta(days=random.randint(0, 30))
    begin = yard.axis.day_start(day) + random.randrange(yard.axis.ticks_per_day)
    return ((begin, begin + random.randint(1, 4 * yard.axis.ticks_per_day)),)


def draw_stations(random: Random, yard: RandomYard) -> tuple[Station, ...]:
    """A floor without a limit, and a booth and a hoist that have one."""
    if yard.plain:
        return (Station("floor", None),)
    return (
        Station("floor", None),
        Station("booth", random.choice((1, 2))),
        Station("hoist", 1),
    )
