"""Windows of overtime drawn at random on top of a random problem."""

from __future__ import annotations

from dataclasses import replace
from random import Random

from models.spans import clip, subtract
from scheduler.problem import (
    Calendar,
    OvertimeLimit,
    OvertimeWindow,
    Problem,
    Span,
)

DAYS = 12  # windows are drawn in so many first days, where the work is


def with_windows(
    problem: Problem, seed: int, count: int = 3, days: int = DAYS
) -> Problem:
    """Offer up to so many windows, each of one calendar, mornings or after the shift.

    People can be of a calendar if all the time that they are there is open in it; one
    in five is not asked.
    """
    random = Random(seed)
    people: dict[str, list[str]] = {one.id: [] for one in problem.calendars}
    for person in problem.people:
        own = [
            one.id
            for one in problem.calendars
            if not subtract(person.available, one.open)
        ]
        if own and random.random() < 0.8:
            people[random.choice(own)].append(person.id)
    windows: list[OvertimeWindow] = []
    for number in range(8 * count):
        if len(windows) == count:
            break
        calendar = random.choice(problem.calendars)
        span = _closed_time(random, problem, calendar, days)
        taken = [one.window for one in windows if one.calendar == calendar.id]
        price = random.choice((10.0, 42.5))
        if span is not None and not any(clip(taken, *span)):
            asked = tuple(people[calendar.id])
            name = f"window {number}"
            windows.append(OvertimeWindow(name, calendar.id, span, price, asked))
    hours = problem.axis.tick_minutes / 60
    longest = max((one.window[1] - one.window[0] for one in windows), default=1) * hours
    most = longest + random.choice((0, 2)), longest + random.choice((0, 4))
    return replace(
        problem,
        overtime=tuple(sorted(windows, key=lambda one: one.window)),
        overtime_limits=tuple(OvertimeLimit(one.id, *most) for one in problem.people),
    )


def _closed_time(
    random: Random, problem: Problem, calendar: Calendar, days: int
) -> Span | None:
    """A few hours in which a calendar is closed, after a shift or on their own."""
    axis = problem.axis
    hour = 60 // axis.tick_minutes
    first = problem.now + random.randrange(days) * axis.ticks_per_day
    length = random.choice((2, 3, 5)) * hour
    regular = (*calendar.open, *calendar.breaks)
    ends = [end for _, end in calendar.open if first <= end]
    start = first + 6 * hour
    if ends and random.random() < 0.6:
        start = ends[0]
    if any(clip(regular, start, start + length)):
        return None
    return start, start + length
