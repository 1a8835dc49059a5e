"""What stands in the way of an operation, had it been begun at another time.

Everything else stays where the plan has it. Molds and places come first, then the
station, then people, then what must follow within a maximum wait.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from scheduler.plan_clock import PlanClock
from scheduler.service_work import as_planned
from scheduler.taken import Hands, Use, Uses, peak
from scheduler.waiting import WaitClock, limits

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from models.spans import Span
    from scheduler.plan import Occupation, Plan, Planned
    from scheduler.problem import Limit, Operation, Part, Person, Wait

TURN = "its turn"
"""What an operation waits for that could begin sooner with all else where it is."""

CAN, LEAD_IN = "people who can ", "people who lead in "
CREW_NAMES = ((CAN, "people"), (LEAD_IN, "leads"))

Room = tuple[str, int, tuple["Span", ...]]
"""A mold or place: its name, how many it holds, when it is closed."""

DEEPEST = 8  # maximum waits that are followed from one operation to the next


@dataclass(frozen=True, slots=True)
class Block:
    """What an operation would have lacked, and who had it.

    `kind` is mold, place, station, people or window (what must follow soon is itself
    held up; `resource` is then what that lacks). `holders` are operations, but for
    molds and places orders, or "an outage".
    """

    kind: str
    resource: str
    holders: tuple[str, ...]


class PlanUses:
    """Who takes what, and when, in a plan."""

    def __init__(self, plan: Plan, clock: PlanClock) -> None:
        problem = plan.problem
        self.problem, self.clock = problem, clock
        self.waits = WaitClock(problem)
        self.operations: dict[str, Operation] = {
            one.id: one for one in problem.operations
        }
        self.planned = {one.operation: one for one in plan.answer.operations}
        self.models = {one.order: one.model for one in problem.orders}
        self.pinned = {
            one.operation: one for one in problem.committed if one.why == "locked"
        }
        # A pin without a start leaves open when the operation begins.
        self.states = {
            one.operation: one.why
            for one in problem.committed
            if one.why != "locked" or one.start is not None
        }
        self.parts_begun = _parts_begun(problem.parts)
        held: dict[str, list[Use]] = defaultdict(list)
        self.own: dict[tuple[str, str, bool], Occupation] = {}
        molds = {one.id for one in problem.molds}
        for one in plan.answer.occupations:
            held[one.resource].append(_stay(one))
            self.own[one.order, one.part, one.resource in molds] = one
        self.held = {resource: Uses(stays) for resource, stays in held.items()}
        self.candidates: dict[tuple[str, str, bool], list[Room]] = {}
        self.serviced: dict[str, list[Span]] = defaultdict(list)
        for service in plan.answer.services:
            self.serviced[service.mold].append((service.start, service.finish))
        self.limited: dict[str, list[tuple[str, str]]] = defaultdict(list)
        self.between = {one.id: Uses(self._add_limit(one)) for one in problem.limits}
        self.able = _able(problem.people)
        self.led = {name for one in problem.people for name in one.apprentice_in}
        self.busy = _busy(plan)
        self.hands: dict[str, Hands] = {}
        self.windows: dict[str, list[Wait]] = defaultdict(list)
        for wait in problem.waits:
            if wait.kept_maximum_minutes is not None:
                self.windows[wait.before].append(wait)
        self.rooms = {
            one.id: one.capacity for one in problem.stations if one.capacity is not None
        }
        self.slots = {one.id: one for one in problem.calendars}
        self.setups = {
            one.id: {(row.before, row.after): row.minutes for row in one.setups}
            for one in problem.stations
            if one.setups
        }
        self.at_station = self._stations()

    def _stations(self) -> defaultdict[str, Uses]:
        """Who is at each station; what is done is at none."""
        at_station: dict[str, list[Use]] = defaultdict(list)
        for name, row in self.planned.items():
            for station, amount in self.operations[name].demands:
                if self.states.get(name) != "done":
                    use = Use(remaining_from(row), row.finish, amount, name)
                    at_station[station].append(use)
        uses = {station: Uses(rows) for station, rows in at_station.items()}
        return defaultdict(lambda: Uses(()), uses)

    def block(self, name: str, start: int, depth: int = 0) -> Block | None:
        """Say what an operation would lack if it began at `start`, None if nothing."""
        operation, row = self.operations[name], self.planned[name]
        segments = self.clock.segments(operation, row, start)
        span = (start, segments[-1][1] if segments else start)
        return (
            self._rooms_lacking(operation, start)
            or self._limit_lacking(operation, start)
            or self._slot_lacking(operation, start)
            or self._station_lacking(operation, span)
            or self._setup_lacking(operation, span)
            or self._people_lacking(operation, row, segments)
            or self._window_lacking(operation, span, depth)
        )

    def _rooms_lacking(self, operation: Operation, start: int) -> Block | None:
        for part, is_mold in self.parts_begun.get(operation.id, ()):
            own = self.own.get((part.order, part.part, is_mold))
            if own is None:
                continue
            only = self._pinned_room(operation, is_mold)
            rooms = self._candidates(part, is_mold)
            holders: dict[str, None] = {}
            free = False
            for room, capacity, closed in rooms:
                if only not in (None, room):
                    continue
                inside = self._inside(room, own, (start, own.finish))
                shut = any(a < own.finish and start < b for a, b in closed)
                if not shut and len(inside) < capacity:
                    free = True
                    break
                holders |= dict.fromkeys(inside)
                if shut:
                    serviced = self._serviced_in(room, own, start)
                    why = "service" if serviced else "an outage"
                    holders[f"{why} of {room}"] = None
            if not free:
                kind = "mold" if is_mold else "place"
                return Block(kind, self._room_text(part, kind, only), tuple(holders))
        return None

    def _add_limit(self, limit: Limit) -> Iterator[Use]:
        """Note who enters between the two operations of a limit, and yield who is."""
        for order in self.models:
            first = f"{order}/{limit.from_operation_code}"
            last = f"{order}/{limit.to_operation_code}"
            if first in self.planned and last in self.planned:
                self.limited[first].append((limit.id, last))
                if self.states.get(last) != "done":
                    span = self.planned[first].start, self.planned[last].finish
                    yield Use(*span, 1, order)

    def _limit_lacking(self, operation: Operation, start: int) -> Block | None:
        most = {one.id: one.max for one in self.problem.limits}
        for limit, last in self.limited.get(operation.id, ()):
            span = start, self.planned[last].finish
            inside = self.between[limit].during(span)
            others = [one for one in inside if one.holder != operation.order]
            load, holders = peak(others, span)
            if load + 1 > most[limit]:
                return Block("limit", f"limit {limit}", tuple(holders))
        return None

    def _serviced_in(self, room: str, own: Occupation, start: int) -> bool:
        return any(a < own.finish and start < b for a, b in self.serviced[room])

    def _pinned_room(self, operation: Operation, is_mold: bool) -> str | None:
        pin = self.pinned.get(operation.id)
        if pin is None:
            return None
        return pin.mold if is_mold else pin.place

    def _room_text(self, part: Part, kind: str, only: str | None) -> str:
        if only is not None:
            return f"{kind} {only}"
        if kind == "mold":
            return f"a {part.part} mold for {self.models[part.order]}"
        return f"a free {part.place_kind}"

    def _candidates(self, part: Part, is_mold: bool) -> list[Room]:
        """The molds or places of the yard that would do for a part."""
        model = self.models[part.order]
        key = part.part if is_mold else part.place_kind or "", model, is_mold
        if key not in self.candidates:
            self.candidates[key] = list(self._rooms_for(*key))
        return self.candidates[key]

    def _rooms_for(self, kind: str, model: str, is_mold: bool) -> Iterator[Room]:
        if is_mold:
            for mold in self.problem.molds:
                if mold.part == kind and model in mold.models:
                    yield mold.id, 1, (*mold.unavailable, *self.serviced[mold.id])
            return
        for place in self.problem.places:
            if place.kind == kind and (not place.models or model in place.models):
                yield place.id, place.capacity, place.unavailable

    def _inside(self, room: str, own: Occupation, span: Span) -> list[str]:
        """Orders that are in a mold or place at the busiest moment of a span."""
        if room not in self.held:
            return []
        inside = self.held[room].during(span)
        if own.resource == room and _stay(own) in inside:
            inside.remove(_stay(own))
        return peak(inside, span)[1]

    def _station_lacking(self, operation: Operation, span: Span) -> Block | None:
        for station, amount in operation.demands:
            inside = self.at_station[station].during(span)
            others = [one for one in inside if one.holder != operation.id]
            load, holders = peak(others, span)
            if load + amount > self.rooms.get(station, load + amount):
                return Block("station", f"station {station}", tuple(holders))
        return None

    def _slot_lacking(self, operation: Operation, start: int) -> Block | None:
        """Whether the slot of a start is full without it."""
        calendar = self.slots.get(operation.slots or "")
        if calendar is None or calendar.starts_per_slot is None:
            return None
        slot = next((one for one in calendar.open if one[0] <= start < one[1]), None)
        holders = [
            name
            for name, one in self.operations.items()
            if one.slots == calendar.id
            and name != operation.id
            and self.states.get(name) not in ("done", "started")
            and slot is not None
            and slot[0] <= self.planned[name].start < slot[1]
        ]
        if len(holders) < calendar.starts_per_slot:
            return None
        return Block("slot", f"a slot of {calendar.id}", tuple(_once(holders)))

    def _setup_lacking(self, operation: Operation, span: Span) -> Block | None:
        """Whether a change of color before or after would have no time."""
        minutes = self.setups.get(operation.station)
        if operation.setup_family is None or minutes is None:
            return None
        tick = self.problem.axis.tick_minutes
        own, holders = operation.setup_family, []
        longest = -(-max(minutes.values(), default=0) // tick)
        near = span[0] - longest, span[1] + longest
        for start, finish, _, name in self.at_station[operation.station].during(near):
            other = self.operations[name].setup_family
            if name == operation.id or other is None:
                continue
            before = finish + -(-minutes.get((other, own), 0) // tick)
            after = span[1] + -(-minutes.get((own, other), 0) // tick)
            if before > span[0] and after > start:
                holders.append(name)
        if holders:
            resource = f"set-up of station {operation.station}"
            return Block("setup", resource, tuple(_once(holders)))
        return None

    def _people_lacking(
        self, operation: Operation, row: Planned, segments: tuple[Span, ...]
    ) -> Block | None:
        if operation.skill is None or row.crew == 0:
            return None
        hands = self._hands(operation.skill)
        pin = self.pinned.get(operation.id)
        pinned = set(pin.people) if pin else set()
        for segment in segments:
            there = hands.there(self.clock.open_part(operation, segment))
            taken = hands.taken(segment, operation.id)
            free = there.copy()
            free[taken[0]] = False
            away = pinned and pinned - {
                hands.names[one] for one in np.flatnonzero(free)
            }
            if away:
                own = there & np.isin(hands.names, sorted(away))
                return _people(" and ".join(sorted(away)), hands.works(own, taken))
            if free.sum() < row.crew:
                resource = f"{CAN}{operation.skill}"
                return _people(resource, hands.works(there, taken))
            leads = max(1, operation.leads_min) if operation.skill in self.led else 0
            if leads and (free & hands.leading).sum() < leads:
                resource = f"{LEAD_IN}{operation.skill}"
                return _people(resource, hands.works(there & hands.leading, taken))
        return None

    def _hands(self, skill: str) -> Hands:
        """The people who can do work of a skill, put together where first asked for."""
        if skill not in self.hands:
            people = self.able.get(skill, ())
            self.hands[skill] = Hands(people, skill, self.busy)
        return self.hands[skill]

    def _window_lacking(
        self, operation: Operation, span: Span, depth: int
    ) -> Block | None:
        """What must follow within a maximum wait, and is held up itself."""
        for wait in self.windows.get(operation.id, ()):
            after = self.planned[wait.after]
            since = span[1] if wait.before_of == "end" else span[0]
            until = after.finish if wait.after_of == "end" else after.start
            _, most = limits(wait, self.problem.axis.tick_minutes)
            gap = self.waits.gap(wait, since, until)
            if most is None or gap <= most:
                continue
            sooner = self.clock.last_start(
                self.operations[wait.after], after, after.start - (gap - most) + 1
            )
            held = None
            if sooner is not None and depth < DEEPEST:
                held = self.block(wait.after, sooner, depth + 1)
            if held is None:
                return Block("window", TURN, (wait.after,))
            return Block("window", held.resource, (wait.after, *held.holders))
        return None


def _once(names: Iterable[str]) -> Iterable[str]:
    """Each name once, in the order in which they come."""
    return dict.fromkeys(names)


def _stay(one: Occupation) -> Use:
    return Use(one.start, one.finish, 1, one.order)


def remaining_from(row: Planned) -> int:
    """From when on an operation takes its station: begun work from what remains."""
    return row.segments[0][0] if row.segments else row.start


def _parts_begun(parts: Iterable[Part]) -> dict[str, list[tuple[Part, bool]]]:
    """By operation: the parts that it puts into a mold (true) or a place (false)."""
    begun: dict[str, list[tuple[Part, bool]]] = defaultdict(list)
    for part in parts:
        if part.mold_from is not None:
            begun[part.mold_from].append((part, True))
        if part.place_from is not None:
            begun[part.place_from].append((part, False))
    return begun


def _people(resource: str, names: Iterable[str]) -> Block:
    return Block("people", resource, tuple(_once(names)))


def _able(people: Iterable[Person]) -> dict[str, list[Person]]:
    able: dict[str, list[Person]] = defaultdict(list)
    for person in people:
        for skill in person.counts_for:
            able[skill].append(person)
    return able


def _busy(plan: Plan) -> dict[str, list[tuple[int, int, str]]]:
    """By person: spans at work, sorted, with the operation or the service."""
    busy: dict[str, list[tuple[int, int, str]]] = defaultdict(list)
    services = as_planned(plan.problem, plan.answer.services)
    for row in (*plan.answer.operations, *(one for _, one in services)):
        for stint in row.people:
            for start, end in row.segments:
                first, last = max(start, stint.start), min(end, stint.finish)
                if first < last:
                    busy[stint.person].append((first, last, row.operation))
    for rows in busy.values():
        rows.sort()
    return busy
