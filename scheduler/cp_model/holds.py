"""Molds and places in the constraint model.

An occupation is an interval from one moment to another. Slots that nothing tells
apart form a pool: a cumulative of as many as there are, and the slots are given
afterwards in order of time, which never fails. A hull that waits for its bay blocks
its mold, because demolding ends the one occupation and begins the other.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from scheduler.cp_model.moments import Moment
from scheduler.cp_model.services import add_services, serviced_slots
from scheduler.cp_model.work import is_absent, keep_off

if TYPE_CHECKING:
    from scheduler.compiling.arrays import Arrays
    from scheduler.cp_model.axes import TickAxis
    from scheduler.cp_model.draft import Draft, Literal
    from scheduler.cp_model.setting import Setting
    from scheduler.cp_model.work import Work

Span = tuple[int, int]


@dataclass
class Stay:
    """One occupation: from a moment (or a given tick) to another."""

    hold: int
    begin: Moment | int
    end: Moment | int
    slots: tuple[int, ...]
    ends_with_work: bool
    there: Literal = True
    presence: dict[int, Literal] = field(default_factory=dict)  # by pool
    sizes: dict[int, Any] = field(default_factory=dict)  # by axis

    @property
    def low(self) -> int:
        """Earliest begin."""
        return self.begin if isinstance(self.begin, int) else self.begin.low


@dataclass
class Pool:
    """Slots alike: what is taken of all of them, and what already fills single ones."""

    slots: tuple[int, ...]
    spans: tuple[Span, ...]
    filled: dict[int, int]  # slot -> until when
    stays: list[Stay] = field(default_factory=list)


@dataclass
class Holds:
    """All occupations of the model."""

    stays: list[Stay]
    pools: list[Pool]
    standing: dict[int, tuple[int, Span]]  # hold -> slot and span


def add_holds(draft: Draft, setting: Setting, works: dict[int, Work]) -> Holds:
    """Add the occupations of the free boats; those that stand bar their slots."""
    stays, standing = _list_stays(setting, works)
    serviced = serviced_slots(setting.a, stays, standing)
    pools = _make_pools(setting.a, stays, standing, serviced)
    pool_of = {slot: number for number, pool in enumerate(pools) for slot in pool.slots}
    for stay in stays:
        own = sorted({pool_of[slot] for slot in stay.slots})
        hinted = None
        if setting.hint is not None:
            hinted = pool_of.get(int(setting.hint.hold_slot[stay.hold]))
        for number in own:
            chosen = None if hinted is None else number == hinted
            literal = stay.there if len(own) == 1 else draft.choice(chosen)
            stay.presence[number] = literal
            pools[number].stays.append(stay)
        if len(own) > 1:
            draft.model.add_exactly_one(list(stay.presence.values()))
    for number, pool in enumerate(pools):
        _add_pool(draft, setting, pool, number)
        if pool.stays and serviced & set(pool.slots):
            there = [(stay, stay.presence[number]) for stay in pool.stays]
            add_services(draft, setting, pool.slots[0], there, standing)
    return Holds(stays, pools, standing)


def _list_stays(
    setting: Setting, works: dict[int, Work]
) -> tuple[list[Stay], dict[int, tuple[int, Span]]]:
    a = setting.a
    stays, standing = [], {}
    for hold in range(len(a.hold_from)):
        first, last = int(a.hold_from[hold]), int(a.hold_to[hold])
        if not a.hold_active[hold] or setting.is_left_out[first]:
            continue
        begin: Moment | int
        end: Moment | int
        if first not in works and is_absent(setting, first):
            continue
        if first in works and works[first].job.begun is None:
            begin = works[first].start
        else:
            begin = int(setting.start[first])
        to_end = bool(a.hold_to_end[hold])
        if last in works:
            end = works[last].end if to_end else works[last].start
        else:
            end = int(setting.finish[last] if to_end else setting.start[last])
        slots = tuple(
            int(slot)
            for slot in a.candidate_slot[
                a.candidate_at[hold] : a.candidate_at[hold + 1]
            ]
        )
        known = int(setting.hold_slot[hold])
        if isinstance(begin, int) and isinstance(end, int) and known >= 0:
            standing[hold] = known, (begin, end)
        else:
            there = works[first].there if first in works else True
            stays.append(Stay(hold, begin, end, slots, to_end, there))
    return stays, standing


def _make_pools(
    a: Arrays,
    stays: list[Stay],
    standing: dict[int, tuple[int, Span]],
    serviced: set[int],
) -> list[Pool]:
    """Put slots together that the stays to be planned cannot tell apart.

    Pulls of a mold that may come to need service are counted, so it is on its own.

    A stay that begins before all others in a slot of its own only fills that slot
    for a while at the start, which giving slots in order of time takes care of.
    """
    taken: dict[int, list[Span]] = defaultdict(list)
    for slot, span in standing.values():
        taken[slot].append(span)
    for slot in {slot for stay in stays for slot in stay.slots}:
        for k in range(a.outage_at[slot], a.outage_at[slot + 1]):
            taken[slot].append((int(a.outage_from[k]), int(a.outage_to[k])))
    first = min((stay.low for stay in stays if not _leads(stay)), default=a.ticks)
    leading: dict[int, list[Stay]] = defaultdict(list)
    others: dict[int, list[int]] = defaultdict(list)
    for number, stay in enumerate(stays):
        if _leads(stay) and stay.low <= first:
            leading[stay.slots[0]].append(stay)
        else:
            for slot in stay.slots:
                others[slot].append(number)
    groups: dict[Any, list[int]] = defaultdict(list)
    filled: dict[int, int] = {}
    for slot in sorted({slot for stay in stays for slot in stay.slots}):
        spans = [span for span in taken[slot] if span[1] > first and span[0] < span[1]]
        early = [span for span in spans if span[0] <= first]
        later = tuple(sorted(span for span in spans if span[0] > first))
        alone = None
        if len(early) + len(leading[slot]) > 1:
            alone, later = slot, tuple(sorted(spans))
        elif early:
            filled[slot] = early[0][1]
        if slot in serviced:
            alone = slot
        groups[tuple(others[slot]), later, alone].append(slot)
    return [
        Pool(tuple(slots), key[1], {s: filled[s] for s in slots if s in filled})
        for key, slots in groups.items()
    ]


def _leads(stay: Stay) -> bool:
    """Whether a stay has begun, in a slot that it cannot choose."""
    return isinstance(stay.begin, int) and len(stay.slots) == 1


def _add_pool(draft: Draft, setting: Setting, pool: Pool, number: int) -> None:
    """Keep the stays in a pool from being more than its slots."""
    if not pool.stays:
        return
    begins = {s.begin.axis for s in pool.stays if isinstance(s.begin, Moment)}
    axis = setting.axes.union(begins) if begins else setting.axes.all
    intervals = [
        _interval(draft, stay, axis, stay.presence[number]) for stay in pool.stays
    ]
    room = len(pool.slots)
    demands = [1] * len(intervals)
    bars = [((0, until), 1) for until in pool.filled.values()]
    bars += [(span, room) for span in pool.spans]
    for (first, last), demand in bars:
        start, end = int(axis.before[first]), int(axis.before[last])
        if start < end:
            bar = draft.model.new_fixed_size_interval_var(start, end - start, "")
            intervals.append(bar)
            demands.append(demand)
    if room == 1:
        draft.model.add_no_overlap(intervals)
    elif sum(demands) > room:
        draft.model.add_cumulative(intervals, demands, room)
    for span in pool.spans:
        for stay in pool.stays:
            if not _is_exact(axis, stay, span):
                condition = [stay.presence[number]]
                keep_off(draft, stay.begin, stay.end, span, condition)


def _is_exact(axis: TickAxis, stay: Stay, span: Span) -> bool:
    """Whether the axis alone keeps a stay off a span."""
    if axis.before[span[0]] == axis.before[span[1]]:
        return False  # a night or weekend: the axis does not see it
    if axis.before[span[0] + 1] > axis.before[span[0]]:
        return True
    if isinstance(stay.end, int):
        return False
    return stay.ends_with_work and axis.holds(stay.end.axis)


def _interval(draft: Draft, stay: Stay, axis: TickAxis, literal: Literal) -> Any:
    edges: list[tuple[Any, int, int, int | None]] = []
    for moment in (stay.begin, stay.end):
        if isinstance(moment, int):
            at_tick = int(axis.before[moment])
            edges.append((at_tick, at_tick, at_tick, at_tick))
        else:
            at = moment.on(axis)
            edges.append((at.expr, at.low, at.high, at.value))
    (start, start_low, start_high, was), (end, end_low, end_high, will) = edges
    if id(axis) not in stay.sizes:
        value = None if was is None or will is None else will - was
        low = max(0, end_low - start_high)
        stay.sizes[id(axis)] = draft.whole(low, end_high - start_low, value).expr
    add = draft.model.new_optional_interval_var
    return add(start, stay.sizes[id(axis)], end, literal, "")


def give_slots(
    holds: Holds, begin_end: dict[int, Span], pool_of: dict[int, int]
) -> dict[int, int]:
    """Give each stay a slot of its pool in order of time: the tightest that is free.

    Parameters
    ----------
    begin_end : dict
        Where the solver put each stay, by hold, in reference ticks.
    pool_of : dict
        Which pool it chose, by hold; none of a service that is not needed.
    """
    given = {hold: slot for hold, (slot, _) in holds.standing.items()}
    for number, pool in enumerate(holds.pools):
        free = {slot: pool.filled.get(slot, 0) for slot in pool.slots}
        own = [stay for stay in pool.stays if pool_of.get(stay.hold) == number]
        for stay in sorted(own, key=lambda one: (begin_end[one.hold], one.slots)):
            begin, end = begin_end[stay.hold]
            if _leads(stay):
                slot = stay.slots[0]
            else:
                slot = max(
                    (one for one in pool.slots if free[one] <= begin),
                    key=lambda one: free[one],
                )
            given[stay.hold] = slot
            free[slot] = max(free[slot], end)
    return given
