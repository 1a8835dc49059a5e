"""Rules of the shop drawn at random on top of a random problem, one at a time.

Each takes a problem of `tests.scheduler.random_problems` without facts and gives it
the rule, hard enough to bind now and then.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from random import Random

from models.outside import day_ends, day_ends_name
from scheduler.problem import (
    Calendar,
    Limit,
    Operation,
    Person,
    Problem,
    Setup,
    Station,
    Temperature,
    Wait,
)
from tests.scheduler.lost_windows import re_preparation

Rule = Callable[[Problem, int], Problem]


def cold_shop(problem: Problem, seed: int) -> Problem:
    """Let every cure depend on a temperature that changes every few days."""
    random = Random(seed)
    first = problem.axis.local(0).date()
    last = problem.axis.local(problem.axis.ticks).date()
    rows, day = [], first
    while day <= last:
        rows.append(Temperature(day.isoformat(), random.choice((8.0, 14.5, 20.0, 27))))
        day += timedelta(days=random.randint(1, 4))
    waits = tuple(
        replace(
            wait,
            data_sheet_min_minutes=max(0, wait.min_minutes - random.choice((0, 90))),
            activation_kj_per_mol=random.choice((50.0, 62.5)),
            reference_celsius=random.choice((18.0, 20.0)),
        )
        if wait.kind == "cure"
        else wait
        for wait in problem.waits
    )
    assert date.fromisoformat(rows[0].date) == first
    return replace(problem, temperature=tuple(rows), waits=waits)


def mold_service(problem: Problem, seed: int) -> Problem:
    """Let every mold need service after a few pulls, some of them made already.

    Some of the orders are repairs of a mold, which do not count.
    """
    random, kinds = Random(seed), Random(seed + 1)
    orders = tuple(
        replace(one, kind="other") if kinds.random() < 0.25 else one
        for one in problem.orders
    )
    molds = []
    for mold in problem.molds:
        every = random.randint(1, 3)
        molds.append(
            replace(
                mold,
                pulls=random.randint(0, every),
                service_every=every,
                service_hours=random.choice((1.0, 7.3, 16.0, 40.0)),
                service_calendar=random.choice(problem.calendars).id,
            )
        )
    return replace(problem, molds=tuple(molds), orders=orders)


def crewed_service(problem: Problem, seed: int) -> Problem:
    """Let people do the service of most molds, as it is drawn there."""
    problem, random = mold_service(problem, seed), Random(seed + 2)
    steps = [one for one in problem.operations if one.skill is not None]
    molds = []
    for mold in problem.molds:
        step = random.choice(steps)
        if random.random() < 0.8:
            mold = replace(  # noqa: PLW2901
                mold,
                service_calendar=step.calendar,
                service_skill=step.skill,
                service_crew=random.randint(1, step.crew_max),
            )
        molds.append(mold)
    return replace(problem, molds=tuple(molds))


def work_limits(problem: Problem, seed: int) -> Problem:
    """Let few boats be between the mold and where their parts go from there."""
    random = Random(seed)
    ends = {
        (part.mold_from, last)
        for part in problem.parts
        for last in (part.mold_to, part.place_to)
        if part.mold_from is not None and last is not None
    }
    codes = sorted({(a.split("/")[1], b.split("/")[1]) for a, b in ends})
    drawn = random.sample(codes, min(len(codes), 2))
    limits = tuple(
        Limit(f"limit {number}", first, last, random.choice((1, 1, 2)))
        for number, (first, last) in enumerate(drawn)
    )
    return replace(problem, limits=limits)


def color_changes(problem: Problem, seed: int) -> Problem:
    """Let some of the work pass a booth that is set up for one color at a time."""
    random = Random(seed)
    colors, tick = ("black", "red", "white"), problem.axis.tick_minutes
    setups = tuple(
        Setup(before, after, random.choice((4, 6, 7, 8)) * tick - random.choice((0, 5)))
        for before in colors
        for after in colors
        if before != after
    )
    booth = Station("spray", 1, setups, random.choice((None, *colors)))
    chosen = {
        one.code: random.choice(colors)
        for one in problem.operations
        if one.skill is not None and random.random() < 0.3
    }
    operations = tuple(
        replace(
            one,
            station="spray",
            demands=(*one.demands, ("spray", 1)),
            setup_family=chosen[one.code],
        )
        if one.code in chosen
        else one
        for one in problem.operations
    )
    stations = (*problem.stations, booth)
    return replace(problem, operations=operations, stations=stations)


def all_rules(problem: Problem, seed: int) -> Problem:
    """Give it every rule at once."""
    for rule in (color_changes, cold_shop, mold_service, work_limits):
        problem = rule(problem, seed)
    return problem


def outside(problem: Problem, seed: int) -> Problem:
    """Let a supplier do a step or two of each order, in days of one calendar."""
    random = Random(seed)
    tick = problem.axis.tick_minutes
    supplier = random.choice(problem.calendars)
    name = day_ends_name(supplier.id)
    ends = Calendar(name, day_ends(supplier.open, problem.axis), (), False)
    hurried = {step for one in problem.waits if one.max_minutes for step in _both(one)}

    def sent(one: Operation) -> Operation:
        return replace(
            one,
            calendar=name,
            skill=None,
            crew_min=0,
            crew_max=0,
            labor_hours=0.0,
            duration_minutes=(1 + random.randint(1, 4)) * tick,
            one_go=False,
        )

    operations = tuple(
        sent(one)
        if one.id not in hurried and one.skill and random.random() < 0.4
        else one
        for one in problem.operations
    )
    calendars = (*problem.calendars, ends)
    return replace(problem, calendars=calendars, operations=operations)


def slots(problem: Problem, seed: int) -> Problem:
    """Let the last steps of each order start in slots that are few and small."""
    random = Random(seed)
    trade = random.choice(problem.calendars)
    few = tuple(one for one in trade.open if random.random() < 0.5)
    launch = Calendar("launch", few, (), False, random.choice((None, 1, 1, 2)))
    hurried = {step for one in problem.waits if one.max_minutes for step in _both(one)}
    waited_for = {one.before for one in problem.waits}
    operations = tuple(
        replace(one, slots="launch")
        if one.id not in hurried
        and not one.one_go
        and (one.id not in waited_for or random.random() < 0.2)
        else one
        for one in problem.operations
    )
    calendars = (*problem.calendars, launch)
    return replace(problem, calendars=calendars, operations=operations)


def part_time(problem: Problem, seed: int) -> Problem:
    """Let some people come on some days only, or go home in the midst of a shift."""
    random = Random(seed)
    axis = problem.axis

    def hours(person: Person) -> Person:
        days = random.sample(range(1, 8), random.randint(3, 6))
        late = random.choice((11, 12, 13, 14, 24))
        hour = 60 // axis.tick_minutes if axis.tick_minutes <= 60 else 1
        kept = []
        for start, end in person.available:
            at = axis.local(start)
            last = min(end, start + max(0, late - at.hour) * hour)
            if at.isoweekday() in days and start < last:
                kept.append((start, last))
        return replace(person, available=tuple(kept))

    skills = {skill for one in problem.people for skill in one.skills}
    whole = {min(p.id for p in problem.people if skill in p.skills) for skill in skills}
    people = tuple(
        one if one.id in whole or random.random() < 0.4 else hours(one)
        for one in problem.people
    )
    return replace(problem, people=people)


def apprentices(problem: Problem, seed: int) -> Problem:
    """Let people learn a skill beside those who have it, some crews with two leads."""
    random = Random(seed)
    skills = sorted({skill for one in problem.people for skill in one.skills})
    full = {
        skill: [one.id for one in problem.people if skill in one.skills]
        for skill in skills
    }
    learning: dict[str, set[str]] = {one.id: set() for one in problem.people}
    for skill in skills:
        able = full[skill]
        for person in problem.people:
            share = 0.5 if person.id in able else 0.4
            if person.id != able[0] and random.random() < share:
                learning[person.id].add(skill)
    led = {skill for own in learning.values() for skill in own}

    def standing(person: Person) -> Person:
        own = tuple(one for one in person.skills if one not in learning[person.id])
        return replace(
            person,
            skills=own,
            lead_for=tuple(one for one in own if one in led),
            apprentice_in=tuple(sorted(learning[person.id])),
        )

    people = tuple(standing(one) for one in problem.people)
    left = {skill: sum(skill in one.skills for one in people) for skill in skills}
    operations = tuple(
        replace(
            one,
            leads_min=random.randint(0, min(one.crew_min, 2, left[one.skill])),
        )
        if one.skill is not None
        else one
        for one in problem.operations
    )
    return replace(problem, people=people, operations=operations)


def several(problem: Problem, seed: int) -> Problem:
    """Give it some of the rules, whichever are drawn, two at least."""
    random = Random(seed)
    single = (
        color_changes,
        cold_shop,
        mold_service,
        work_limits,
        outside,
        slots,
        part_time,
        apprentices,
    )
    drawn = random.sample(single, random.randint(2, len(single)))
    for rule in (one for one in single if one in drawn):
        problem = rule(problem, seed)
    return problem


def _both(wait: Wait) -> tuple[str, str]:
    return wait.before, wait.after


RULES: dict[str, Rule] = {
    "all of them": all_rules,
    "apprentices": apprentices,
    "color changes": color_changes,
    "cold shop": cold_shop,
    "mold service": mold_service,
    "mold service by people": crewed_service,
    "outside work": outside,
    "part time": part_time,
    "re-preparation": re_preparation,
    "several at once": several,
    "slots": slots,
    "work limits": work_limits,
}
