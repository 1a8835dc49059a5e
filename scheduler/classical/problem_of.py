"""A classical instance as a problem of the yard's own kind.

One tick is one time unit and stands for a day without a night, so that late working
days are late time units. Resources are stations, nobody is needed, and what the goal
counts is an order with a weight:

- Decoder and search place order by order. Where activities only have to follow one
  another, each is an order by itself, and an order of orders is the list that serial
  schedule generation takes. Where a job has to be placed whole (no waiting between its
  steps, or steps that keep their machine), the job is the order.
- An operation of no length, in an order of its own, closes each project, and one more
  closes everything. What is due at 0 is late by its finish: the last one for the
  makespan, each project's for the total completion time.

Orders of weight 0 share the due date of the project that they belong to; that keeps
dispatch by due date in the sequence of the activities.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Literal

from models.axis import Axis
from models.errors import UsageError
from scheduler.classical.instance import END, Instance, Project, flaws, in_order
from scheduler.problem import (
    Calendar,
    Objective,
    Operation,
    Order,
    Part,
    Place,
    Problem,
    Station,
    Wait,
)

Goal = Literal["makespan", "completion", "tardiness"]
Between = Literal["free", "no-wait", "blocking"]

DAY_MINUTES = 24 * 60
LONGEST = 1_000_000  # time units; each is a tick of the axis
START = datetime(2001, 1, 1, tzinfo=UTC)
CALENDAR, FLOOR = "always", "floor"


def problem_of(
    instance: Instance,
    goal: Goal = "makespan",
    between: Between = "free",
    *,
    latest: int | None = None,
) -> Problem:
    """Write an instance as a problem whose level 1 is the goal.

    Parameters
    ----------
    goal : str
        `makespan`, the last finish; `completion`, the sum of weight times finish over
        projects; `tardiness`, the sum of weight times time after the due date.
    between : str
        What may lie between the activities of a project: `free`, any time;
        `no-wait`, none; `blocking`, any, but a job keeps its machine until the next
        one takes it (two jobs may exchange machines at one moment). The latter two
        are for jobs: activities one after the other, each on one resource of
        capacity 1.
    latest : int, optional
        A finish that some best plan is known to keep; `longest_plan` if not given.

    Raises
    ------
    UsageError
        If the instance can have no plan, or is not made of jobs where it must be.
    """
    for flaw in flaws(instance):
        where = instance.projects[flaw.project].name
        step = "" if flaw.activity is None else f", activity {flaw.activity + 1}"
        told = f"found {flaw.found}; expected {flaw.expected}"
        raise UsageError(f"project {where}{step}: {told}")
    if between != "free":
        _refuse_unless_jobs(instance)
    latest = longest_plan(instance) if latest is None else latest
    if latest > LONGEST:
        raise UsageError(
            f"{latest:,} time units of work; at most {LONGEST:,} are planned"
        )
    draft = _Draft(instance, goal, between, latest)
    for project in instance.projects:
        draft.add(project)
    if goal == "makespan":
        draft.close(END, list(draft.lasts), due=0, weight=1)
    return draft.problem()


def longest_plan(instance: Instance) -> int:
    """A finish within which some best plan lies for every goal, in time units."""
    work = sum(one.duration for p in instance.projects for one in p.activities)
    return work + max((one.release for one in instance.projects), default=0)


def _refuse_unless_jobs(instance: Instance) -> None:
    capacities = dict(instance.capacities)
    for project in instance.projects:
        last = len(project.activities) - 1
        for place, one in enumerate(project.activities):
            alone = [name for name, amount in one.demands if amount == 1]
            chained = one.followers == (() if place == last else (place + 1,))
            single = len(one.demands) == 1 and alone and capacities[alone[0]] == 1
            if not (chained and single and one.duration > 0):
                raise UsageError(
                    f"project {project.name}, activity {place + 1}: no-wait and "
                    "blocking are for jobs, one machine of capacity 1 after the other"
                )


@dataclass
class _Draft:
    instance: Instance
    goal: Goal
    between: Between
    latest: int
    orders: list[Order] = field(default_factory=list)
    operations: list[Operation] = field(default_factory=list)
    waits: list[Wait] = field(default_factory=list)
    parts: list[Part] = field(default_factory=list)
    lasts: list[str] = field(default_factory=list)  # what ends each project

    def add(self, project: Project) -> None:
        """Add a project's activities, and what counts of it."""
        due, weight = self._counted(project)
        if self.between == "free":
            self._add_apart(project, due)
            ends = [f"{project.name}.{place + 1}/work" for place in _ends(project)]
            self.close(f"{project.name}.{END}", ends, due, weight)
        else:
            self._add_whole(project, due, weight)

    def _counted(self, project: Project) -> tuple[int | None, int]:
        """Due time and weight of a project, as the goal counts them."""
        if self.goal == "makespan":
            return 0, 0
        due = 0 if self.goal == "completion" else project.due
        if due is not None and due > self.latest:
            due = None  # no plan that is looked for is so late
        return due, project.weight

    def _add_apart(self, project: Project, due: int | None) -> None:
        """Every activity an order by itself."""
        for place in in_order(project):
            order = f"{project.name}.{place + 1}"
            self._order(order, project.release, due, 0)
            self._operate(project, place, order, "work")
        for place, one in enumerate(project.activities):
            for after in one.followers:
                before = f"{project.name}.{place + 1}/work"
                self._wait(before, f"{project.name}.{after + 1}/work")

    def _add_whole(self, project: Project, due: int | None, weight: int) -> None:
        """A job as one order, with what lies between its steps."""
        name, last = project.name, len(project.activities) - 1
        self._order(name, project.release, due, weight)
        for place, one in enumerate(project.activities):
            self._operate(project, place, name, f"{place + 1}")
            if place:
                most = 0 if self.between == "no-wait" else None
                self._wait(f"{name}/{place}", f"{name}/{place + 1}", most)
            if self.between == "blocking":
                self._occupy(name, place, place == last, one.demands[0][0])
        self.lasts.append(f"{name}/{last + 1}")

    def _occupy(self, order: str, place: int, is_last: bool, machine: str) -> None:
        """Let a step keep its machine until the next one starts."""
        begin = f"{order}/{place + 1}"
        end = begin if is_last else f"{order}/{place + 2}"
        until = "end" if is_last else "start"
        part = f"step {place + 1}"
        self.parts.append(
            Part(order, part, None, None, machine, begin, end, place_to_of=until)
        )

    def close(
        self, order: str, after: Iterable[str], due: int | None, weight: int
    ) -> None:
        """Add an operation of no length, in an order of its own, after others."""
        self._order(order, 0, due, weight)
        self.operations.append(_operation(order, END, 0, (), 0))
        for before in after:
            self._wait(before, f"{order}/{END}")
        self.lasts.append(f"{order}/{END}")

    def _order(self, order: str, release: int, due: int | None, weight: int) -> None:
        day = None if due is None else START.date() + timedelta(days=due - 1)
        promised = None if day is None else day.isoformat()
        one = Order(order, "other", order, release, promised, None, weight)
        self.orders.append(one)

    def _operate(self, project: Project, place: int, order: str, code: str) -> None:
        one = project.activities[place]
        demands = () if self.between == "blocking" else one.demands
        taken = tuple((name, amount) for name, amount in demands if amount)
        self.operations.append(
            _operation(order, code, one.duration, taken, project.release)
        )

    def _wait(self, before: str, after: str, most: int | None = None) -> None:
        self.waits.append(
            Wait(
                id=f"{before}>{after}",
                kind="sequence",
                before=before,
                after=after,
                before_of="end",
                after_of="start",
                min_minutes=0,
                data_sheet_min_minutes=None,
                max_minutes=most,
                clock="wall",
            )
        )

    def problem(self) -> Problem:
        """Put everything together."""
        ticks = self.latest + 1  # what has no length needs a tick to stand in
        places: tuple[Place, ...] = ()
        stations = [Station(FLOOR, None)]
        if self.between == "blocking":
            places = tuple(
                Place(n, n, (), room) for n, room in self.instance.capacities
            )
        else:
            stations += [Station(name, room) for name, room in self.instance.capacities]
        return Problem(
            axis=Axis(START, DAY_MINUTES, ticks, "UTC"),
            now=0,
            week_start=1,
            delivery_calendar=CALENDAR,
            frozen_until=0,
            buffer_days=0,
            calendars=(Calendar(CALENDAR, ((0, ticks),), (), False),),
            people=(),
            molds=(),
            places=places,
            stations=tuple(stations),
            orders=tuple(self.orders),
            parts=tuple(self.parts),
            operations=tuple(self.operations),
            waits=tuple(self.waits),
            objective=Objective(("tardiness",), (0,), 0, 0, 0),
        )


def _ends(project: Project) -> list[int]:
    return [k for k, one in enumerate(project.activities) if not one.followers]


def _operation(
    order: str, code: str, duration: int, demands: tuple[tuple[str, int], ...], at: int
) -> Operation:
    """Work without people; its resources are stations."""
    return Operation(
        id=f"{order}/{code}",
        order=order,
        parts=(order,),
        code=code,
        station=FLOOR,
        calendar=CALENDAR,
        skill=None,
        crew_min=0,
        crew_max=0,
        labor_hours=0.0,
        remaining_hours=None,
        duration_minutes=duration * DAY_MINUTES,
        one_go=False,
        exclusive_part=False,
        demands=demands,
        earliest=at,
    )
