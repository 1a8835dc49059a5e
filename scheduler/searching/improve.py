"""Rounds of reinsertion on the plans that a search of orders has found.

Each plan is improved by itself, half-way the worse one goes on from the better one, and
at the end work only moves later, which lowers work in process. With a budget of decodes
the result is the same for a seed, with one worker or several.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field

from scheduler.compiling.arrays import I32, Arrays
from scheduler.decoding.decoder import due_positions
from scheduler.decoding.kernel import copy_row
from scheduler.decoding.placing import Choices, State
from scheduler.searching.chain import copy_choices
from scheduler.searching.reinsert import (
    Plant,
    copy_plan,
    new_plant,
    run_reinsertions,
    whole_plant,
)
from scheduler.searching.search import Budget, Found, Progress, Report

HEAT_FROM, HEAT_TO = 30.0, 2.0  # weighted open ticks
QUIET_SHARE = 0.2  # of the budget, at its end, spent on beginning work later
ROUND_SECONDS = 0.3
ROUNDS = 20  # of a budget of decodes


@dataclass(frozen=True)
class Improved:
    """A whole plan, the crews and delays chosen in it, and its value."""

    plan: State
    choices: Choices
    values: tuple[int, ...]


@dataclass
class _Rounds:
    a: Arrays
    due_position: I32
    budget: Budget
    should_stop: Callable[[], bool]
    workers: int
    boats_a_round: int
    boats: int = 0
    began: float = field(default_factory=time.monotonic)

    @property
    def seconds(self) -> float:
        return time.monotonic() - self.began

    @property
    def share(self) -> float:
        """How much of the budget is spent."""
        if self.budget.work is not None:
            return self.boats / max(1, _boats_of(self.a, self.budget.work))
        return self.seconds / max(self.budget.seconds or 0.0, 1e-9)


def _boats_of(a: Arrays, work: int) -> int:
    """Boats put in again in the time of some decodes: one redoes half of the order."""
    return work * max(1, len(a.boat_due) // 2)


def remaining_budget(searching: Budget, improving: Budget, found: Found) -> Budget:
    """The budget of reinsertion, and what the search has left of its own."""
    if improving.work is not None:
        unspent = max(0, (searching.work or 0) - found.decodes)
        return Budget(None, improving.work + unspent)
    if not improving.seconds:
        return improving
    return Budget(
        improving.seconds + max(0.0, (searching.seconds or 0) - found.seconds)
    )


def improve(
    a: Arrays,
    facts: State,
    found: Found,
    budget: Budget,
    *,
    seed: int = 0,
    workers: int = 2,
    report: Report | None = None,
    should_stop: Callable[[], bool] = lambda: False,
) -> list[Improved]:
    """Improve what a search has found; best first, and never worse than it was.

    Raises nothing; with no choices, or no budget, the list is empty.
    """
    due_position = due_positions(a)
    starts = [*found.choices, *(one.choices for one in found.whole)]
    nothing = not starts or len(starts[0].order) == 0
    if nothing or not (budget.work or budget.seconds):
        return []
    plants = _new_plants(a, facts, found, due_position, seed)
    if not plants:
        return []
    run_reinsertions(a, plants[0], due_position, 0, 1.0, 1.0, 0)  # compile or load it
    rounds = _Rounds(
        a, due_position, budget, should_stop, workers, _first_round(a, budget)
    )
    _run_rounds(rounds, plants, found, report)
    plants.sort(key=lambda plant: tuple(plant.value[2]))
    return [
        Improved(
            plant.best, plant.best_choices, tuple(int(one) for one in plant.value[2])
        )
        for plant in plants
    ]


def _new_plants(
    a: Arrays, facts: State, found: Found, due_position: I32, seed: int
) -> list[Plant]:
    """The plans of the choices found, or in the place of worse ones whole plans."""
    plants = [
        plant
        for k, start in enumerate(found.choices)
        if (plant := new_plant(a, facts, start, due_position, seed * 16 + k + 1))
    ]
    count = max(1, len(plants))
    for k, one in enumerate(found.whole):
        number = seed * 16 + len(found.choices) + k + 1
        plants.append(whole_plant(a, one.plan, one.choices, one.values, number))
    plants.sort(key=lambda plant: tuple(plant.value[2]))
    return plants[:count]


def _first_round(a: Arrays, budget: Budget) -> int:
    if budget.work is not None:
        return max(1, _boats_of(a, budget.work) // ROUNDS)
    return 200


def _run_rounds(
    rounds: _Rounds, plants: list[Plant], found: Found, report: Report | None
) -> None:
    shared = False
    with ThreadPoolExecutor(max_workers=rounds.workers) as pool:
        while rounds.share < 1.0 and not rounds.should_stop():
            share, began = rounds.share, rounds.seconds
            quiet = share >= 1.0 - QUIET_SHARE
            if quiet or (share >= 0.5 and not shared):
                shared = True
                _share_best(plants)
            heat = HEAT_TO if quiet else _heat(share)
            jobs = [
                pool.submit(
                    run_reinsertions, rounds.a, plant, rounds.due_position,
                    rounds.boats_a_round, heat, heat, 100 if quiet else 0,
                )
                for plant in plants
            ]  # fmt: skip
            for job in jobs:
                job.result()
            rounds.boats += rounds.boats_a_round
            _tell(rounds, plants, found, report)
            if rounds.budget.work is None:
                pace = ROUND_SECONDS / max(rounds.seconds - began, 1e-3)
                rounds.boats_a_round = max(50, int(rounds.boats_a_round * min(4, pace)))


def _heat(share: float) -> float:
    return float(HEAT_FROM * (HEAT_TO / HEAT_FROM) ** (share / (1.0 - QUIET_SHARE)))


def _share_best(plants: list[Plant]) -> None:
    """Let every plan go on from the best."""
    best = min(plants, key=lambda plant: tuple(plant.value[2]))
    for plant in plants:
        copy_plan(best.best, plant.state)
        copy_choices(best.best_choices, plant.choices)
        copy_row(best.value[2], plant.value[0])


def _tell(
    rounds: _Rounds, plants: list[Plant], found: Found, report: Report | None
) -> None:
    if report is not None:
        best = min(int(plant.value[2, 0]) for plant in plants)
        decodes = found.decodes + rounds.boats * len(plants) // len(rounds.a.boat_due)
        share = min(1.0, rounds.share)
        seconds = found.seconds + rounds.seconds
        report(Progress("reinsert", seconds, share, best, found.bound, decodes))
