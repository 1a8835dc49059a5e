"""Sequencing rules on one machine, machines side by side, and flow shops.

Orders given by a rule are decoded; optima are proven by search and constraint model.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import permutations

import numpy as np
import pytest

from scheduler.classical.bounds import makespan_bound
from scheduler.classical.instance import Instance, Project, job, job_shop
from scheduler.classical.problem_of import Between, Goal, problem_of
from scheduler.classical.searching import decoded
from scheduler.classical.solve import Effort, solve_instance
from scheduler.compiling.compile import Compilation, compile_problem
from scheduler.searching.alone import alone_figures
from scheduler.searching.chain import new_choices
from scheduler.searching.rules import rule_orders
from scheduler.searching.search import facts_of

EFFORT = Effort(seconds=600.0, schedules=500)  # seconds: a stop for what hangs

Jobs = dict[str, tuple[int, int]]
FIVE: Jobs = {"A": (6, 8), "B": (2, 6), "C": (8, 18), "D": (3, 15), "E": (9, 23)}
TEN: Jobs = {
    "1": (19, 48), "2": (23, 75), "3": (5, 170), "4": (31, 215), "5": (17, 205),
    "6": (8, 240), "7": (32, 85), "8": (41, 67), "9": (26, 100), "10": (18, 95),
}  # fmt: skip


def one_machine(jobs: Jobs) -> Instance:
    """Jobs of a time and a due date on one machine."""
    return job_shop([job(n, [("M", p)], due=due) for n, (p, due) in jobs.items()])


def compiled(instance: Instance, goal: Goal) -> Compilation:
    """Every job one order, so that an order of orders is a sequence."""
    return compile_problem(problem_of(instance, goal, "no-wait"))


def value_of(instance: Instance, goal: Goal, sequence: Sequence[str]) -> int:
    """What a sequence comes to."""
    compilation = compiled(instance, goal)
    order = np.array([compilation.orders.index(one) for one in sequence], np.int32)
    return decoded(compilation, new_choices(compilation.arrays, order)).values[0]


def finishes(jobs: Jobs, sequence: Sequence[str]) -> dict[str, int]:
    """When each job ends in a sequence."""
    compilation = compiled(one_machine(jobs), "completion")
    order = np.array([compilation.orders.index(one) for one in sequence], np.int32)
    plan = decoded(compilation, new_choices(compilation.arrays, order))
    return dict(zip(compilation.orders, plan.finish.tolist(), strict=True))


def by_rule(instance: Instance, rule: str) -> list[str]:
    """The sequence that a rule of the search gives."""
    compilation = compiled(instance, "tardiness")
    a = compilation.arrays
    order = rule_orders(a, alone_figures(a, facts_of(a)))[rule]
    return [compilation.orders[boat] for boat in order]


def best(instance: Instance, goal: Goal, between: Between = "free") -> int:
    """The proven best value."""
    result = solve_instance(instance, goal, between, effort=EFFORT)
    assert result.status == "proven"
    return result.value


@pytest.mark.parametrize(
    ("sequence", "completion", "tardiness", "late", "lateness"),
    [
        ("ABCDE", 77, 11, 3, None),  # CV-60: first come, first served
        ("BDACE", 65, 9, 3, 5),  # CV-61: shortest first
        ("BADCE", 68, 6, 2, 5),  # CV-61: earliest due date
        ("ECADB", 103, 48, 3, 22),  # CV-61: longest first
    ],
)
def test_five_jobs_in_sequence(
    sequence: str, completion: int, tardiness: int, late: int, lateness: int | None
) -> None:
    """CV-60, CV-61 (operations-management text, from memory; recomputed).

    All end at 28, whatever the sequence.
    """
    shop = one_machine(FIVE)
    assert value_of(shop, "completion", sequence) == completion
    assert value_of(shop, "tardiness", sequence) == tardiness
    ends = finishes(FIVE, sequence)
    overs = [ends[name] - due for name, (_, due) in FIVE.items()]
    assert sum(over > 0 for over in overs) == late
    assert lateness is None or max(overs) == lateness
    assert max(ends.values()) == 28


def test_rules_of_the_search_are_those_of_the_textbook() -> None:
    """CV-61: earliest due date gives BADCE, first finished (shortest) BDACE."""
    assert "".join(by_rule(one_machine(FIVE), "due")) == "BADCE"
    assert "".join(by_rule(one_machine(FIVE), "first finished")) == "BDACE"


def test_best_sequences_of_five_jobs() -> None:
    """CV-62 (derived, by enumeration): least tardiness 6, least sum of finishes 65."""
    assert best(one_machine(FIVE), "tardiness") == 6
    assert best(one_machine(FIVE), "completion") == 65


@pytest.mark.parametrize(
    ("rule", "completion", "tardiness", "late", "lateness"),
    [("due", 1346, 135, 4, 59), ("first finished", 915, 297, 5, 153)],
)
def test_ten_jobs_by_rule(
    rule: str, completion: int, tardiness: int, late: int, lateness: int
) -> None:
    """CV-64 (inputs: a scheduling exercise; recomputed)."""
    shop = one_machine(TEN)
    sequence = by_rule(shop, rule)
    assert value_of(shop, "completion", sequence) == completion
    assert value_of(shop, "tardiness", sequence) == tardiness
    ends = finishes(TEN, sequence)
    overs = [ends[name] - due for name, (_, due) in TEN.items()]
    assert (sum(over > 0 for over in overs), max(overs)) == (late, lateness)


def test_weighted_finishes() -> None:
    """CV-65 (derived): 2, 4, 5, 1, 3 is a best sequence with 297."""
    jobs = {"1": (12, 4), "2": (5, 5), "3": (8, 1), "4": (3, 3), "5": (10, 5)}
    shop = job_shop([job(n, [("M", p)], weight=w) for n, (p, w) in jobs.items()])
    assert value_of(shop, "completion", "24513") == 297
    assert best(shop, "completion") == 297


def test_weighted_tardiness() -> None:
    """CV-66 (derived): A, B, D, C is best with 67; earliest due date comes to 136."""
    jobs = {"A": (12, 16, 4), "B": (8, 26, 5), "C": (15, 25, 3), "D": (9, 27, 5)}
    shop = job_shop(
        [job(n, [("M", p)], due=d, weight=w) for n, (p, d, w) in jobs.items()]
    )
    assert value_of(shop, "tardiness", "ABDC") == 67
    assert value_of(shop, "tardiness", by_rule(shop, "due")) == 136
    assert best(shop, "tardiness") == 67


def side_by_side(times: Sequence[int], machines: int) -> Instance:
    """Jobs of one step on machines that are all alike."""
    jobs: list[Project] = [job(f"{n}", [("M", p)]) for n, p in enumerate(times)]
    return Instance((("M", machines),), tuple(jobs))


@pytest.mark.parametrize(
    ("times", "machines", "longest_first", "optimum"),
    [((3, 3, 2, 2, 2), 2, 7, 6), ((5, 5, 4, 4, 3, 3, 3), 3, 11, 9)],
)
def test_machines_side_by_side(
    times: tuple[int, ...], machines: int, longest_first: int, optimum: int
) -> None:
    """CV-67 (derived, by enumeration): longest first is not always best."""
    instance = side_by_side(times, machines)
    compilation = compile_problem(problem_of(instance))
    order = new_choices(compilation.arrays, np.arange(2 * len(times) + 1))
    assert decoded(compilation, order).values[0] == longest_first
    assert best(instance, "makespan") == optimum


def test_bound_of_machines_side_by_side() -> None:
    """CV-68 (derived): the longest job or the load: 9, and 24 hours on two give 12."""
    assert makespan_bound(side_by_side((9, 7, 4, 4), 3)) == 9
    assert makespan_bound(side_by_side((8, 6, 6, 4), 2)) == 12


FLOWS = {
    "CV-70": ((11, 22), (4, 5), (5, 3), (15, 16), (10, 8)),
    "CV-71": ((5, 2), (3, 6), (8, 4), (10, 7), (7, 12)),
    "CV-72": ((4, 8), (10, 5), (3, 11), (14, 14), (6, 1), (7, 12)),
    "CV-73": ((10, 2), (5, 4), (7, 5), (3, 6), (1, 7)),
    "CV-74": ((3, 8), (12, 10), (5, 9), (2, 6), (9, 3), (11, 1)),
    "CV-75": ((2, 5, 3), (4, 1, 4), (3, 2, 2), (5, 3, 6)),
}


def flow_shop(name: str) -> Instance:
    """Jobs that all go through machines 1, 2, 3 in turn."""
    return job_shop(
        [
            job(f"{n}", [(f"M{k}", time) for k, time in enumerate(times, start=1)])
            for n, times in enumerate(FLOWS[name], start=1)
        ]
    )


def flow_makespan(instance: Instance, order: Sequence[int]) -> int:
    """The makespan of jobs (counted from 1) in an order that all machines keep."""
    compilation = compile_problem(problem_of(instance))
    names = [
        f"{n}.{step + 1}"
        for n in order
        for step in range(len(instance.projects[n - 1].activities))
    ]
    names += [f"{n}.end" for n in order] + ["end"]
    places = np.array([compilation.orders.index(one) for one in names], np.int32)
    return decoded(compilation, new_choices(compilation.arrays, places)).values[0]


@pytest.mark.parametrize(
    ("name", "sequence", "makespan", "given", "worst", "without_waiting"),
    [
        ("CV-70", (2, 1, 4, 5, 3), 64, 65, 73, None),
        ("CV-71", (2, 5, 4, 3, 1), 35, 45, 48, 37),
        ("CV-72", (3, 1, 6, 4, 2, 5), 54, 58, None, 56),
        ("CV-73", (5, 4, 3, 2, 1), 28, None, None, 29),
        ("CV-74", (4, 1, 3, 2, 5, 6), 43, None, None, 44),
        ("CV-75", None, 22, None, None, 22),
    ],
)
def test_flow_shops(
    name: str,
    sequence: tuple[int, ...] | None,
    makespan: int,
    given: int | None,
    worst: int | None,
    without_waiting: int | None,
) -> None:
    """CV-70 to CV-75 (CV-70's sequence and all inputs published; recomputed).

    Two of them stand in print as 26 and 39 (CV-03, CV-04), which is wrong.
    """
    instance = flow_shop(name)
    assert best(instance, "makespan") == makespan
    if sequence is not None:
        assert flow_makespan(instance, sequence) == makespan
    everyone = range(1, len(instance.projects) + 1)
    if given is not None:
        assert flow_makespan(instance, everyone) == given
    if worst is not None:
        orders = permutations(everyone)
        assert max(flow_makespan(instance, order) for order in orders) == worst
    if without_waiting is not None:
        assert best(instance, "makespan", "no-wait") == without_waiting
        assert best(instance, "makespan", "blocking") == without_waiting
