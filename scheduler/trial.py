"""What one more mold, place or person would bring: two plans of the same book.

Both arms are searched with the same budget and seeds; the changed arm starts from the
base arm's best choices, because a list of priorities alone can get worse when a
resource is added. A difference that lies inside the spread of the seeds is no
measurable difference.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from statistics import median
from typing import TYPE_CHECKING

from models.errors import UsageError
from models.yard import Mold, Person, Place
from scheduler.bounds import of_every_set
from scheduler.building.build import build_problem
from scheduler.compiling.arrays import BY_DUE_DATES, BY_LAST_FINISH
from scheduler.compiling.compile import Compilation, compile_problem
from scheduler.fitting import fitting_compilation
from scheduler.limits import Limits, limits_of
from scheduler.missed_windows import with_missed_windows
from scheduler.planner import (
    Request,
    assemble,
    find_plan,
    refuse_unless_sound,
)
from scheduler.searching.search import Budget

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from models.orders import Book
    from models.yard import Yard
    from scheduler.decoding.placing import Choices
    from scheduler.plan import Plan

SEEDS = 3

GOALS = {"late-days": BY_DUE_DATES, "last-finish": BY_LAST_FINISH}
"""What both arms of a trial are planned for."""


@dataclass(frozen=True)
class Addition:
    """One resource to try: what it is called, and the yard that has it."""

    text: str
    resource: str  # its id in the changed yard


@dataclass(frozen=True)
class Run:
    """One plan of one arm with one seed."""

    seed: int
    weighted_tardy_days: int
    late_boat_days: int
    boats_in_work: float  # on average, from now to the last finish
    last_finish_days: float  # from now
    worth: tuple[float, ...]  # by what the trial's plans are compared, less is better
    finishes: dict[str, str]  # order -> local date
    plan: Plan


@dataclass(frozen=True)
class Measure:
    """One figure in both arms: medians over the seeds, and the spread of either."""

    name: str
    unit: str
    before: float
    after: float
    spread: float

    @property
    def measurable(self) -> bool:
        """Whether the difference is larger than the spread of the seeds."""
        return abs(self.after - self.before) > self.spread


@dataclass(frozen=True)
class TrialResult:
    """Both arms side by side."""

    added: tuple[Addition, ...]
    goal: str
    measures: tuple[Measure, ...]
    used_days: dict[str, float]  # added mold or place: days taken; person: days at work
    before: Limits
    after: Limits
    base_runs: tuple[Run, ...]
    changed_runs: tuple[Run, ...]

    @property
    def measurable(self) -> bool:
        """Whether anything changed by more than the spread."""
        return any(one.measurable for one in self.measures)


def add_to_yard(yard: Yard, wanted: Sequence[str]) -> tuple[Yard, tuple[Addition, ...]]:
    """Add resources to a yard.

    Parameters
    ----------
    wanted : sequence of str
        `PART-mold:MODEL` (deck-mold:quillet-23), a kind of place (`bay`, `stand`), or
        `person:SKILL+SKILL`.

    Raises
    ------
    UsageError
        If a part, model, kind of place or skill is unknown.
    """
    added = []
    for number, text in enumerate(wanted, start=1):
        name, _, detail = text.partition(":")
        if name.endswith("-mold"):
            yard, resource = _add_mold(yard, name.removesuffix("-mold"), detail, number)
        elif name == "person":
            yard, resource = _add_person(yard, detail, number)
        else:
            yard, resource = _add_place(yard, name, detail, number)
        added.append(Addition(text, resource))
    return yard, tuple(added)


def _add_mold(yard: Yard, part: str, model: str, number: int) -> tuple[Yard, str]:
    parts = sorted({one.part for one in yard.molds})
    models = sorted({model for one in yard.molds for model in one.models})
    if part not in parts:
        raise UsageError(
            f"no mold makes a {part!r}; parts with molds: {', '.join(parts)}"
        )
    if model not in models:
        raise UsageError(f"no model {model!r}; models: {', '.join(models)}")
    mold = Mold(f"added {part} mold {number}", part, (model,))
    return replace(yard, molds=(*yard.molds, mold)), mold.id


def _add_place(yard: Yard, kind: str, model: str, number: int) -> tuple[Yard, str]:
    kinds = sorted({one.kind for one in yard.places})
    if kind not in kinds:
        raise UsageError(
            f"cannot add {kind!r}; try PART-mold:MODEL, person:SKILL+SKILL or a place: "
            f"{', '.join(kinds)}"
        )
    place = Place(f"added {kind} {number}", kind, (model,) if model else ())
    return replace(yard, places=(*yard.places, place)), place.id


def _add_person(yard: Yard, detail: str, number: int) -> tuple[Yard, str]:
    known = {one.id: one for one in yard.skills}
    skills = tuple(one for one in detail.split("+") if one)
    strange = [one for one in skills if one not in known]
    if strange or not skills:
        raise UsageError(
            f"person needs skills of this yard: {', '.join(sorted(known))}; "
            f"found {detail or 'none'!r}"
        )
    person = Person(f"added person {number}", skills, known[skills[0]].calendar)
    return replace(yard, people=(*yard.people, person)), person.id


def run_trial(
    book: Book,
    wanted: Sequence[str],
    budget: Budget,
    *,
    goal: str = "late-days",
    seeds: int = SEEDS,
    workers: int = 2,
    tell: Callable[[str], None] = lambda text: None,
    should_stop: Callable[[], bool] = lambda: False,
) -> TrialResult:
    """Plan a book with and without additions, and compare.

    Parameters
    ----------
    goal : str
        One of `GOALS`: what plans of both arms are made for. The last finish is that
        of a yard which wants all of a book done; late days are what customers feel.

    Raises
    ------
    UsageError
        If an addition is unknown.
    NoPlan, DataFaults
        As in planning.
    """
    book = with_missed_windows(book)
    yard, added = add_to_yard(book.yard, wanted)
    changed_book = replace(book, yard=yard)
    request = Request(budget=budget, workers=workers, goal=GOALS[goal])
    base = fitting_compilation(book, request)
    changed = _same_axis(changed_book, base, request.goal)
    base_runs, changed_runs = [], []
    starts: list[Choices] = []
    for seed in range(seeds):
        tell(f"seed {seed + 1} of {seeds}: as it is")
        own = replace(request, seed=seed)
        run, choices = _run(book, base, own, [], should_stop)
        base_runs.append(run)
        starts += choices
    for seed in range(seeds):
        tell(f"seed {seed + 1} of {seeds}: with {', '.join(wanted)}")
        own = replace(request, seed=seed)
        run, _ = _run(changed_book, changed, own, starts, should_stop)
        changed_runs.append(_better(base_runs[seed], run))
    last = best_run(changed_runs).plan
    return TrialResult(
        added=added,
        goal=goal,
        measures=_measures(base_runs, changed_runs),
        used_days={one.resource: used_days(last, one.resource) for one in added},
        before=limits_of(base),
        after=limits_of(changed),
        base_runs=tuple(base_runs),
        changed_runs=tuple(changed_runs),
    )


def _better(base: Run, changed: Run) -> Run:
    """The better plan of the changed arm; that of the base arm is one of its plans.

    Nothing forces an addition to be used, so a plan without it stands in the changed
    yard as well.
    """
    return changed if changed.worth <= base.worth else base


def best_run(runs: Sequence[Run]) -> Run:
    """The best plan of one arm; of equals that of the first seed."""
    return min(runs, key=lambda run: run.worth)


def _same_axis(book: Book, base: Compilation, goal: int) -> Compilation:
    """Compile a changed book on the axis of the base arm."""
    axis = base.problem.axis
    days = (axis.local(axis.ticks).date() - book.yard.as_of).days
    return compile_problem(build_problem(book, horizon_days=days), goal)


def _run(
    book: Book,
    compilation: Compilation,
    request: Request,
    starts: list[Choices],
    should_stop: Callable[[], bool],
) -> tuple[Run, list[Choices]]:
    """Plan one arm with one seed; the plan is checked before it counts."""
    done, found = find_plan(
        compilation, request, starts=starts, should_stop=should_stop
    )
    bound = of_every_set(compilation, done.bound)
    if request.goal == BY_LAST_FINISH:  # says nothing of late days
        bound = 0
    done = replace(done, bound=bound)
    plan = assemble(book, request, compilation, done)
    refuse_unless_sound(plan)
    return _summarize(plan, request), found.choices[:1]


def _summarize(plan: Plan, request: Request) -> Run:
    problem, axis = plan.problem, plan.problem.axis
    weights = {one.order: one.weight for one in problem.orders}
    boats = {one.order for one in problem.orders if one.kind != "other"}
    orders = plan.answer.orders
    order_of = {one.id: one.order for one in problem.operations}
    start: dict[str, int] = {}
    for one in plan.answer.operations:
        name = order_of[one.operation]
        start[name] = min(start.get(name, one.start), one.start)
    last = max(one.finish for one in orders)
    in_work = sum(
        one.finish - max(problem.now, start[one.order])
        for one in orders
        if one.finish > problem.now and one.order in boats
    )
    weighted = sum(weights[one.order] * one.tardy_days for one in orders)
    late = sum(one.tardy_days for one in orders if one.order in boats)
    boats_in_work = in_work / max(1, last - problem.now)
    worth = weighted, late, boats_in_work
    return Run(
        seed=request.seed,
        weighted_tardy_days=weighted,
        late_boat_days=late,
        boats_in_work=boats_in_work,
        last_finish_days=(last - problem.now) / axis.ticks_per_day,
        worth=(last, *worth) if request.goal == BY_LAST_FINISH else worth,
        finishes={
            one.order: axis.local(max(0, one.finish - 1)).date().isoformat()
            for one in orders
        },
        plan=plan,
    )


def _measures(base: Sequence[Run], changed: Sequence[Run]) -> tuple[Measure, ...]:
    def measure(name: str, unit: str, field: str) -> Measure:
        before = [float(getattr(run, field)) for run in base]
        after = [float(getattr(run, field)) for run in changed]
        spread = max(max(before) - min(before), max(after) - min(after))
        return Measure(name, unit, median(before), median(after), spread)

    return (
        measure("late boat-days", "working days", "late_boat_days"),
        measure("weighted tardiness", "weighted working days", "weighted_tardy_days"),
        measure("boats in work", "boats on average", "boats_in_work"),
        measure("last finish", "days from now", "last_finish_days"),
    )


def used_days(plan: Plan, resource: str) -> float:
    """Days for which a mold or place is taken, or a person is on operations."""
    axis = plan.problem.axis
    ticks = sum(
        one.finish - one.start
        for one in plan.answer.occupations
        if one.resource == resource
    )
    for planned in plan.answer.operations:
        for stint in planned.people:
            if stint.person == resource:
                ticks += sum(
                    min(stint.finish, finish) - max(stint.start, start)
                    for start, finish in planned.segments
                    if start < stint.finish and finish > stint.start
                )
    return ticks / axis.ticks_per_day
