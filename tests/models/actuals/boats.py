"""Finished steps made up for tests, and drawn ones."""

from __future__ import annotations

import random
from datetime import date

from hypothesis import strategies as st

from models.actuals.finished import FinishedStep

DAY = date(2027, 3, 1)


def step(
    actual: float, *, model: str = "skiff", operation: str = "lay-up", order: str = "1"
) -> FinishedStep:
    """A step of 10 standard hours."""
    return FinishedStep(order, model, operation, DAY, 10.0, actual)


def boats(
    *actual: float, model: str = "skiff", operation: str = "lay-up"
) -> list[FinishedStep]:
    """One finished step of each of some boats, all of one model."""
    return [
        step(hours, model=model, operation=operation, order=f"{model}-{number}")
        for number, hours in enumerate(actual)
    ]


def drawn_yard(
    rng: random.Random, within: float, between: float, among: float
) -> tuple[list[FinishedStep], dict[tuple[str, str], float]]:
    """Steps of a yard whose true factors are known: 12 operations on 4 models."""
    steps: list[FinishedStep] = []
    truth: dict[tuple[str, str], float] = {}
    for operation in range(12):
        common = rng.gauss(0, among)
        for model in range(4):
            mean = rng.gauss(common, between)
            truth[f"m{model}", f"o{operation}"] = mean
            for order in range(rng.randint(1, 6)):
                hours = 10 * rng.lognormvariate(mean - within**2 / 2, within)
                name = f"{model}-{order}"
                steps.append(
                    FinishedStep(name, f"m{model}", f"o{operation}", DAY, 10, hours)
                )
    return steps, truth


finished = st.lists(
    st.builds(
        FinishedStep,
        order=st.integers(0, 10**6).map(str),
        model=st.sampled_from(["skiff", "cutter", "launch"]),
        operation=st.sampled_from(["lay-up", "wiring"]),
        finished=st.just(DAY),
        standard_hours=st.floats(0.5, 80),
        actual_hours=st.floats(0.25, 160),
    ),
    max_size=30,
    unique_by=lambda one: (one.order, one.model, one.operation),
)
