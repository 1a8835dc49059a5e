"""The constraint model against published and derived optima, each with its source.

Every figure is compared as "equal and proven". Sources are given as in the team's list
of check values (CV): derived ones follow from the definition and were recomputed by
script.
"""

from __future__ import annotations

import pytest

from scheduler.problem import Operation, Part, Problem, Wait
from tests.outside.small_shop import after, operation, part, shop, shortest


def blocking_yard(boats: int, molds: int, bays: int) -> Problem:
    """Hulls of 5 in the mold and 7 in a bay; a hull leaves its mold only into a bay."""
    operations: list[Operation] = []
    waits: list[Wait] = []
    parts: list[Part] = []
    for number in range(1, boats + 1):
        name = f"B{number}"
        operations += [
            operation(name, "mold", 5),
            operation(name, "demold", 0),
            operation(name, "bay", 7),
        ]
        waits += [
            after(f"{name}/mold", f"{name}/demold"),
            after(f"{name}/demold", f"{name}/bay"),
        ]
        parts.append(part(name, "hull", ("mold", "demold"), ("demold", "bay")))
    return shop(
        operations,
        ticks=12 * boats + 5,
        waits=waits,
        parts=parts,
        molds=["hull"] * molds,
        bays=bays,
    )


@pytest.mark.parametrize(("bays", "makespan"), [(1, 26), (2, 22)])
def test_blocking_of_one_mold(bays: int, makespan: int) -> None:
    """CV-28 (derived, recomputed): 3 boats, one mold; one bay 26 days, two bays 22."""
    found, result = shortest(blocking_yard(3, 1, bays))
    assert found == makespan
    if bays == 1 and result.solution is not None:
        released = sorted(result.solution.start[1::3].tolist())
        begun = sorted(result.solution.start[0::3].tolist())
        assert released == [5, 12, 19]  # as in CV-28
        assert begun[2] >= 12  # the mold is blocked until the second hull leaves it


@pytest.mark.parametrize(
    ("boats", "molds", "bays", "makespan"),
    [(3, 2, 2, 19), (6, 1, 2, 37), (6, 2, 2, 26), (6, 2, 3, 24)],
)
def test_blocking_of_molds_and_bays(
    boats: int, molds: int, bays: int, makespan: int
) -> None:
    """CV-29 (derived, optima proven by another script)."""
    assert shortest(blocking_yard(boats, molds, bays))[0] == makespan


@pytest.mark.parametrize(
    ("people", "minutes"),
    [(3, 60), (4, 60), (5, 45), (6, 30), (7, 30), (8, 30), (9, 30)],
)
def test_movers_and_people(people: int, minutes: int) -> None:
    """CV-80 (data: Programming with Constraints: An Introduction, p. 112).

    Piano 30 minutes with 3 people, chair 10 with 1, bed 15 with 3, table 15 with 2;
    the book gives 60 for four people, the others were recomputed.
    """
    tasks = {"piano": (30, 3), "chair": (10, 1), "bed": (15, 3), "table": (15, 2)}
    jobs = [
        operation(name, "move", length // 5, skill="carry", crew=(crew, crew))
        for name, (length, crew) in tasks.items()
    ]
    problem = shop(jobs, ticks=20, people=[["carry"]] * people)
    assert shortest(problem)[0] * 5 == minutes


@pytest.mark.parametrize(
    ("crew", "people", "hours"),
    [((1, 4), 4, 18), ((2, 3), 5, 16), ((2, 2), 5, 24), ((3, 3), 5, 24)],
)
def test_three_jobs_with_a_choice_of_crew(
    crew: tuple[int, int], people: int, hours: int
) -> None:
    """CV-81 (derived, recomputed): three jobs of 24 h, elapsed = ceil(h / crew)."""
    jobs = [
        operation(f"J{number}", "work", 0, skill="any", crew=crew, labor=24)
        for number in range(3)
    ]
    assert shortest(shop(jobs, ticks=80, people=[["any"]] * people))[0] == hours


def test_three_unlike_jobs_with_a_choice_of_crew() -> None:
    """CV-82 (derived, recomputed): 12 h by 1-3, 24 h by 2-3, 18 h by 1-3; 3 people."""
    jobs = [
        operation("A", "work", 0, skill="any", crew=(1, 3), labor=12),
        operation("B", "work", 0, skill="any", crew=(2, 3), labor=24),
        operation("C", "work", 0, skill="any", crew=(1, 3), labor=18),
    ]
    assert shortest(shop(jobs, ticks=60, people=[["any"]] * 3))[0] == 18


SKILLED = (("laminate", "gel"), ("laminate",), ("gel", "wire"), ("wire",))


def makespan_of_demand(demand: tuple[int, int, int]) -> int:
    """Ticks that work of one tick takes: 1 if it can all be manned at once."""
    jobs = [
        operation(skill, "work", 1, skill=skill, crew=(count, count))
        for skill, count in zip(("laminate", "gel", "wire"), demand, strict=True)
        if count
    ]
    return shortest(shop(jobs, ticks=5, people=SKILLED))[0]


@pytest.mark.parametrize(
    "demand",
    [(1, 2, 1), (2, 1, 1), (0, 1, 2), (2, 0, 2), (1, 1, 2), (0, 2, 1)],
)
def test_demands_that_can_be_manned(demand: tuple[int, int, int]) -> None:
    """CV-83 (derived, recomputed by maximum flow): all can be manned at once."""
    assert makespan_of_demand(demand) == 1


@pytest.mark.parametrize("demand", [(2, 2, 0), (0, 2, 2), (2, 2, 1)])
def test_demands_that_pass_each_skill_but_not_together(
    demand: tuple[int, int, int],
) -> None:
    """CV-84 (derived, recomputed): two skills need four people and have three."""
    assert makespan_of_demand(demand) > 1


def shifts(days: int) -> tuple[tuple[int, int], ...]:
    """Eight hours a day."""
    return tuple((24 * day, 24 * day + 8) for day in range(days))


@pytest.mark.parametrize(
    ("hours", "one_go", "day", "hour"),
    [
        ((5, 5, 5), True, 3, 5),  # CV-86
        ((5, 5, 5), False, 2, 7),  # CV-86
        ((5, 3, 5), True, 2, 5),  # CV-87
    ],
)
def test_one_go_work_in_shifts(
    hours: tuple[int, ...], one_go: bool, day: int, hour: int
) -> None:
    """CV-86, CV-87 (derived, recomputed): one crew, shifts of eight hours."""
    jobs = [
        operation(f"J{number}", "lay", length, skill="lay", crew=(1, 1), one_go=one_go)
        for number, length in enumerate(hours)
    ]
    problem = shop(jobs, ticks=24 * 6, people=[["lay"]], opened=shifts(6))
    assert shortest(problem)[0] == 24 * (day - 1) + hour


def mini_yard(
    boats: int, hull_molds: int, deck_molds: int, bays: int, people: int
) -> Problem:
    """The mini yard of CV-88 and CV-89; one tick is a day."""
    operations: list[Operation] = []
    waits: list[Wait] = []
    parts: list[Part] = []
    for number in range(1, boats + 1):
        name = f"B{number}"
        operations += [
            operation(name, "hull", 2, skill="any", crew=(2, 2)),
            operation(name, "demold", 0),
            operation(name, "rig", 3, skill="any", crew=(1, 1)),
            operation(name, "deck", 1, skill="any", crew=(2, 2)),
            operation(name, "lift", 0),
            operation(name, "join", 1, skill="any", crew=(2, 2)),
        ]
        waits += [
            after(f"{name}/hull", f"{name}/demold", 2),
            after(f"{name}/demold", f"{name}/rig", most=0),  # the bay starts with rig
            after(f"{name}/deck", f"{name}/lift", 1),
            after(f"{name}/rig", f"{name}/join"),
            after(f"{name}/lift", f"{name}/join"),
        ]
        parts += [
            part(name, "hull", ("hull", "demold"), ("demold", "join")),
            part(name, "deck", ("deck", "lift")),
        ]
    return shop(
        operations,
        ticks=10 * boats,
        people=[["any"]] * people,
        waits=waits,
        parts=parts,
        molds=["hull"] * hull_molds + ["deck"] * deck_molds,
        bays=bays,
    )


def rows(
    yards: dict[tuple[int, int, int, int], tuple[int, ...]],
) -> list[tuple[int, tuple[int, int, int, int], int]]:
    """One case a yard and number of boats."""
    return [
        (boats, yard, makespan)
        for yard, makespans in yards.items()
        for boats, makespan in zip((1, 2, 3, 4, 6), makespans, strict=False)
    ]


ALONE = {
    (1, 1, 1, 3): (8, 12, 16, 20, 28),
    (2, 1, 1, 3): (8, 12, 16, 20, 28),
    (1, 1, 2, 3): (8, 12, 16, 20, 28),
}
PAIRED = {
    (2, 1, 2, 3): (8, 10, 13, 17, 25),
    (2, 1, 2, 4): (8, 8, 12, 14, 20),
    (2, 1, 2, 2): (8, 12, 18, 23),  # for six boats no proven figure is known
}


@pytest.mark.parametrize(("boats", "yard", "makespan"), rows(ALONE))
def test_one_more_mold_or_bay_alone_does_not_help(
    boats: int, yard: tuple[int, int, int, int], makespan: int
) -> None:
    """CV-88 (derived, recomputed): the same makespans in all three yards."""
    assert shortest(mini_yard(boats, *yard))[0] == makespan


@pytest.mark.parametrize(("boats", "yard", "makespan"), rows(PAIRED))
def test_a_mold_and_a_bay_together_help_until_people_bind(
    boats: int, yard: tuple[int, int, int, int], makespan: int
) -> None:
    """CV-89 (derived, recomputed)."""
    assert shortest(mini_yard(boats, *yard))[0] == makespan
