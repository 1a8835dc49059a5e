"""Look-ups in a plan that every sheet needs: what a step is, where, and by which crew.

Which steps are gates (checks with a result) no data say yet. Until they do, a step is
one where a word of its code is test, inspect, inspection, check or gate.
"""

from __future__ import annotations

import re
from collections import defaultdict
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from functools import cached_property
from typing import TYPE_CHECKING

from models.cautions import CAUTIONS, cautions_with
from models.errors import UsageError
from scheduler.groups import groups_of_stations
from scheduler.plan_clock import PlanClock
from scheduler.waiting import WaitClock

if TYPE_CHECKING:
    from collections.abc import Mapping

    from models.names import Names
    from scheduler.plan import Occupation, Plan, Planned
    from scheduler.problem import Operation, Order, Span, Wait

GATE_WORDS = frozenset({"test", "inspect", "inspection", "check", "gate"})

WHOLE_BOAT = "boat"


@dataclass(frozen=True)
class Floor:
    """A plan, the yard's names, and what is looked up in both.

    `recorded` says in words under which conditions the floor did an operation.
    """

    plan: Plan
    names: Names
    recorded: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    @cached_property
    def operations(self) -> dict[str, Operation]:
        """Operations of the problem by id."""
        return {one.id: one for one in self.plan.problem.operations}

    @cached_property
    def planned(self) -> dict[str, Planned]:
        """Rows of the answer by operation."""
        return {one.operation: one for one in self.plan.answer.operations}

    @cached_property
    def orders(self) -> dict[str, Order]:
        """Orders by their number."""
        return {one.order: one for one in self.plan.problem.orders}

    @cached_property
    def given(self) -> dict[str, str]:
        """Why an operation stands where it does: done, started, frozen or locked."""
        return {one.operation: one.why for one in self.plan.problem.committed}

    @cached_property
    def into(self) -> dict[str, tuple[Wait, ...]]:
        """Waits that lead to an operation, both ends of which are in the plan."""
        found: dict[str, list[Wait]] = defaultdict(list)
        for wait in self.plan.problem.waits:
            if wait.before in self.planned and wait.after in self.planned:
                found[wait.after].append(wait)
        return {name: tuple(waits) for name, waits in found.items()}

    @cached_property
    def demolds(self) -> frozenset[str]:
        """Operations at whose end a part of a boat has left its mold."""
        ends = (
            one.mold_to
            for one in self.plan.problem.parts
            if not self.is_other_job(one.order)
        )
        return frozenset(one for one in ends if one is not None)

    @cached_property
    def molds(self) -> frozenset[str]:
        """Molds by id; every other thing that is occupied is a place."""
        return frozenset(one.id for one in self.plan.problem.molds)

    @cached_property
    def occupied(self) -> dict[tuple[str, str], list[Occupation]]:
        """Occupations of a part of an order, in order of time."""
        found: dict[tuple[str, str], list[Occupation]] = defaultdict(list)
        for one in sorted(self.plan.answer.occupations, key=lambda row: row.start):
            found[one.order, one.part].append(one)
        return found

    @cached_property
    def parts_of(self) -> dict[str, tuple[str, ...]]:
        """Parts of an order that are somewhere at some time."""
        found: dict[str, tuple[str, ...]] = defaultdict(tuple)
        for order, part in self.occupied:
            found[order] += (part,)
        return found

    @cached_property
    def clock(self) -> PlanClock:
        """When a wait's minimum ends."""
        return PlanClock(self.plan.problem)

    @cached_property
    def wait_clock(self) -> WaitClock:
        """What passes of a wait between two instants."""
        return WaitClock(self.plan.problem)

    @cached_property
    def crews(self) -> tuple[str, ...]:
        """Trade groups in the yard's order."""
        stations = {one.station for one in self.plan.problem.operations}
        return tuple(self.names.group_names(sorted(stations)))

    @cached_property
    def first_day(self) -> date:
        """The local day from which on the plan may still be changed."""
        return self.plan.problem.axis.local(self.plan.problem.now).date()

    @cached_property
    def last_day(self) -> date:
        """The local day on which the last step ends."""
        last = max((one.finish for one in self.planned.values()), default=0)
        last = max(last - 1, self.plan.problem.now)
        return self.plan.problem.axis.local(last).date()

    @cached_property
    def made(self) -> datetime:
        """When the plan was made.

        Raises
        ------
        UsageError
            If the plan's file does not say so with an offset.
        """
        created = self.plan.created
        try:
            made = datetime.fromisoformat(created)
        except ValueError:
            made = datetime.min  # noqa: DTZ901 - refused below, as without an offset
        if made.tzinfo is None:
            raise UsageError(
                f"created: found {created!r}; expected an instant with its offset"
            )
        return made

    def crew(self, operation: str) -> str:
        """The trade group that does a step."""
        station = self.operations[operation].station
        return self.names.groups.get(station, self.crews[0])

    def model(self, operation: str) -> str:
        """The id of the model that a step belongs to."""
        return self.orders[self.operations[operation].order].model

    def name(self, operation: str) -> str:
        """What a step is called."""
        code = self.operations[operation].code
        return self.names.operation(self.model(operation), code)

    def parts(self, operation: str) -> str:
        """What a step is done to, by name."""
        model = self.model(operation)
        parts = self.operations[operation].parts
        return ", ".join(self.names.part(model, part) for part in parts)

    def where(self, operation: str) -> tuple[str, ...]:
        """Molds, then places, in which the parts of a step are while it runs.

        The whole boat is wherever its parts are.
        """
        one, row = self.operations[operation], self.planned[operation]
        parts = self.parts_of[one.order] if WHOLE_BOAT in one.parts else one.parts
        found = [
            held
            for part in parts
            for held in self.occupied.get((one.order, part), ())
            if (held.start < row.finish and row.start < held.finish)
            or held.start <= row.start < held.finish
        ]
        found.sort(key=lambda held: held.resource not in self.molds)
        return tuple(dict.fromkeys(held.resource for held in found))

    def is_gate(self, operation: str) -> bool:
        """Whether a step is a check with a result."""
        words = re.split(r"[._]", self.operations[operation].code.casefold())
        return not GATE_WORDS.isdisjoint(words)

    def cautions(self, operation: str) -> tuple[str, ...]:
        """Keys of a step's cautions: all there are where nobody knows which apply."""
        if operation not in self.operations:  # the service of a mold
            return tuple(CAUTIONS)
        model, code = self.model(operation), self.operations[operation].code
        if not self.names.knows(model, code):
            return tuple(CAUTIONS)
        key = self.names.caution(model, code)
        return () if key is None else cautions_with(key)

    def is_other_job(self, order: str) -> bool:
        """Whether an order is a repair, warranty or show job, and no boat."""
        known = self.orders.get(order)
        return known is not None and known.kind == "other"

    def whose(self, order: str) -> str:
        """The customer by reference, or what kind of job it is."""
        known = self.names.customers.get(order, "not known here")
        word = "Kind of job" if self.is_other_job(order) else "Customer by reference"
        return f"{word}: {known}."

    def day(self, day: date) -> Span:
        """The ticks of a local day."""
        axis = self.plan.problem.axis
        return axis.day_start(day), axis.day_start(day + timedelta(days=1))

    def is_done(self, operation: str) -> bool:
        """Whether a step is a fact."""
        return self.given.get(operation) == "done"

    @cached_property
    def note(self) -> str:
        """What a reader must know about the names, empty if nothing."""
        if self.names.note:
            return self.names.note
        inputs, sources = self.plan.inputs, self.names.sources
        changed = sorted(
            name for name in inputs if sources.get(name, inputs[name]) != inputs[name]
        )
        if not changed:
            return ""
        return (
            f"{', '.join(changed)} changed after this plan was made: names, options "
            "and cautions are today's, times and people the plan's."
        )


def make_floor(
    plan: Plan, names: Names, recorded: Mapping[str, tuple[str, ...]] | None = None
) -> Floor:
    """Join a plan, the names of its yard and what the floor recorded.

    Where the yard's files do not name the group of every station, groups are read
    from the codes of operations, as on the board.
    """
    stations = {one.station for one in plan.problem.operations}
    if not stations <= set(names.groups):
        names = replace(names, groups=groups_of_stations(plan.problem.operations))
    return Floor(plan, names, recorded or {})
