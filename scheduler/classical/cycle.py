"""The shortest cycle of a line of stages that one hoist serves.

Every cycle one part enters the line and one leaves it. A part stays in each stage for
no less than a least and no more than a most time, the hoist carries one part at a time
and travels empty in between; nothing waits outside a stage. This is the smallest takt
that such a line can keep, as an integer program solved by constraint programming.

    line = Line(soaks=((5, None), (10, 12)), loaded=(3, 3), empty=((0, 1), (1, 0)))
    found = shortest_cycle(line, seconds=5)

`found.cycle` then has period 21: 5 at stage 0, 3 there, 10 in the stage and 3 back.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations, permutations, product

from ortools.sat.python import cp_model


@dataclass(frozen=True, slots=True)
class Line:
    """Stages in the order of the work; from the last a part returns to stage 0.

    `soaks` are the least and most time in each stage (None: any), `loaded` the time
    from stage i to the next with a part, lifting and lowering included, `empty` the
    travel between any two stages without one. All in whole units of time.
    """

    soaks: tuple[tuple[int, int | None], ...]
    loaded: tuple[int, ...]
    empty: tuple[tuple[int, ...], ...]


@dataclass(frozen=True, slots=True)
class Cycle:
    """When the hoist takes a part out of each stage, once in every period."""

    period: int
    removals: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Found:
    """The shortest cycle found, and the period that no cycle is shorter than.

    No cycle: within the limits there is none (`bound` is above the limit), or none was
    found in time.
    """

    cycle: Cycle | None
    bound: int


def shortest_cycle(
    line: Line, *, longest: int | None = None, seconds: float = 60.0, workers: int = 2
) -> Found:
    """Find the shortest cycle of at most `longest` units (by default: one part alone).

    Raises
    ------
    ValueError
        If the tables of the line are not of one size.
    """
    stages = len(line.soaks)
    if not len(line.loaded) == len(line.empty) == stages:
        raise ValueError("a line needs soaks, loaded and empty travel for each stage")
    alone = sum(least for least, _ in line.soaks) + sum(line.loaded)
    limit = alone if longest is None else longest
    model = cp_model.CpModel()
    period = model.new_int_var(1, limit, "period")
    removal = [model.new_int_var(0, limit, f"removal {i}") for i in range(stages)]
    model.add(removal[0] == 0)
    soonest = _soonest(line)
    for stage, (least, most) in enumerate(line.soaks):
        apart = soonest[stage][(stage - 1) % stages]
        _soak(model, line, period, removal, stage, (least, most), apart)
    for one, other in combinations(range(stages), 2):
        _take_turns(model, soonest, period, removal, (one, other))
    _follow(model, line, period, removal)
    for at in removal:
        model.add(at <= period - 1)
    model.minimize(period)
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = workers
    status = solver.solve(model)
    if status == cp_model.INFEASIBLE:
        return Found(None, limit + 1)
    bound = max(1, round(solver.best_objective_bound))
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Found(None, bound)
    times = tuple(int(solver.value(one)) for one in removal)
    return Found(Cycle(int(solver.value(period)), times), bound)


def _soak(
    model: cp_model.CpModel,
    line: Line,
    period: cp_model.IntVar,
    removal: list[cp_model.IntVar],
    stage: int,
    limits: tuple[int, int | None],
    apart: int,
) -> None:
    """Keep a part in a stage long enough and not too long, and the stage for one.

    It leaves in the cycle in which it came, or in the one after: then at least `apart`
    before the hoist goes for the next part.
    """
    before = (stage - 1) % len(removal)
    arrival = removal[before] + line.loaded[before]
    later = model.new_bool_var(f"stage {stage} is left in the cycle after")
    least, most = limits
    gone = removal[stage] + apart
    model.add(gone <= removal[before]).only_enforce_if(later)
    for literal, left in (
        (later.negated(), removal[stage] - arrival),
        (later, removal[stage] + period - arrival),
    ):
        model.add(left >= least).only_enforce_if(literal)
        if most is not None:
            model.add(left <= most).only_enforce_if(literal)


def _take_turns(
    model: cp_model.CpModel,
    soonest: list[list[int]],
    period: cp_model.IntVar,
    removal: list[cp_model.IntVar],
    pair: tuple[int, int],
) -> None:
    """Keep any two moves as far apart as the hoist needs, whatever is in between."""
    one, other = pair
    first = model.new_bool_var(f"move {one} before {other}")
    for literal, a, b in ((first, one, other), (first.negated(), other, one)):
        there, back = soonest[a][b], soonest[b][a]
        model.add(removal[b] >= removal[a] + there).only_enforce_if(literal)
        model.add(removal[a] + period >= removal[b] + back).only_enforce_if(literal)


def _follow(
    model: cp_model.CpModel,
    line: Line,
    period: cp_model.IntVar,
    removal: list[cp_model.IntVar],
) -> None:
    """Let the hoist finish one move and travel to the next before it begins that.

    The moves of a period are a round from that of stage 0 back to it.
    """
    arcs = []
    for one, other in permutations(range(len(removal)), 2):
        next_one = model.new_bool_var(f"move {other} right after {one}")
        arcs.append((one, other, next_one))
        until = removal[other] if other else period
        apart = _apart(line, one, other)
        model.add(until >= removal[one] + apart).only_enforce_if(next_one)
    if arcs:
        model.add_circuit(arcs)


def _soonest(line: Line) -> list[list[int]]:
    """Least time from the begin of each move to that of each, others in between.

    To go there without a part is not always soonest: it may be sooner with one.
    """
    stages = range(len(line.loaded))
    out = [[_apart(line, one, other) for other in stages] for one in stages]
    for between, one, other in product(stages, repeat=3):
        out[one][other] = min(out[one][other], out[one][between] + out[between][other])
    return out


def _apart(line: Line, a: int, b: int) -> int:
    """Least time from the begin of move a to that of move b."""
    return line.loaded[a] + line.empty[(a + 1) % len(line.loaded)][b]


def cycle_faults(line: Line, cycle: Cycle) -> list[str]:
    """Say what is wrong with a cycle, move by move and stage by stage."""
    stages, faults = len(line.soaks), []
    moves = sorted(
        (at % cycle.period, stage) for stage, at in enumerate(cycle.removals)
    )
    for (at, stage), (then, following) in zip(
        moves, [*moves[1:], (moves[0][0] + cycle.period, moves[0][1])], strict=True
    ):
        there = at + line.loaded[stage]
        ready = there + line.empty[(stage + 1) % stages][following]
        if then < ready:
            faults.append(
                f"the hoist is wanted at stage {following} at {then}, "
                f"but from stage {stage} it is there at {ready}"
            )
    for stage, (least, most) in enumerate(line.soaks):
        before = (stage - 1) % stages
        arrival = cycle.removals[before] + line.loaded[before]
        stay = (cycle.removals[stage] - arrival) % cycle.period
        if stay < least:
            faults.append(f"stage {stage} is left after {stay}, at least {least}")
        if most is not None and stay > most:
            faults.append(f"stage {stage} is left after {stay}, at most {most}")
    return faults


def parts_in_line(line: Line, cycle: Cycle) -> int:
    """How many parts are in the line when another one leaves stage 0.

    A part is as long in the line as its soaks and loaded moves take, stage 0 left out.
    """
    stages = len(line.soaks)
    total = line.loaded[0]
    for stage in range(1, stages):
        arrival = cycle.removals[stage - 1] + line.loaded[stage - 1]
        total += (cycle.removals[stage] - arrival) % cycle.period + line.loaded[stage]
    return (total - 1) // cycle.period
