"""Published anomalies of list scheduling, with the event-driven decoder.

Whenever a machine is free, the first task of a list that is ready takes it. More
machines, less work or fewer arcs can then end later.
"""

from __future__ import annotations

import numpy as np
import pytest

from scheduler.classical.instance import Activity, Instance, Project
from scheduler.classical.lists import activities_of
from scheduler.classical.problem_of import problem_of
from scheduler.compiling.arrays import FAR
from scheduler.compiling.compile import compile_problem
from scheduler.decoding.decoder import VALUES, due_positions, new_state, open_boats
from scheduler.decoding.in_time import SCRATCH, Priorities, decode_in_time
from scheduler.searching.chain import new_choices
from scheduler.searching.search import facts_of

TIMES = (3, 2, 2, 2, 4, 4, 4, 4, 9)
ARCS = ((1, 9), (4, 5), (4, 6), (4, 7), (4, 8))
NO_SLACK = 2**40  # a look-ahead so long that slack counts for nothing


def makespan_of(
    tasks: tuple[int, ...],
    arcs: tuple[tuple[int, int], ...],
    machines: int,
    task_list: tuple[int, ...],
) -> int:
    """The finish of tasks 1.. taken from a list whenever a machine is free."""
    activities = tuple(
        Activity(
            time, (("M", 1),), tuple(then - 1 for one, then in arcs if one == number)
        )
        for number, time in enumerate(tasks, start=1)
    )
    instance = Instance((("M", machines),), (Project("P", activities),))
    compilation = compile_problem(problem_of(instance))
    a = compilation.arrays
    value = np.full(len(a.boat_due), -float(len(tasks) + 1))
    for op in activities_of(compilation):
        number = int(compilation.operations[op].split(".")[1].split("/")[0])
        value[a.boat_of[op]] = -float(task_list.index(number))
    operations = len(a.boat_of)
    priorities = Priorities(
        due=np.full(len(a.boat_due), FAR, np.int64),
        value=value,
        tail=np.zeros(operations, np.int32),
        scale=NO_SLACK,
        patience=0,
        most=operations,
        ready=np.zeros(operations, np.int32),
        asked=np.zeros(operations, np.int32),
        left=np.zeros(len(a.boat_due), np.int32),
        count=np.zeros(SCRATCH, np.int64),
    )
    state, values = new_state(a), np.zeros(VALUES, np.int64)
    choices = new_choices(a, open_boats(a))
    assert decode_in_time(
        a, facts_of(a), state, choices, priorities, due_positions(a), values
    )
    return int(values[0])


LIST = (1, 2, 3, 4, 5, 6, 7, 8, 9)


def test_nine_tasks_from_a_list() -> None:
    """CV-76 (published anomalies of machine scheduling; recomputed): 12."""
    assert makespan_of(TIMES, ARCS, 3, LIST) == 12


@pytest.mark.parametrize(
    ("less", "arcs", "machines", "task_list", "expected"),
    [
        (1, ARCS, 3, LIST, 13),  # all times shorter
        (0, ARCS, 4, LIST, 15),  # a machine more
        (0, ((1, 9), (4, 7), (4, 8)), 3, LIST, 16),  # two arcs fewer
        (0, ARCS, 3, (1, 2, 4, 5, 6, 3, 9, 7, 8), 14),  # another list
    ],
)
def test_relaxed_tasks_end_later(
    less: int,
    arcs: tuple[tuple[int, int], ...],
    machines: int,
    task_list: tuple[int, ...],
    expected: int,
) -> None:
    """CV-77 (13, 15, 16 published, 14 recomputed): each change makes it worse."""
    times = tuple(time - less for time in TIMES)
    assert makespan_of(times, arcs, machines, task_list) == expected


@pytest.mark.parametrize(
    ("tasks", "machines", "expected"),
    [((3, 3, 2, 2, 2), 2, 7), ((5, 5, 4, 4, 3, 3, 3), 3, 11)],
)
def test_longest_first(tasks: tuple[int, ...], machines: int, expected: int) -> None:
    """CV-67 (derived): longest first ends at 7 (best 6) and at 11 (best 9)."""
    task_list = tuple(range(1, len(tasks) + 1))
    assert makespan_of(tasks, (), machines, task_list) == expected
