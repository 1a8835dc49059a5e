"""What a plan asks of people, stations, molds and places, week by week.

Everything is read from the plan alone, so that the report and the board show the same
figures. Weeks are ISO weeks, named by their Monday; the first one counts from `now`.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

from models.spans import clip
from scheduler.cp_model.skill_subsets import unimplied_subsets
from scheduler.levels import station_hours, week_of
from scheduler.overtime import as_worked
from scheduler.service_work import as_planned
from scheduler.waiting_for import Causes

if TYPE_CHECKING:
    from scheduler.plan import Plan
    from scheduler.problem import Span


@dataclass(frozen=True, slots=True)
class StationWeek:
    """Hours planned at a station, and what the people with its skills could give.

    People who can work at several stations count at each of them in full.
    """

    station: str
    week: date
    hours: float
    capacity_hours: float


@dataclass(frozen=True, slots=True)
class SkillWeek:
    """Hours planned of a skill, and those of everyone who has it."""

    skill: str
    week: date
    hours: float
    capacity_hours: float


@dataclass(frozen=True, slots=True)
class PeopleWeek:
    """Hours planned of skills that share people, and those of everyone with one.

    Hall's condition on the hours of a week: where `hours` come to `capacity_hours`,
    no other sharing out of the work could fit more of it in.
    """

    skills: tuple[str, ...]
    week: date
    hours: float
    capacity_hours: float


@dataclass(frozen=True, slots=True)
class ResourceUse:
    """How long a mold or place is taken, from now to the last finish.

    `kind` is "mold" or the kind of place. `open_days` leaves outages out and counts
    a place once for each part that it has room for; `share` is their quotient.
    """

    resource: str
    kind: str
    occupied_days: float
    open_days: float

    @property
    def share(self) -> float:
        """Part of the open time that is taken."""
        return self.occupied_days / self.open_days if self.open_days else 0.0


@dataclass(frozen=True, slots=True)
class LateWait:
    """Days that late boats wait for something, and which boats."""

    resource: str
    days: float
    orders: tuple[str, ...]


def weeks_of(plan: Plan) -> list[date]:
    """The Mondays from the week that holds `now` to that of the last finish."""
    axis = plan.problem.axis
    week, last = week_of(axis.local(plan.problem.now).date()), last_finish(plan)
    weeks = []
    while week <= axis.local(last).date():
        weeks.append(week)
        week += timedelta(days=7)
    return weeks


def last_finish(plan: Plan) -> int:
    """When the last boat is finished, and not before `now`."""
    finishes = (one.finish for one in plan.answer.operations)
    return max(plan.problem.now, max(finishes, default=0))


def station_week_load(plan: Plan) -> list[StationWeek]:
    """Hours by station and week, stations in the order of the yard."""
    needed: dict[str, set[str]] = defaultdict(set)
    for one in plan.problem.operations:
        if one.skill is not None:
            needed[one.station].add(one.skill)
    stations = [one.id for one in plan.problem.stations if one.id in needed]
    hours = station_hours(plan.problem, plan.answer.operations)
    people = _people_hours(plan)
    given = {name: _given(people, needed[name]) for name in stations}
    return [
        StationWeek(name, week, hours.get((name, week), 0.0), given[name][index])
        for name in stations
        for index, week in enumerate(weeks_of(plan))
    ]


def skill_week_load(plan: Plan) -> list[SkillWeek]:
    """Hours by skill and week against those of everyone who has the skill.

    Services of molds by people count here; they are at no station.
    """
    weeks, edges = weeks_of(plan), _edges(plan)
    skills = {one.id: one.skill for one in plan.problem.operations}
    hours: dict[str, list[float]] = defaultdict(lambda: [0.0] * len(weeks))
    tick_hours, people = plan.problem.axis.tick_minutes / 60, _people_hours(plan)
    work = [(skills[one.operation], one) for one in plan.answer.operations]
    for skill, planned in (*work, *as_planned(plan.problem, plan.answer.services)):
        if skill is not None:
            for index, ticks in _by_week(planned.segments, edges):
                hours[skill][index] += ticks * planned.crew * tick_hours
    return [
        SkillWeek(skill, week, asked[index], given[index])
        for skill, asked in sorted(hours.items())
        for given in [_given(people, {skill})]
        for index, week in enumerate(weeks)
    ]


def people_week_load(plan: Plan) -> list[PeopleWeek]:
    """Hours by week of every set of skills that must be watched as one."""
    asked: dict[str, dict[date, float]] = defaultdict(dict)
    for one in skill_week_load(plan):
        asked[one.skill][one.week] = one.hours
    people = _people_hours(plan)
    sets = unimplied_subsets(asked, (one.counts_for for one in plan.problem.people))
    return [
        PeopleWeek(
            tuple(sorted(skills)),
            week,
            sum(asked[skill][week] for skill in skills),
            given[index],
        )
        for skills in sets
        for given in [_given(people, set(skills))]
        for index, week in enumerate(weeks_of(plan))
    ]


def _people_hours(plan: Plan) -> list[tuple[Sequence[str], list[float]]]:
    """Each person's skills and hours by week; who are there together count once.

    Windows of overtime that the plan opens count for everybody asked for them.
    """
    edges, tick_hours = _edges(plan), plan.problem.axis.tick_minutes / 60
    known: dict[tuple[Span, ...], list[float]] = {}
    people = as_worked(plan).problem.people
    for person in people:
        if person.available not in known:
            hours = [0.0] * (len(edges) - 1)
            for index, ticks in _by_week(person.available, edges):
                hours[index] += ticks * tick_hours
            known[person.available] = hours
    return [(one.counts_for, known[one.available]) for one in people]


def _given(
    people: list[tuple[Sequence[str], list[float]]], skills: set[str]
) -> list[float]:
    """Hours by week of the people who have at least one of some skills."""
    able = [hours for own, hours in people if skills.intersection(own)]
    return [sum(week) for week in zip(*able)] if able else [0.0] * len(people[0][1])


def _edges(plan: Plan) -> list[int]:
    """The ticks between weeks: `now` first, then the start of each Monday."""
    axis, weeks = plan.problem.axis, weeks_of(plan)
    starts = [axis.day_start(week) for week in weeks[1:]]
    return [plan.problem.now, *starts, axis.day_start(weeks[-1] + timedelta(days=7))]


def _by_week(spans: Iterable[Span], edges: list[int]) -> Iterable[tuple[int, int]]:
    """Cut spans at the edges of weeks: index of the week, ticks in it."""
    for start, end in clip(spans, edges[0], edges[-1]):
        index, at = bisect_right(edges, start) - 1, start
        while at < end:
            until = min(end, edges[index + 1])
            yield index, until - at
            index, at = index + 1, until


def resource_use(plan: Plan) -> list[ResourceUse]:
    """How long each mold and place is taken, in the order of the yard."""
    problem = plan.problem
    first, last, day = problem.now, last_finish(plan), problem.axis.ticks_per_day
    taken: dict[str, int] = defaultdict(int)
    for one in plan.answer.occupations:
        taken[one.resource] += _length(((one.start, one.finish),), first, last)
    rooms = [(one.id, "mold", 1, one.unavailable) for one in problem.molds]
    rooms += [
        (one.id, one.kind, one.capacity, one.unavailable) for one in problem.places
    ]
    return [
        ResourceUse(
            name,
            kind,
            taken[name] / day,
            room * (last - first - _length(closed, first, last)) / day,
        )
        for name, kind, room, closed in rooms
    ]


def _length(spans: Iterable[Span], first: int, last: int) -> int:
    return sum(end - start for start, end in clip(spans, first, last))


def hardest_worked_mold(plan: Plan) -> ResourceUse | None:
    """The mold that is taken for the largest share of its time."""
    molds = [one for one in resource_use(plan) if one.kind == "mold"]
    return max(molds, key=lambda one: one.share, default=None)


def late_waits(plan: Plan, causes: Causes | None = None) -> list[LateWait]:
    """What boats that are late wait for, longest first.

    Each late boat's chain of work is followed back from its finish; where an
    operation on it began later than its own boat allowed, the days count for what it
    waited for. Only waiting of a day or more counts: less is the night.
    """
    causes = causes or Causes(plan)
    days: dict[str, float] = defaultdict(float)
    boats: dict[str, list[str]] = defaultdict(list)
    for one in plan.answer.orders:
        if one.tardy_days:
            for resource, waited in causes.waits_of_order(one.order).items():
                days[resource] += waited
                boats[resource].append(one.order)
    return [
        LateWait(name, days[name], tuple(boats[name]))
        for name in sorted(days, key=lambda name: (-days[name], name))
    ]
