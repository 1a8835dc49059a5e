"""Service of molds in the constraint model: the pulls of a mold as a circuit.

Where a mold may come to more pulls than its interval, its pulls and outages are the
nodes of a circuit in order of time. Each node knows whether a service lies in the gap
before it, and counts the pulls since the last one. Where people do the service, it is
a node itself, behind which pulls are counted anew, and no gap counts as one.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise
from typing import TYPE_CHECKING, Any

import numpy as np

from scheduler.compiling.arrays import FREE, PULL, SERVICED
from scheduler.cp_model.draft import Quantity, constant, negated
from scheduler.cp_model.moments import Moment

if TYPE_CHECKING:
    from scheduler.compiling.arrays import Arrays
    from scheduler.cp_model.axes import TickAxis
    from scheduler.cp_model.draft import Draft, Literal
    from scheduler.cp_model.holds import Stay
    from scheduler.cp_model.setting import Setting

    Standing = dict[int, tuple[int, tuple[int, int]]]


@dataclass
class Node:
    """A pull or an outage of one mold."""

    begin: Moment | int
    end: Moment | int
    there: Literal
    weight: int  # 1: a pull, 0: an outage, a repair or a service
    binds: bool  # whether its start is to be decided, so that it can come too late
    span: tuple[int, int] | None  # by the hint, None where it is elsewhere
    resets: bool = False  # it is a service by people
    serviced: Literal = False  # a service lies in the gap before it
    pulls: Quantity = field(default_factory=lambda: constant(0))  # since the last one


def serviced_slots(a: Arrays, stays: list[Stay], standing: Standing) -> set[int]:
    """Slots whose mold may come to more pulls than its service interval."""
    count: dict[int, int] = {}
    for stay in stays:
        for slot in stay.slots:
            count[slot] = count.get(slot, 0) + int(a.hold_pull[stay.hold] == PULL)
    for hold, (slot, _) in standing.items():
        count[slot] = count.get(slot, 0) + int(a.hold_pull[hold] == PULL)
    return {
        slot
        for slot, pulls in count.items()
        if 0 < a.slot_every[slot] < pulls + a.slot_pulls[slot]
    }


def add_services(
    draft: Draft,
    setting: Setting,
    slot: int,
    stays: list[tuple[Stay, Literal]],
    standing: Standing,
) -> None:
    """Keep the pulls of a mold within its service interval.

    Parameters
    ----------
    stays : list of pairs
        The stays that may be in the slot, each with whether it is.
    standing : dict
        Slot and span of the holds that stand, by hold.
    """
    nodes = _nodes(setting, slot, stays, standing)
    by_people = bool(np.diff(setting.a.service_at)[slot])
    _first_ones_first(draft, setting.a, stays)
    begins = {one.begin.axis for one in nodes if isinstance(one.begin, Moment)}
    axis = setting.axes.union(begins) if begins else setting.axes.all
    followers = _state(draft, setting, slot, nodes, by_people=by_people)
    arcs = _arcs(draft, nodes, followers)
    draft.model.add_circuit([(tail, head, one) for (tail, head), one in arcs.items()])
    service = service_clock(setting, slot)
    for (tail, head), literal in arcs.items():
        if head in (0, tail):
            continue
        node = nodes[head - 1]
        before = nodes[tail - 1] if tail else None
        if before is not None:
            _in_order(draft, setting, axis, before, node, literal)
        if node.resets:
            continue
        count = setting.a.slot_pulls[slot] if before is None else before.pulls.expr
        bound = draft.model.add(node.pulls.expr >= count + node.weight)
        if by_people:
            bound.only_enforce_if(literal)
            continue
        bound.only_enforce_if([literal, negated(node.serviced)])
        _after_service(draft, service, before, node, literal)


def _first_ones_first(
    draft: Draft, a: Arrays, stays: list[tuple[Stay, Literal]]
) -> None:
    """Services by people are all alike: none is there without those listed before."""
    there = [one for stay, one in stays if a.hold_pull[stay.hold] == SERVICED]
    for earlier, later in pairwise(there):
        draft.model.add_implication(later, earlier)


def _nodes(
    setting: Setting, slot: int, stays: list[tuple[Stay, Literal]], standing: Standing
) -> list[Node]:
    """Everything that may be in the list of a slot, in any order."""
    a, hint = setting.a, setting.hint
    nodes = []
    for stay, there in stays:
        span = None
        if hint is not None and hint.hold_slot[stay.hold] == slot:
            span = int(hint.hold_start[stay.hold]), int(hint.hold_finish[stay.hold])
        kind = _as_pull(a, stay.hold)
        resets = bool(a.hold_pull[stay.hold] == SERVICED)
        nodes.append(Node(stay.begin, stay.end, there, *kind, span, resets))
    for hold, (given, span) in standing.items():
        if given == slot:
            resets = bool(a.hold_pull[hold] == SERVICED)
            nodes.append(Node(*span, True, *_as_pull(a, hold), span, resets))
    for k in range(a.outage_at[slot], a.outage_at[slot + 1]):
        span = int(a.outage_from[k]), int(a.outage_to[k])
        nodes.append(Node(*span, True, 0, False, span))
    return nodes


def _as_pull(a: Arrays, hold: int) -> tuple[int, bool]:
    """Whether a hold counts as a pull, and whether it may be one too many."""
    weight = int(a.hold_pull[hold] == PULL)
    return weight, bool(weight and a.binding[a.hold_from[hold]] == FREE)


def _state(
    draft: Draft, setting: Setting, slot: int, nodes: list[Node], *, by_people: bool
) -> dict[int, int] | None:
    """Make what each node knows; returns who follows whom by the hint (0: the rim)."""
    a, hinted = setting.a, setting.hint is not None
    every, pulls = int(a.slot_every[slot]), int(a.slot_pulls[slot])
    ends = setting.services[a.slot_service[slot]]
    order = [n for n, one in enumerate(nodes, 1) if one.span is not None]
    order.sort(key=lambda number: (nodes[number - 1].span, number))
    serviced = dict.fromkeys(range(1, len(nodes) + 1), False)
    counts = {number: one.weight for number, one in enumerate(nodes, 1)}
    count, free_from = pulls, 0
    for number in order if hinted else ():
        begin, end = nodes[number - 1].span or (0, 0)
        serviced[number] = bool(ends[min(free_from, a.ticks)] <= begin)
        anew = serviced[number] or nodes[number - 1].resets
        count = nodes[number - 1].weight + (0 if anew else count)
        counts[number], free_from = count, end
    for number, node in enumerate(nodes, 1):
        if node.resets:
            continue
        most = every if node.binds else pulls + len(nodes)
        value = counts[number] if hinted else None
        node.pulls = draft.whole(node.weight, most, value)
        if not by_people:
            node.serviced = draft.choice(serviced[number] if hinted else None)
    if not hinted:
        return None
    return dict(pairwise([0, *order, 0]))


def _arcs(
    draft: Draft, nodes: list[Node], followers: dict[int, int] | None
) -> dict[tuple[int, int], Literal]:
    """A literal for each node that may follow another, and for those not there."""
    arcs: dict[tuple[int, int], Literal] = {}

    def hinted(tail: int, head: int) -> bool | None:
        return None if followers is None else followers.get(tail) == head

    for number, node in enumerate(nodes, 1):
        arcs[0, number] = draft.choice(hinted(0, number))
        arcs[number, 0] = draft.choice(hinted(number, 0))
        if node.there is not True:
            arcs[number, number] = negated(node.there)
        for other, after in enumerate(nodes, 1):
            if other != number and _may_follow(node, after, number < other):
                arcs[number, other] = draft.choice(hinted(number, other))
    if all(node.there is not True for node in nodes):
        arcs[0, 0] = draft.choice(hinted(0, 0))
    return arcs


def _may_follow(node: Node, after: Node, first_listed: bool) -> bool:
    """Whether one node can come before another at all."""
    if isinstance(node.begin, int) and isinstance(after.begin, int):
        return (node.begin, not first_listed) < (after.begin, first_listed)
    soonest = node.end if isinstance(node.end, int) else node.end.low
    latest = after.begin if isinstance(after.begin, int) else after.begin.high
    return soonest <= latest


def _in_order(
    draft: Draft,
    setting: Setting,
    axis: TickAxis,
    before: Node,
    node: Node,
    literal: Literal,
) -> None:
    """Let one node end before another begins, if it is the one before it."""
    if isinstance(node.begin, int):
        if not isinstance(before.end, int):
            limit = node.begin
            by = before.end.on(setting.axes.all).expr <= limit
            draft.model.add(by).only_enforce_if(literal)
        return
    end: Any = axis.before[before.end] if isinstance(before.end, int) else None
    if end is None:
        end = before.end.on(axis).expr  # type: ignore[union-attr]
    draft.model.add(end <= node.begin.on(axis).expr).only_enforce_if(literal)


def service_clock(setting: Setting, slot: int) -> tuple[TickAxis, int]:
    """The open ticks in which a mold is serviced, from now on, and how many it takes.

    A service is over by a tick exactly when so many of them have passed: no steps at
    nights and weekends, as the wall clock would need.
    """
    ends = setting.services[setting.a.slot_service[slot]]
    known = ends[ends <= setting.a.ticks]
    opens = np.flatnonzero(np.diff(known) > 0)
    axis = setting.axes.of_ticks(np.union1d(opens, known - 1))
    return axis, int(axis.before[known[0]]) if len(known) else 1


def _after_service(
    draft: Draft,
    service: tuple[TickAxis, int],
    before: Node | None,
    node: Node,
    literal: Literal,
) -> None:
    """Let a node begin after the service in the gap before it, if there is one."""
    axis, length = service
    since, until = (
        _passed(0 if before is None else before.end, axis),
        _passed(node.begin, axis),
    )
    if isinstance(since, int) and isinstance(until, int):
        if until < since + length:
            clause = [negated(literal), negated(node.serviced)]
            draft.model.add_bool_or(clause)
        return
    bound = draft.model.add(until >= since + length)
    bound.only_enforce_if([literal, node.serviced])


def _passed(moment: Moment | int, axis: TickAxis) -> Any:
    """How many ticks of an axis have passed by a moment."""
    if isinstance(moment, int):
        return int(axis.before[moment])
    return moment.on(axis).expr
