"""Occupations of molds and places as *holds*, and the slots that can take them.

A hold is one part in one mold, or one part in one place. A slot is a mold, or one
unit of a place that has room for several parts. A limit on work in process is a place
that costs nothing, has room for so many boats, and is listed nowhere.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from scheduler.compiling.arrays import PULL, REPAIR, SERVICED
from scheduler.servicing import SERVICE, is_pull

if TYPE_CHECKING:
    from scheduler.problem import Committed, Order, Part, Problem, Span


@dataclass(frozen=True)
class Holds:
    """Arrays of the holds, resource ids by index, and (order, part) of each hold."""

    arrays: dict[str, Any]
    resources: tuple[str, ...]
    parts: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class _Hold:
    part: int
    boat: int
    is_place: bool
    begin: int
    end: int
    to_end: bool
    candidates: tuple[int, ...]  # slots; only those of the mold or place if given
    is_open: bool
    active: bool
    rate: int = 0  # of level 4, per tick
    is_limit: bool = False


def compile_holds(
    problem: Problem,
    index_of: dict[str, int],
    boat_index: dict[str, int],
    committed: dict[str, Committed],
    lengths: list[list[int]],
) -> Holds:
    """List every hold, its candidate slots and the operations that bound it."""
    resources, slot_resource, slots_of, outages = _slots(problem)
    limit_slots = _limit_slots(problem, len(resources), slot_resource, outages)
    resources += tuple(f"limit {one.id}" for one in problem.limits)
    models = {order.order: order.model for order in problem.orders}
    mold_rate = problem.objective.mold_day_rate
    place_rate = problem.objective.place_day_rate
    services = {one.order for one in problem.orders if one.kind == SERVICE}
    holds: list[_Hold] = []
    for number, part in enumerate(problem.parts):
        boat = boat_index[part.order]
        if part.mold_from is not None and part.mold_to is not None:
            names = [
                mold.id
                for mold in problem.molds
                if mold.part == part.part and models[part.order] in mold.models
            ]
            holds.append(
                _hold(
                    number,
                    boat,
                    part,
                    False,
                    names,
                    index_of,
                    committed,
                    slots_of,
                    0 if part.order in services else mold_rate,
                )
            )
        if part.place_from is not None and part.place_to is not None:
            names = [
                place.id
                for place in problem.places
                if place.kind == part.place_kind
                and (not place.models or models[part.order] in place.models)
            ]
            holds.append(
                _hold(
                    number,
                    boat,
                    part,
                    True,
                    names,
                    index_of,
                    committed,
                    slots_of,
                    place_rate,
                )
            )
    holds += _limit_holds(problem, index_of, boat_index, committed, limit_slots)
    least = _least_lengths(problem, holds, index_of, lengths)
    operations = len(problem.operations)
    begin: list[list[int]] = [[] for _ in range(operations)]
    end: list[list[int]] = [[] for _ in range(operations)]
    for index, hold in enumerate(holds):
        begin[hold.begin].append(index)
        end[hold.end].append(index)
    demand = np.bincount(
        [slot for hold in holds for slot in hold.candidates],
        minlength=len(slot_resource) or 1,
    )
    room = int(demand.max(initial=0)) + max((len(o) for o in outages), default=0) + 2
    serviced = {
        slot
        for slot, resource in enumerate(slot_resource)
        if resource < len(problem.molds)
        and problem.molds[resource].service_every is not None
    }
    arrays = {
        "part_boat": _i32(
            [boat_index[part.order] for part in problem.parts]
            + [hold.boat for hold in holds if hold.is_limit]
        ),
        "hold_part": _i32([hold.part for hold in holds]),
        "hold_is_place": np.array([hold.is_place for hold in holds], np.int8),
        "hold_from": _i32([hold.begin for hold in holds]),
        "hold_to": _i32([hold.end for hold in holds]),
        "hold_to_end": np.array([hold.to_end for hold in holds], np.int8),
        "hold_is_limit": np.array([hold.is_limit for hold in holds], np.int8),
        "hold_rate": np.array([hold.rate for hold in holds], np.int64),
        "hold_least": _i32(least),
        "hold_open": np.array([hold.is_open for hold in holds], np.int8),
        "hold_active": np.array([hold.active for hold in holds], np.int8),
        "hold_pull": np.array(
            [_as_pull(problem.orders[hold.boat]) for hold in holds], np.int8
        ),
        "candidate_at": _offsets([hold.candidates for hold in holds]),
        "candidate_slot": _flat([hold.candidates for hold in holds]),
        "candidate_row": np.array(
            [_in_a_row(hold.candidates, serviced) for hold in holds], np.int8
        ),
        "begin_at": _offsets(begin),
        "begin_list": _flat(begin),
        "end_at": _offsets(end),
        "end_list": _flat(end),
        "slot_resource": _i32(slot_resource),
        "slot_room": room,
        "outage_at": _offsets(outages),
        "outage_from": _i32([a for spans in outages for a, _ in spans]),
        "outage_to": _i32([b for spans in outages for _, b in spans]),
    }
    parts = tuple(
        (problem.orders[hold.boat].order, "")
        if hold.is_limit
        else (problem.parts[hold.part].order, problem.parts[hold.part].part)
        for hold in holds
    )
    return Holds(arrays, resources, parts)


def _as_pull(order: Order) -> int:
    """What a hold of an order is to its mold."""
    if order.kind == SERVICE:
        return SERVICED
    return PULL if is_pull(order) else REPAIR


def _in_a_row(candidates: tuple[int, ...], serviced: set[int]) -> bool:
    """Whether slots are neighbors by number, and no pulls of theirs are counted."""
    first, count = min(candidates, default=0), len(candidates)
    row = candidates == tuple(range(first, first + count))
    return row and serviced.isdisjoint(candidates)


def _slots(
    problem: Problem,
) -> tuple[tuple[str, ...], list[int], dict[str, list[int]], list[tuple[Span, ...]]]:
    resources = (
        *(one.id for one in problem.molds),
        *(one.id for one in problem.places),
    )
    slot_resource: list[int] = []
    slots_of: dict[str, list[int]] = {}
    outages: list[tuple[Span, ...]] = []
    capacities = [1] * len(problem.molds) + [one.capacity for one in problem.places]
    unavailable = [one.unavailable for one in problem.molds]
    unavailable += [one.unavailable for one in problem.places]
    for index, resource in enumerate(resources):
        for _ in range(capacities[index]):
            slots_of.setdefault(resource, []).append(len(slot_resource))
            slot_resource.append(index)
            outages.append(tuple(sorted(unavailable[index])))
    return resources, slot_resource, slots_of, outages


def _limit_slots(
    problem: Problem,
    first: int,
    slot_resource: list[int],
    outages: list[tuple[Span, ...]],
) -> list[tuple[int, ...]]:
    """Add the slots of each limit; never more than there are orders to fill them."""
    out = []
    for number, limit in enumerate(problem.limits):
        count = min(limit.max, len(problem.orders))
        out.append(tuple(range(len(slot_resource), len(slot_resource) + count)))
        slot_resource += [first + number] * count
        outages += [()] * count
    return out


def _limit_holds(
    problem: Problem,
    index_of: dict[str, int],
    boat_index: dict[str, int],
    committed: dict[str, Committed],
    slots: list[tuple[int, ...]],
) -> list[_Hold]:
    """Each order's stay between the two operations of each limit that binds it."""
    ids = {(one.order, one.code): one.id for one in problem.operations}
    part = len(problem.parts)
    out: list[_Hold] = []
    for limit, own in zip(problem.limits, slots, strict=True):
        for order, boat in boat_index.items():
            first = ids.get((order, limit.from_operation_code))
            last = ids.get((order, limit.to_operation_code))
            if first is None or last is None:
                continue
            begin, end = committed.get(first), committed.get(last)
            over = end is not None and end.why == "done"
            bounded = end is not None and end.start is not None and end.why != "started"
            begun = begin is not None and begin.start is not None
            hold = _Hold(
                part=part + len(out),
                boat=boat,
                is_place=True,
                begin=index_of[first],
                end=index_of[last],
                to_end=True,
                candidates=own,
                is_open=begun and not over and not bounded,
                active=not over,
                is_limit=True,
            )
            out.append(hold)
    return out


def _hold(
    number: int,
    boat: int,
    part: Part,
    is_place: bool,
    names: list[str],
    index_of: dict[str, int],
    committed: dict[str, Committed],
    slots_of: dict[str, list[int]],
    rate: int,
) -> _Hold:
    begin_id = part.place_from if is_place else part.mold_from
    end_id = part.place_to if is_place else part.mold_to
    assert begin_id is not None
    assert end_id is not None
    begin, end = committed.get(begin_id), committed.get(end_id)
    given = None
    for fact in (begin, end):
        if fact is not None:
            given = given or (fact.place if is_place else fact.mold)
    if given is not None:
        names = [given]
    to_end = part.place_to_of == "end" if is_place else True
    begun = begin is not None and begin.start is not None
    over = end is not None and (
        end.why == "done" or (not to_end and end.why == "started")
    )
    bounded = end is not None and end.start is not None and end.why != "started"
    return _Hold(
        part=number,
        boat=boat,
        is_place=is_place,
        begin=index_of[begin_id],
        end=index_of[end_id],
        to_end=to_end,
        candidates=tuple(slot for name in names for slot in slots_of.get(name, ())),
        is_open=begun and not over and not bounded,
        active=not over,
        rate=rate,
    )


def _least_lengths(
    problem: Problem,
    holds: list[_Hold],
    index_of: dict[str, int],
    lengths: list[list[int]],
) -> list[int]:
    """Longest chain of work and minimum wall waits inside each hold, in ticks."""
    tick = problem.axis.tick_minutes
    arcs: list[list[tuple[int, int]]] = [[] for _ in problem.operations]
    shortest = [min(row) for row in lengths]
    for wait in problem.waits:
        if wait.after_of == "start":
            before, after = index_of[wait.before], index_of[wait.after]
            least = -(-wait.min_minutes // tick) if wait.clock == "wall" else 0
            worked = shortest[before] if wait.before_of == "end" else 0
            arcs[before].append((after, worked + least))
    out = []
    for hold in holds:
        reach = {hold.begin: 0}
        for index in range(hold.begin, hold.end + 1):
            if index in reach:
                for after, gap in arcs[index]:
                    reach[after] = max(reach.get(after, 0), reach[index] + gap)
        least = reach.get(hold.end, 0) + (shortest[hold.end] if hold.to_end else 0)
        out.append(max(1, least))
    return out


def _i32(values: list[int]) -> np.ndarray:
    return np.array(values, np.int32)


def _offsets(rows: Any) -> np.ndarray:
    return np.concatenate([[0], np.cumsum([len(row) for row in rows])]).astype(np.int32)


def _flat(rows: Any) -> np.ndarray:
    return np.array([value for row in rows for value in row], np.int32)
