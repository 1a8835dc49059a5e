"""A small, complete and valid plan, laid out by hand on paper and typed in.

Every rule of a plan is at work in it once at least; what the levels come to was added
up by hand (see `LEVELS`).
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from scheduler.plan import (
    Answer,
    Level,
    Move,
    Occupation,
    OrderResult,
    Overtime,
    Plan,
    Planned,
    Service,
)
from scheduler.plan_file import plan_to_json
from scheduler.problem import OvertimeLimit, OvertimeWindow, Stint
from tests.scheduler.small_yard import at, small_problem, spans

# One boat's hours by station and ISO week (8, 15, 22, 29 March), added by hand:
#   mold room   5.5  6.5  3    0    squares about the mean 3.75     25.25
#   booth      10    4    0    0                           3.5      67
#   lay-up     22   12    0    0                           8.5     339
#   assembly    0    4    4    0                           2        16
#   rigging     0   15   41    0                          14      1122
# Molds are held 236.5 + 198.5 + 140.75 + 140 h, places 198 + 139.5 + 140.5 + 168 h,
# boats are in work 433 + 429 h: (3 x 715.75 + 2 x 646 + 862) / 24 = 179.21875 days.
LEVELS = {
    "tardiness": 6.0,  # B101: two working days, weight 3
    "overtime": 0.0,
    "changes": 3.0,  # join on another day, two people replaced
    "work_in_process": 179.21875,
    "leveling": 1569.25,
}


def _planned(
    id: str, worked: str, people: str = "", mold: str | None = None, place: str = ""
) -> Planned:
    """One operation; `worked` has spans apart by `;`, everybody is on all of them."""
    segments = spans(*(text.strip() for text in worked.split(";")))
    first, last = segments[0][0], segments[-1][1]
    stints = tuple(Stint(person, first, last) for person in people.split())
    crew = len(stints)
    return Planned(id, first, last, segments, crew, stints, mold, place or None)


def _rig_of_first_boat() -> Planned:
    segments = spans(
        *("03-18 08:00 12:00", "03-18 12:30 15:30", "03-19 07:00 12:00"),
        *("03-19 12:30 15:30", "03-22 07:00 12:00", "03-22 12:30 15:30"),
        "03-23 07:00 12:00",
    )
    stints = (
        Stint("RG-01", at("03-18 08:00"), at("03-19 15:30")),
        Stint("RG-02", at("03-22 07:00"), at("03-23 12:00")),
    )
    start, finish = segments[0][0], segments[-1][1]
    return Planned("B101/final.rig", start, finish, segments, 1, stints, None, None)


def _milestone(id: str, when: str, place: str) -> Planned:
    return Planned(id, at(when), at(when), (), 0, (), None, place)


def _first_boat() -> list[Planned]:
    done = (at("03-05 10:00"), at("03-05 12:00"))
    rest = spans("03-08 06:00 08:00")
    by = (Stint("LM-02", *rest[0]),)
    begun = at("03-05 13:00")
    return [
        Planned("B101/hull.prep", *done, (), 0, (), "H23-1", None),
        Planned("B101/deck.prep", begun, rest[0][1], rest, 1, by, "D23-1", None),
        _planned("B101/hull.gel_coat", "03-08 08:00 10:00", "LM-01 LM-03"),
        _planned("B101/hull.skin", "03-09 06:00 09:00", "LM-01 LM-02"),
        _planned("B101/deck.gel_coat", "03-09 09:15 10:45", "LM-01 LM-03"),
        _planned("B101/deck.skin", "03-10 06:00 08:30", "LM-01 LM-02"),
        _planned(
            "B101/deck.demold",
            "03-11 08:30 09:00; 03-11 09:15 09:45",
            "LM-01 LM-03",
            "D23-1",
            "Stand 1",
        ),
        _planned("B101/hull.laminate", "03-12 11:30 14:30", "LM-01 LM-03"),
        _planned(
            "B101/hull.demold", "03-15 06:00 07:30", "LM-01 LM-02", "H23-1", "Bay 1"
        ),
        _planned(
            "B101/final.join", "03-17 06:00 08:00", "LM-01 LM-02", None, "Stand 1"
        ),
        _rig_of_first_boat(),
        _milestone("B101/final.inspect", "03-23 12:00", "Bay 1"),
    ]


def _second_boat() -> list[Planned]:
    rig = "03-25 08:00 12:00; 03-25 12:30 15:30; 03-26 07:00 12:00; 03-26 12:30 14:30"
    return [
        _planned("B102/deck.prep", "03-11 10:00 11:30", "LM-04", "D23-1"),
        _planned("B102/deck.gel_coat", "03-11 12:30 14:00", "LM-01 LM-03"),
        _planned("B102/deck.skin", "03-12 06:00 08:30", "LM-01 LM-03"),
        _planned("B102/hull.prep", "03-15 07:30 09:00", "LM-03", "H23-1"),
        _planned("B102/hull.gel_coat", "03-15 09:15 11:15", "LM-01 LM-03"),
        _planned("B102/hull.skin", "03-16 06:00 09:00", "LM-01 LM-02"),
        # The deck stays in its mold until the stand is free: blocking.
        _planned(
            "B102/deck.demold", "03-17 06:00 07:00", "LM-03 LM-04", "D23-1", "Stand 1"
        ),
        _planned("B102/hull.laminate", "03-17 08:00 11:00", "LM-01 LM-02"),
        # So does the hull until the bay is.
        _planned(
            "B102/hull.demold", "03-23 12:30 14:00", "LM-01 LM-02", "H23-1", "Bay 1"
        ),
        _planned(
            "B102/final.join", "03-24 06:00 08:00", "LM-01 LM-02", None, "Stand 1"
        ),
        _planned("B102/final.rig", rig, "RG-01 RG-02"),
        _planned("B102/final.air_out", "03-26 14:30 15:30; 03-29 07:00 08:00"),
        _milestone("B102/final.inspect", "03-29 08:00", "Bay 1"),
    ]


def _occupations() -> tuple[Occupation, ...]:
    rows = """
        H23-1, B101, hull, 03-05 10:00, 03-15 07:30
        H23-1, B102, hull, 03-15 07:30, 03-23 14:00
        D23-1, B101, deck, 03-05 13:00, 03-11 09:45
        D23-1, B102, deck, 03-11 10:00, 03-17 07:00
        Bay 1, B101, hull, 03-15 06:00, 03-23 12:00
        Bay 1, B102, hull, 03-23 12:30, 03-29 08:00
        Stand 1, B101, deck, 03-11 08:30, 03-17 06:00
        Stand 1, B102, deck, 03-17 06:00, 03-24 06:00
    """
    split = [row.split(",") for row in rows.strip().splitlines()]
    cells = [[cell.strip() for cell in row] for row in split]
    return tuple(Occupation(*row[:3], at(row[3]), at(row[4])) for row in cells)


def small_plan() -> Plan:
    """The whole plan."""
    statuses = {"tardiness": (6.0, "proven"), "overtime": (0.0, "proven")}
    levels = [
        Level(name, value, *statuses.get(name, (None, "feasible")))
        for name, value in LEVELS.items()
    ]
    moved = at("03-10 09:15"), at("03-10 06:00")
    return Plan(
        problem=small_problem(),
        answer=Answer(
            operations=(*_first_boat(), *_second_boat()),
            occupations=_occupations(),
            orders=(
                OrderResult("B101", at("03-23 12:00"), None, 2),
                # Five working days after Monday 29 March, Friday 2 April off.
                OrderResult("B102", at("03-29 08:00"), "2027-04-06", 0),
            ),
            levels=tuple(levels),
            moves=(Move("B101/deck.skin", *moved, "LM-03 was away that morning"),),
        ),
        created="2027-03-07T18:00-05:00",
        versions={"hullpace": "0.1.0"},
        seed=1,
        budget={"seconds": 20.0, "work": None},
        inputs={"yard.toml": "0" * 64},
        method="by hand",
    )


def serviced_plan() -> Plan:
    """The plan with a deck mold that is serviced after five pulls, four made before."""
    plan = small_plan()
    needs = {"service_hours": 0.25, "service_calendar": "shop"}
    molds = tuple(
        replace(one, pulls=4, service_every=5, **needs) if one.id == "D23-1" else one
        for one in plan.problem.molds
    )
    service = Service("D23-1", at("03-11 09:45"), at("03-11 10:00"))
    return replace(
        plan,
        problem=replace(plan.problem, molds=molds),
        answer=replace(plan.answer, services=(service,)),
    )


def crewed_plan() -> Plan:
    """The plan with that service done by two laminators, LM-02 and LM-04."""
    plan = serviced_plan()
    needs = {"service_skill": "laminate", "service_crew": 2}
    molds = tuple(
        replace(one, **needs) if one.id == "D23-1" else one
        for one in plan.problem.molds
    )
    (service,) = plan.answer.services
    span = service.start, service.finish
    people = (Stint("LM-02", *span), Stint("LM-04", *span))
    services = (replace(service, people=people),)
    return replace(
        plan,
        problem=replace(plan.problem, molds=molds),
        answer=replace(plan.answer, services=services),
    )


def overtime_plan() -> Plan:
    """The plan with a skin begun before the shift, in a window of overtime.

    Two people work there from 04:30 to 06:00: 3 h at 40 are 120.
    """
    plan = small_plan()
    early = "B102/deck.skin"
    window = spans("03-12 04:00 06:00")[0]
    operations = tuple(
        _planned(early, "03-12 04:30 07:00", "LM-01 LM-03")
        if one.operation == early
        else one
        for one in plan.answer.operations
    )
    rows = tuple(
        Overtime("early 1", person, at("03-12 04:30"), at("03-12 06:00"))
        for person in ("LM-01", "LM-03")
    )
    levels = tuple(
        Level("overtime", 120.0, None, "feasible") if one.name == "overtime" else one
        for one in plan.answer.levels
    )
    return replace(
        plan,
        problem=replace(
            plan.problem,
            overtime=(
                OvertimeWindow(
                    "early 1", "lamination", window, 40.0, ("LM-01", "LM-03", "LM-04")
                ),
            ),
            overtime_limits=tuple(
                OvertimeLimit(person, 2, 4) for person in ("LM-01", "LM-03", "LM-04")
            ),
        ),
        answer=replace(
            plan.answer, operations=operations, overtime=rows, levels=levels
        ),
    )


def small_document() -> dict[str, Any]:
    """The plan as the objects of its file."""
    return plan_to_json(small_plan())
