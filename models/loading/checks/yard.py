"""Checks inside `yard.toml`: names that must exist, times that must lie on ticks."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from datetime import time
from itertools import combinations

from models.calendars import own_hours
from models.loading.checks.scope import YardScope, repeated
from models.loading.faults import listed
from models.yard import Mold, Person, Place, Shift, TradeCalendar

_MOST_GROUPS = 6  # more colors than that cannot be told apart on the board


def check_yard(scope: YardScope, models: Collection[str]) -> None:
    """Check the yard by itself; `models` are the models that have a file."""
    _check_repeats(scope)
    _check_references(scope)
    for calendar in scope.yard.calendars:
        _check_ticks(calendar, scope)
        _check_overlaps(calendar, scope)
    groups = {station.group for station in scope.yard.stations}
    if len(groups) > _MOST_GROUPS:
        found = f"{len(groups)} groups ({listed(groups)})"
        scope.fault("stations", found, f"at most {_MOST_GROUPS} groups over all")
    entries: list[Mold | Place] = [*scope.yard.molds, *scope.yard.places]
    for entry in entries:
        table = "molds" if isinstance(entry, Mold) else "places"
        for model in entry.models:
            where = f"{table}.{entry.id}.models"
            scope.refer(where, model, models, "a model with a file in boats")


def check_skills_held(scope: YardScope) -> None:
    """Check that somebody has each skill."""
    if not scope.whole("people"):
        return
    held = {skill for person in scope.yard.people for skill in person.skills}
    learned = scope.yard.led_skills
    for skill in scope.yard.skills:
        if skill.id not in held:
            who = "only apprentices have" if skill.id in learned else "nobody has"
            expected = "at least one of people with it"
            if skill.id in learned:
                expected += " in full, to lead them"
            scope.fault(f"skills.{skill.id}", f"a skill that {who}", expected)


def _check_repeats(scope: YardScope) -> None:
    yard = scope.yard
    tables: tuple[tuple[str, Iterable[str]], ...] = (
        ("calendars", (one.id for one in yard.calendars)),
        ("skills", (one.id for one in yard.skills)),
        ("stations", (one.id for one in yard.stations)),
        (
            "molds and places",
            [*(one.id for one in yard.molds), *(one.id for one in yard.places)],
        ),
        ("people", (one.id for one in yard.people)),
        ("limits", (one.id for one in yard.limits)),
    )
    for table, names in tables:
        for name in repeated(names):
            scope.fault(table, f"'{name}' more than once", "each id once")


def _check_references(scope: YardScope) -> None:
    yard = scope.yard
    calendars = scope.known("calendars", (one.id for one in yard.calendars))
    skills = scope.known("skills", (one.id for one in yard.skills))
    scope.refer("delivery_calendar", yard.delivery_calendar, calendars, "a calendar")
    for skill in yard.skills:
        where = f"skills.{skill.id}.calendar"
        scope.refer(where, skill.calendar, calendars, "a calendar")
    for mold in yard.molds:
        if mold.service_calendar is not None:
            where = f"molds.{mold.id}.service_calendar"
            scope.refer(where, mold.service_calendar, calendars, "a calendar")
        if mold.service_skill is not None:
            where = f"molds.{mold.id}.service_skill"
            scope.refer(where, mold.service_skill, skills, "a skill")
    for person in yard.people:
        where = f"people.{person.id}"
        scope.refer(f"{where}.calendar", person.calendar, calendars, "a calendar")
        _check_part_time(where, person, scope)
        for key in ("skills", "apprentice_in"):
            names: tuple[str, ...] = getattr(person, key)
            for name in names:
                scope.refer(f"{where}.{key}", name, skills, "a skill")
            for name in repeated(names):
                scope.fault(f"{where}.{key}", f"'{name}' more than once", "each once")
        for name in sorted(set(person.skills) & set(person.apprentice_in)):
            found = f"'{name}', which is among the skills"
            expected = "a skill that they do not have in full"
            scope.fault(f"{where}.apprentice_in", found, expected)


def _check_part_time(where: str, person: Person, scope: YardScope) -> None:
    part, tick = person.part_time, scope.yard.tick_minutes
    calendars = {one.id: one for one in scope.yard.calendars}
    if part is None or person.calendar not in calendars:
        return
    for at in (part.start, part.end):
        if at is not None and at.minute % tick:
            expected = f"a time on a tick of {tick} minutes"
            scope.fault(f"{where}.part_time", f"{at:%H:%M}", expected)
    if not own_hours(person, calendars[person.calendar]).shifts:
        expected = f"days and hours of the calendar '{person.calendar}'"
        scope.fault(f"{where}.part_time", "none of its hours", expected)


def _check_ticks(calendar: TradeCalendar, scope: YardScope) -> None:
    tick = scope.yard.tick_minutes
    for shift in calendar.shifts:
        readings = [shift.start, shift.end, *(at for one in shift.breaks for at in one)]
        for at in readings:
            if at.minute % tick:
                scope.fault(
                    f"calendars.{calendar.id}.shifts",
                    f"{at:%H:%M}",
                    f"a time on a tick of {tick} minutes",
                )


def _check_overlaps(calendar: TradeCalendar, scope: YardScope) -> None:
    for one, other in combinations(calendar.shifts, 2):
        shared = set(one.days) & set(other.days)
        if shared and one.start < _end(other) and other.start < _end(one):
            scope.fault(
                f"calendars.{calendar.id}.shifts",
                f"shifts from {one.start:%H:%M} and {other.start:%H:%M} that overlap",
                "shifts of one day that do not overlap",
            )


def _end(shift: Shift) -> time:
    return time.max if shift.end == time(0) else shift.end
