"""What the constraint model minimizes: late days, work in process, or the makespan."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from scheduler.compiling.arrays import FAR
from scheduler.cp_model.moments import Moment
from scheduler.decoding.decoder import tardy_days

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from scheduler.cp_model.draft import Draft, Quantity
    from scheduler.cp_model.holds import Holds
    from scheduler.cp_model.setting import Setting
    from scheduler.cp_model.windows import Floor, Windows
    from scheduler.cp_model.work import Work
    from scheduler.solution import Solution

    Ints = NDArray[np.int64]

TARDINESS, WORK_IN_PROCESS, MAKESPAN = 0, 1, 2


def free_tardiness(setting: Setting, hint: Solution) -> int:
    """Weighted tardy days of the free boats in a plan."""
    return sum(_weighted(setting, boat, hint.finish) for boat in setting.boats)


def standing_tardiness(setting: Setting) -> int:
    """Weighted tardy days of the boats that stand."""
    return sum(_weighted(setting, boat, setting.finish) for boat in _standing(setting))


def _standing(setting: Setting) -> set[int]:
    """Boats with nothing to plan."""
    every = set(range(setting.a.boats))
    return every - set(setting.boats) - setting.left_out


def planned_boats(setting: Setting) -> list[int]:
    """The boats to be planned; a service of a mold is none of them."""
    return [boat for boat in setting.boats if boat < setting.a.boats]


def _weighted(setting: Setting, boat: int, finish: Any) -> int:
    a = setting.a
    last = int(finish[a.boat_at[boat] : a.boat_at[boat + 1]].max())
    return int(a.boat_weight[boat]) * tardy_days(a, boat, last)


def standing_work_in_process(setting: Setting, holds: Holds) -> int:
    """What boats and occupations that stand add to work in process."""
    a = setting.a
    total = 0
    for hold, (_, (begin, end)) in holds.standing.items():
        total += int(a.hold_rate[hold]) * (end - begin)
    for boat in _standing(setting):
        ops = slice(a.boat_at[boat], a.boat_at[boat + 1])
        flow = setting.finish[ops].max() - setting.start[ops].min()
        total += int(a.flow_rate) * int(flow)
    return total


def last_works(setting: Setting, works: dict[int, Work], boat: int) -> list[Work]:
    """The free operations of a boat that no other one follows."""
    a = setting.a
    first, last = int(a.boat_at[boat]), int(a.boat_at[boat + 1])
    return [works[op] for op in range(first, last) if op in works and _ends(a, op)]


def _ends(a: Any, op: int) -> bool:
    for k in range(a.successor_at[op], a.successor_at[op + 1]):
        wait = a.successor_list[k]
        if a.wait_before_end[wait] and a.binding[a.wait_after[wait]] == 0:
            return False
    return True


def add_tardiness(
    draft: Draft,
    setting: Setting,
    windows: Windows,
    works: dict[int, Work],
    limits: tuple[int | None, Sequence[Floor]],
) -> Any:
    """Late days of each boat, times its weight.

    `limits` are the most of them all, and the least that some boats come to.
    """
    most, floors = limits
    a = setting.a
    day_of = a.day_index.astype(np.int64)
    terms: dict[int, Any] = {}
    for boat in setting.boats:
        due, weight = int(a.boat_due[boat]), int(a.boat_weight[boat])
        if due >= FAR or weight == 0:
            continue
        lasts = [work.end.of(day_of) for work in last_works(setting, works, boat)]
        least = windows.least_tardy[boat]
        highest = max([least, *(day.high - due for day in lasts)])
        values = [day.value for day in lasts if day.value is not None]
        value = None
        if len(values) == len(lasts):
            value = max([least, *(day - due for day in values)])
        late = draft.whole(least, highest, value)
        for day in lasts:
            if day.high - due > least:
                draft.model.add(late.expr >= day.expr - due)
        terms[boat] = weight * late.expr
    total = sum(terms.values())
    if most is not None and terms:
        draft.model.add(total <= most)
    for boats, least in floors:
        known = [term for boat, term in terms.items() if boat in boats]
        if known and least > 0:
            draft.model.add(sum(known) >= least)
    return total


def add_work_in_process(
    draft: Draft, setting: Setting, works: dict[int, Work], holds: Holds
) -> Any:
    """Time in molds and places and from first start to finish, at their rates."""
    a = setting.a
    terms: list[Any] = []
    for stay in holds.stays:
        rate = int(a.hold_rate[stay.hold])
        if rate:
            begin, end = _tick(setting, stay.begin), _tick(setting, stay.end)
            terms.append(rate * (end - begin))
    for boat in planned_boats(setting):
        terms.append(int(a.flow_rate) * _flow(draft, setting, works, boat))
    return sum(terms)


def _tick(setting: Setting, moment: Moment | int) -> Any:
    if isinstance(moment, int):
        return moment
    return moment.on(setting.axes.all).expr


def _flow(draft: Draft, setting: Setting, works: dict[int, Work], boat: int) -> Any:
    """Finish less first start of a boat."""
    a = setting.a
    ops = range(int(a.boat_at[boat]), int(a.boat_at[boat + 1]))
    starts: list[Quantity] = []
    given_starts = []
    for op in ops:
        if op in works and works[op].job.begun is None:
            starts.append(works[op].start.on(setting.axes.all))
        else:
            begun = works[op].job.begun if op in works else None
            given_starts.append(int(setting.start[op]) if begun is None else begun)
    ends = [work.end.on(setting.axes.all) for work in last_works(setting, works, boat)]
    given_ends = [int(setting.finish[op]) for op in ops if op not in works]
    first = _extreme(draft, starts, given_starts, -1)
    last = _extreme(draft, ends, given_ends, 1)
    return last - first


def _extreme(draft: Draft, free: list[Quantity], given: list[int], sign: int) -> Any:
    """The largest (sign 1) or smallest (-1) of some numbers, as the goal pushes it."""
    edge = max if sign > 0 else min
    if not free:
        return edge(given)
    values = [one.value for one in free if one.value is not None]
    value = edge([*values, *given]) if len(values) == len(free) else None
    lows, highs = [one.low for one in free], [one.high for one in free]
    number = draft.whole(edge([*lows, *given]), edge([*highs, *given]), value)
    for one in free:
        if sign > 0:
            draft.model.add(number.expr >= one.expr)
        else:
            draft.model.add(number.expr <= one.expr)
    return number.expr


def add_makespan(draft: Draft, setting: Setting, works: dict[int, Work]) -> Any:
    """The last finish of all operations."""
    ends = [
        work.end.on(setting.axes.all)
        for boat in planned_boats(setting)
        for work in last_works(setting, works, boat)
    ]
    stands = ~setting.is_free & (setting.a.boat_of < setting.a.boats)
    given = int(setting.finish[stands].max(initial=0))
    return _extreme(draft, ends, [given], 1)
