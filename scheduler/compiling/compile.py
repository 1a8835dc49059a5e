"""Turn a problem into flat arrays, and keep the names that lead back."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any

import numpy as np

from models.calendars import working_days
from scheduler.compiling.arrays import (
    BY_DUE_DATES,
    DONE,
    FAR,
    FREE,
    I32,
    PINNED,
    STARTED,
    Arrays,
)
from scheduler.compiling.crews import drop_large_crews, fitting_crews, most_at_once
from scheduler.compiling.cures import compile_cures
from scheduler.compiling.holds import compile_holds
from scheduler.compiling.openings import compile_openings
from scheduler.compiling.people import (
    Kinds,
    given_people,
    named_people,
    pack_people,
    share_offsets,
    sort_kinds,
)
from scheduler.compiling.services import compile_services
from scheduler.compiling.setups import compile_setups
from scheduler.compiling.standing import (
    asked_skills,
    count_leads,
    counted_skills,
    led_skills,
)
from scheduler.compiling.time_tables import build_tracks, masks_of_people
from scheduler.compiling.traits import find_traits
from scheduler.compiling.waits import compile_waits, plain_waits
from scheduler.cp_model.skill_subsets import unimplied_subsets
from scheduler.overtime import stands_open, with_opened
from scheduler.service_work import with_services

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Sequence

    from scheduler.problem import Committed, Operation, Order, Problem


@dataclass(frozen=True)
class Compilation:
    """Flat arrays with the names that lead back to the problem."""

    problem: Problem  # with services as orders, and the windows open that are
    stated: Problem  # as it was given
    opened: frozenset[str]  # windows of overtime
    arrays: Arrays
    operations: tuple[str, ...]  # ids, by index
    index_of: dict[str, int]
    orders: tuple[str, ...]  # by boat index
    resources: tuple[str, ...]  # mold and place ids, by resource index
    skills: tuple[str, ...]
    subsets: tuple[frozenset[str], ...]  # of skills, apprentices counted in full
    crew_sets: tuple[frozenset[str], ...]  # of skills and leads, to man every crew
    stations: tuple[str, ...]  # those with a capacity
    days: tuple[date, ...]  # working days of the delivery calendar
    hold_parts: tuple[tuple[str, str], ...]  # order and part of each hold
    service_of: dict[str, str]  # mold, by orders that are services by people
    person_free: dict[str, np.ndarray]  # by person: at work, by work-axis position
    kinds: Kinds


def worked_ticks(hours: float, crew: int, tick_minutes: int) -> int:
    """Elapsed worked ticks of labor hours shared by a crew, rounded up.

    A millionth of a millionth of an hour of slack keeps sums such as 24 h / 3 people
    from being rounded up by the last bit of a floating-point number.
    """
    return max(0, int(-((-(hours - 1e-9) * 60) // (crew * tick_minutes))))


def operation_lengths(operation: Operation, tick_minutes: int) -> list[int]:
    """Worked ticks for each crew size from `crew_min` to `crew_max`."""
    if operation.skill is None:
        minutes = operation.duration_minutes or 0
        return [-(-minutes // tick_minutes)]
    hours = (
        operation.labor_hours
        if operation.remaining_hours is None
        else operation.remaining_hours
    )
    return [
        worked_ticks(hours, crew, tick_minutes)
        for crew in range(operation.crew_min, operation.crew_max + 1)
    ]


def compile_problem(
    stated: Problem, goal: int = BY_DUE_DATES, opened: Collection[str] | None = None
) -> Compilation:
    """Build the flat arrays of a problem, with what plans are measured by first.

    `opened` are the ids of the windows of overtime that are open; by default those in
    which work stands.
    """
    opened = frozenset(stands_open(stated) if opened is None else opened)
    serviced = with_services(stated)
    problem = with_opened(serviced.problem, opened)
    operations = problem.operations
    index_of = {one.id: index for index, one in enumerate(operations)}
    boats = tuple(order.order for order in problem.orders)
    boat_index = {order: index for index, order in enumerate(boats)}
    tracks = build_tracks(problem)
    committed = {one.operation: one for one in problem.committed}
    skills = tuple(sorted({one.skill for one in operations if one.skill}))
    skill_index = {skill: index for index, skill in enumerate(skills)}
    led = led_skills(problem.people)
    counted = {one.id: counted_skills(one, skills, led) for one in problem.people}
    stations = tuple(one.id for one in problem.stations if one.capacity is not None)
    person_free, resting = masks_of_people(problem, tracks)
    kinds = sort_kinds(
        counted,
        person_free,
        tracks.ref_of,
        named_people(committed),
    )
    lengths = [operation_lengths(one, problem.axis.tick_minutes) for one in operations]
    crew_min = fitting_crews(operations, lengths, tracks)
    binding, fixed = _bindings(operations, committed)
    drop_large_crews(
        operations, lengths, crew_min, fixed[2], most_at_once(counted, person_free)
    )
    holds = compile_holds(problem, index_of, boat_index, committed, lengths)
    days, day_index, due = _due_days(problem)
    setups, earliest = compile_setups(problem, binding, lengths)
    station_index = {station: index for index, station in enumerate(stations)}
    demands = [
        [(station_index[name], amount) for name, amount in one.demands]
        for one in operations
    ]
    boat_of = _i32([boat_index[one.order] for one in operations])
    waits, by_waits = compile_waits(problem, index_of, tracks, binding, boat_of)
    cures = compile_cures(problem)
    listed = {
        **waits,
        **setups,
        **compile_openings(problem),
        **_clashes(problem, index_of),
        **holds.arrays,
        "demand_at": offsets(demands),
    }
    people = pack_people(skills, kinds, person_free, resting, tracks)
    work: dict[str, Any] = {
        "skill": _i32([skill_index.get(one.skill or "", -1) for one in operations]),
        "crew_min": crew_min,
        "crew_max": crew_min + _i32([len(row) - 1 for row in lengths]),
        "leads": count_leads(operations, led),
        "length_at": offsets(lengths),
        "length_of": offsets(lengths)[:-1] - crew_min,
        "length": flat(lengths),
        "one_go": np.array([one.one_go for one in operations], np.int8),
        "fixed_crew": fixed[2],
    }
    track = _i32([tracks.of_operation(one) for one in operations])
    boat_fixed = _fixed_boats(boat_of, binding, fixed[1], len(boats))
    rates = problem.objective
    arrays = Arrays(
        ticks=problem.axis.ticks,
        now=problem.now,
        ticks_per_day=problem.axis.ticks_per_day,
        goal=goal,
        leading=_count_leading(holds.arrays, boat_fixed),
        boats=len(boats) - len(serviced.mold_of),
        complete=int(serviced.complete),
        ref_of=tracks.ref_of,
        position_at=tracks.position_at,
        track_at=tracks.track_at,
        open_position=tracks.open_position,
        run_end=tracks.run_end,
        run_begin=tracks.run_begin,
        in_break=tracks.in_break,
        open_index=tracks.open_index,
        segment_of=tracks.segment_of,
        segment_in=tracks.segment_of[tracks.open_position],
        segment_at=tracks.segment_at,
        boat_of=boat_of,
        track=track,
        **work,
        earliest=earliest,
        binding=binding,
        fixed_start=fixed[0],
        fixed_finish=fixed[1],
        traits=find_traits({**listed, **people, **work}, by_waits),
        **listed,
        **cures,
        **plain_waits(waits, cures["wait_cure"]),
        demand_station=flat([[name for name, _ in row] for row in demands]),
        demand_amount=flat([[amount for _, amount in row] for row in demands]),
        station_capacity=_i32(
            [one.capacity for one in problem.stations if one.capacity is not None]
        ),
        boat_at=_i32(np.searchsorted(boat_of, np.arange(len(boats) + 1))),
        boat_due=due,
        boat_model=_models(problem.orders),
        boat_weight=np.array([one.weight for one in problem.orders], np.int64),
        boat_fixed=boat_fixed,
        day_index=day_index,
        **compile_services(problem, holds.arrays["slot_resource"], serviced.mold_of),
        **people,
        **given_people(operations, committed, kinds, problem.axis.ticks),
        share_at=share_offsets(tracks, track, work["skill"], lengths),
        flow_rate=rates.flow_day_rate,
    )
    return Compilation(
        problem=problem,
        stated=stated,
        opened=opened,
        arrays=arrays,
        operations=tuple(one.id for one in operations),
        index_of=index_of,
        orders=boats,
        resources=holds.resources,
        skills=skills,
        subsets=unimplied_subsets(skills, counted.values()),
        crew_sets=unimplied_subsets(asked_skills(skills, led), counted.values()),
        stations=stations,
        days=days,
        hold_parts=holds.parts,
        service_of=serviced.mold_of,
        person_free=person_free,
        kinds=kinds,
    )


def _i32(values: Iterable[int] | np.ndarray) -> I32:
    return np.asarray(
        values if isinstance(values, np.ndarray) else list(values), dtype=np.int32
    )


def offsets(rows: Sequence[Sequence[int] | Sequence[tuple[int, int]]]) -> I32:
    """Offsets of variable-length rows laid end to end."""
    return np.concatenate([[0], np.cumsum([len(row) for row in rows])]).astype(np.int32)


def flat(rows: Sequence[Sequence[int]]) -> I32:
    """Variable-length rows laid end to end."""
    return _i32([value for row in rows for value in row])


def _models(orders: Sequence[Order]) -> I32:
    names = sorted({one.model for one in orders})
    return _i32([names.index(one.model) for one in orders])


def _bindings(
    operations: Sequence[Operation], committed: dict[str, Committed]
) -> tuple[np.ndarray, tuple[I32, I32, I32]]:
    """How each operation is bound, and its given start, finish and crew."""
    count = len(operations)
    binding = np.zeros(count, np.int8)
    start, finish, crew = (np.zeros(count, np.int32) for _ in range(3))
    for index, one in enumerate(operations):
        given = committed.get(one.id)
        if given is None:
            continue
        start[index] = -1 if given.start is None else given.start
        finish[index] = -1 if given.finish is None else given.finish
        crew[index] = len(given.people) if given.crew is None else given.crew
        if given.why == "done":
            binding[index] = DONE
        elif given.why == "started":
            binding[index] = STARTED
            if given.finish is None:
                crew[index] = 0
        elif given.start is None:
            binding[index] = FREE
        else:
            binding[index] = PINNED
            if one.skill and crew[index] == 0:
                crew[index] = one.crew_max
        if one.skill and crew[index] and binding[index] != DONE:
            crew[index] = min(max(crew[index], one.crew_min), one.crew_max)
    return binding, (start, finish, crew)


def _fixed_boats(
    boat_of: I32, binding: np.ndarray, finish: I32, boats: int
) -> np.ndarray:
    loose = (binding == FREE) | ((binding == STARTED) & (finish < 0))
    open_work = np.bincount(boat_of, weights=loose, minlength=boats)
    fixed: np.ndarray = (open_work == 0).astype(np.int8)
    return fixed


def _count_leading(holds: dict[str, Any], boat_fixed: np.ndarray) -> int:
    """How many open boats hold a mold or place whose end is not decided."""
    boats = np.unique(holds["part_boat"][holds["hold_part"][holds["hold_open"] != 0]])
    return int((boat_fixed[boats] == 0).sum())


def _clashes(problem: Problem, index_of: dict[str, int]) -> dict[str, Any]:
    """Pairs that share a part, one of them exclusive, and no wait already orders."""
    followers = _followers(problem, index_of)
    by_order: dict[str, list[Operation]] = {}
    for one in problem.operations:
        by_order.setdefault(one.order, []).append(one)
    rows: list[list[int]] = [[] for _ in problem.operations]
    for own in by_order.values():
        base = index_of[own[0].id]
        parts = [frozenset(one.parts) for one in own]
        for first in (place for place, one in enumerate(own) if one.exclusive_part):
            after = followers[base + first]
            for second, one in enumerate(own):
                if second == first or (one.exclusive_part and second < first):
                    continue  # itself, or a pair seen from its other side
                behind = second > first
                if (
                    after >> second if behind else followers[base + second] >> first
                ) & 1:
                    continue
                if not parts[first].isdisjoint(parts[second]):
                    rows[base + first].append(base + second)
                    rows[base + second].append(base + first)
    rows = [sorted(row) for row in rows]
    return {"clash_at": offsets(rows), "clash_list": flat(rows)}


def _followers(problem: Problem, index_of: dict[str, int]) -> list[int]:
    """Per operation, as bits from its boat's first on: what starts after its end."""
    first_of: dict[str, int] = {}
    for index, one in enumerate(problem.operations):
        first_of.setdefault(one.order, index)
    direct: list[list[int]] = [[] for _ in problem.operations]
    for wait in problem.waits:
        if wait.before_of == "end" and wait.after_of == "start":
            direct[index_of[wait.before]].append(index_of[wait.after])
    bits = [0] * len(direct)
    for index in range(len(direct) - 1, -1, -1):
        base = first_of[problem.operations[index].order]
        for after in direct[index]:
            bits[index] |= 1 << (after - base) | bits[after]
    return bits


def _due_days(problem: Problem) -> tuple[tuple[date, ...], I32, I32]:
    """Working days, how many of them end before each tick, and each boat's due day."""
    calendar = next(
        one for one in problem.calendars if one.id == problem.delivery_calendar
    )
    days = working_days(calendar.open, problem.axis)
    ends = np.array([end for _, end in days], np.int64)
    day_index = np.searchsorted(ends, np.arange(problem.axis.ticks + 1), side="left")
    dates = tuple(day for day, _ in days)
    due = []
    for order in problem.orders:
        text = order.promised or order.wanted
        if text is None or date.fromisoformat(text) > dates[-1]:
            due.append(int(FAR))
        else:
            due.append(sum(day <= date.fromisoformat(text) for day in dates) - 1)
    return dates, _i32(day_index), _i32(due)
