"""Why an operation of a plan begins when it does, and what it delays.

Read from the plan alone. An operation can begin once its own boat lets it: what comes
before it, cures, arrivals, release. If it begins later, something that other work had
is looked for day by day: a mold, a place, a station, people, or a later operation
that must follow soon and is held up itself.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from scheduler.overtime import as_worked
from scheduler.plan_clock import PlanClock
from scheduler.plan_uses import TURN, Block, PlanUses

if TYPE_CHECKING:
    from collections.abc import Iterator

    from scheduler.plan import Plan, Planned
    from scheduler.problem import Operation, Part, Span, Wait

NOTHING = Block("turn", TURN, ())
MOST_NAMED = 3


@dataclass(frozen=True, slots=True)
class Waited:
    """Ticks that an operation could have been at work, but for something."""

    kind: str  # mold | place | limit | slot | station | setup | people | window | turn
    resource: str
    ticks: int
    holders: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Reason:
    """Why an operation begins when it does.

    `kind` is what decided: done, started, frozen, locked (given); now, release,
    arrival, alone, sequence, cure, tack, bond or transport (its own boat); or the kind
    of the longest of `waited`. `before` is the operation of its own boat that decided
    when it could begin. `ready` is that instant, `closed` the ticks until work could
    go on after it.
    """

    operation: str
    kind: str
    resource: str
    text: str
    start: int
    ready: int
    closed: int
    before: str | None
    waited: tuple[Waited, ...]


class Causes:
    """Reasons of one plan, worked out when asked and kept."""

    def __init__(self, plan: Plan) -> None:
        plan = as_worked(plan)
        self.plan, self.axis = plan, plan.problem.axis
        self.clock = PlanClock(plan.problem)
        self.uses = PlanUses(plan, self.clock)
        self._reasons: dict[str, Reason] = {}
        self._own: dict[str, list[str]] = defaultdict(list)
        for one in plan.problem.operations:
            self._own[one.order].append(one.id)
        self._into: dict[str, list[Wait]] = defaultdict(list)
        for wait in plan.problem.waits:
            self._into[wait.after].append(wait)
        self._parts: dict[str, list[Part]] = defaultdict(list)
        for part in plan.problem.parts:
            self._parts[part.order].append(part)
        self._releases = {one.order: one.release for one in plan.problem.orders}

    def waited_for(self, operation: str) -> Reason:
        """Why an operation begins when it does."""
        if operation not in self._reasons:
            self._reasons[operation] = self._find(operation)
        return self._reasons[operation]

    def delays(self, operation: str) -> tuple[str, ...]:
        """Operations that begin when they do because of this one, soonest first."""
        row = self.uses.planned[operation]
        order = self.uses.operations[operation].order
        later = [
            name
            for name, other in self.uses.planned.items()
            if other.start >= row.start
            and name != operation
            and self.uses.states.get(name) is None
            and (self._same_boat(name, order) or self._lacks(name, operation, order))
        ]
        found = [name for name in later if self._is_due_to(name, operation, order)]
        return tuple(sorted(found, key=lambda name: self.uses.planned[name].start))

    def chain(self, order: str) -> list[Reason]:
        """What decided when a boat is finished, from its last operation back."""
        rows = [self.uses.planned[name] for name in self._own[order]]
        if not rows:
            return []
        at: str | None = max(rows, key=lambda row: (row.finish, row.start)).operation
        found: list[Reason] = []
        while at is not None:
            found.append(self.waited_for(at))
            at = found[-1].before
        return found

    def waits_of_order(self, order: str) -> dict[str, float]:
        """Days that a boat's chain waits, by what for; longest first."""
        days: dict[str, float] = defaultdict(float)
        for reason in self.chain(order):
            if sum(one.ticks for one in reason.waited) >= self.axis.ticks_per_day:
                for one in reason.waited:
                    days[one.resource] += one.ticks / self.axis.ticks_per_day
        return dict(sorted(days.items(), key=lambda pair: (-pair[1], pair[0])))

    def longest_wait(self, order: str) -> tuple[str, str] | None:
        """What a boat's chain waits for longest, and its step that waits most for it.

        None where its own work and waits take all the time.
        """
        for resource in self.waits_of_order(order):
            if resource == TURN:
                continue
            ticks = {
                reason.operation: one.ticks
                for reason in self.chain(order)
                for one in reason.waited
                if one.resource == resource
            }
            return resource, max(ticks, key=lambda name: ticks[name])
        return None

    def _same_boat(self, name: str, order: str) -> bool:
        return self.uses.operations[name].order == order

    def _lacks(self, name: str, operation: str, order: str) -> bool:
        """Whether two operations of different boats want something in common."""
        one, other = self.uses.operations[name], self.uses.operations[operation]
        stations = {key for key, _ in one.demands} & {key for key, _ in other.demands}
        skilled = one.skill is not None and other.skill is not None
        enters = name in self.uses.parts_begun or name in self.uses.limited
        slots = one.slots is not None and one.slots == other.slots
        return bool(stations) or skilled or enters or slots

    def _is_due_to(self, name: str, operation: str, order: str) -> bool:
        reason = self.waited_for(name)
        if not reason.waited:
            return reason.before == operation
        holders = {holder for one in reason.waited for holder in one.holders}
        if operation in holders:
            return True
        # A part holds its mold or place until the operation that takes it out.
        return order in holders and operation in self._ends(reason, order)

    def _ends(self, reason: Reason, order: str) -> set[str]:
        """Operations of a boat that end its stay in the kind of room waited for."""
        kinds = {one.kind for one in reason.waited if order in one.holders}
        found: set[str | None] = set()
        for wanted, is_mold in self.uses.parts_begun.get(reason.operation, ()):
            for part in self._parts[order]:
                if is_mold and "mold" in kinds and part.part == wanted.part:
                    found.add(part.mold_to)
                elif not is_mold and "place" in kinds:
                    same = part.place_kind == wanted.place_kind
                    found.add(part.place_to if same else None)
        if "limit" in kinds:
            codes = {one.id: one.to_operation_code for one in self.plan.problem.limits}
            entered = self.uses.limited.get(reason.operation, ())
            found |= {f"{order}/{codes[limit]}" for limit, _ in entered}
        return {one for one in found if one is not None}

    def _find(self, name: str) -> Reason:
        row, state = self.uses.planned[name], self.uses.states.get(name)
        if state in _GIVEN:
            return Reason(
                name, state, "", _GIVEN[state], row.start, row.start, 0, None, ()
            )
        at, kind, before = self._own_bound(name)
        operation = self.uses.operations[name]
        ready = self.clock.first_start(operation, row, at)
        if ready is None or ready > row.start:
            ready = row.start  # only where facts break a rule of the calendar
        waited = self._waits(name, ready)
        closed = ready - at
        text = self._own_text(name, at, kind, before, closed)
        if not waited:
            return Reason(name, kind, "", text, row.start, at, closed, before, ())
        longest = max(waited, key=lambda one: one.ticks)
        more = " ".join(self._waited_text(one) for one in waited)
        return Reason(
            name, longest.kind, longest.resource, f"{text} {more}", row.start, at,
            closed, before, waited,
        )  # fmt: skip

    def _own_bound(self, name: str) -> tuple[int, str, str | None]:
        """When its own boat lets an operation begin, what decides, and which work."""
        operation, row = self.uses.operations[name], self.uses.planned[name]
        kind = "now"
        if operation.earliest > self.plan.problem.now:
            same = operation.earliest == self._releases[operation.order]
            kind = "release" if same else "arrival"
        best: tuple[int, str, str | None] = (operation.earliest, kind, None)
        for wait in self._into[name]:
            before = self.uses.planned[wait.before]
            since = before.finish if wait.before_of == "end" else before.start
            at = self.clock.after_wait(wait, since)
            if wait.after_of == "end":
                at -= row.finish - row.start
            if at > best[0] or (at == best[0] and best[2] is None):
                best = (at, wait.kind, wait.before)
        for other in self._own[operation.order]:
            one, planned = self.uses.operations[other], self.uses.planned[other]
            alone = operation.exclusive_part or one.exclusive_part
            if (
                alone
                and best[0] < planned.finish <= row.start
                and set(one.parts) & set(operation.parts)
            ):
                best = (planned.finish, "alone", other)
        return best

    def _waits(self, name: str, ready: int) -> tuple[Waited, ...]:
        """What an operation lacked between `ready` and its start."""
        operation, row = self.uses.operations[name], self.uses.planned[name]
        if ready >= row.start:
            return ()
        found: dict[tuple[str, str], tuple[int, dict[str, None]]] = {}
        for at, until in self._stretches(operation, row, ready):
            block = self.uses.block(name, at) or NOTHING
            key = (block.kind, block.resource)
            ticks, holders = found.get(key, (0, {}))
            found[key] = (ticks + until - at, holders | dict.fromkeys(block.holders))
        return tuple(
            Waited(kind, resource, ticks, tuple(holders))
            for (kind, resource), (ticks, holders) in found.items()
        )

    def _stretches(
        self, operation: Operation, row: Planned, ready: int
    ) -> Iterator[Span]:
        """Cut the time from `ready` to the start where the operation could begin.

        By days, and the last day at every tick at which it could have begun, so that
        what held it to the end is told from what held it before.
        """
        at = ready
        while at < row.start:
            day = self.axis.local(at).date() + timedelta(days=1)
            morning = self.axis.day_start(day)
            until = self.clock.first_start(operation, row, morning)
            if until is None or until >= row.start:
                until = self.clock.first_start(operation, row, at + 1)
            until = row.start if until is None else min(until, row.start)
            yield at, until
            at = until

    def _own_text(
        self, name: str, at: int, kind: str, before: str | None, closed: int
    ) -> str:
        when = self._moment(at)
        code = name if before is None else before.split("/", 1)[-1]
        if kind in _OWN:
            text = f"{_OWN[kind]} {when}"
        elif kind == "alone":
            text = f"It is not done beside {code} in the same part, which ends {when}"
        elif kind == "sequence":
            text = f"It follows {code}, which allows it from {when}"
        else:
            text = f"The {_WAITS.get(kind, kind)} after {code} allows it from {when}"
        if closed:
            text += f"; working time for it begins {self._moment(at + closed)}"
        return f"{text}."

    def _moment(self, tick: int) -> str:
        return f"{self.axis.local(tick):%a %Y-%m-%d %H:%M}"

    def _waited_text(self, one: Waited) -> str:
        length = duration(one.ticks * self.axis.tick_minutes)
        if one.kind == "turn":
            return (
                f"For {length} nothing stands in its way; the plan gives others the "
                "turn."
            )
        names = ", ".join(one.holders[:MOST_NAMED])
        if len(one.holders) > MOST_NAMED:
            names += f" and {len(one.holders) - MOST_NAMED} more"
        if one.kind == "window":
            lacks = "" if one.resource == TURN else f" and lacks {one.resource}"
            return (
                f"For {length} it waits with {one.holders[0]}, which must follow it "
                f"soon{lacks}."
            )
        taken = f", taken by {names}" if names else ""
        return f"It then waits {length} for {one.resource}{taken}."


_GIVEN = {
    "done": "It is done.",
    "started": "It has been begun already.",
    "frozen": "It stands where the committed plan has it.",
    "locked": "The planner has pinned it.",
}
_OWN = {
    "now": "Nothing before it; planning begins",
    "release": "The order is released",
    "arrival": "An item that it needs arrives",
}
_WAITS = {"cure": "cure", "tack": "tack time", "bond": "wait for the bond"}


def duration(minutes: int) -> str:
    """A length of time as people say it."""
    if minutes < 24 * 60:
        return f"{minutes / 60:.1f} h"
    return f"{minutes / 60 / 24:.1f} days"


def what_it_waited_for(plan: Plan, operation: str) -> Reason:
    """Why an operation begins when it does (one question; see `Causes` for many)."""
    return Causes(plan).waited_for(operation)


def what_it_delays(plan: Plan, operation: str) -> tuple[str, ...]:
    """Which operations begin when they do because of this one."""
    return Causes(plan).delays(operation)
