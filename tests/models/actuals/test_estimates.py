"""Suggested factors: between own boats, the operation and the standard as it is."""

from __future__ import annotations

import math
import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from models.actuals.estimates import estimates
from models.actuals.finished import FinishedStep
from tests.models.actuals.boats import boats, drawn_yard, finished


def test_no_estimate_without_two_boats_of_a_model() -> None:
    """Where no step was done twice, nobody can tell chance from a wrong standard."""
    steps = [*boats(12.0), *boats(13.0, model="cutter")]
    assert estimates(steps) == ()


def test_boats_that_agree_give_their_factor() -> None:
    """Boats that all took 12 for 10 hours suggest 1.2, without a doubt."""
    (found,) = estimates(boats(12.0, 12.0, 12.0))
    assert found.boats == 3
    assert found.factor == pytest.approx(1.2)
    assert found.relative_error == 0.0
    assert found.differs_from(1.0)
    assert not found.differs_from(1.2)


def test_an_estimate_of_hand_computed_figures() -> None:
    """One operation on one model: pulled to the standard alone. Computed by hand.

    Logarithms 0.1 and 0.3: within 0.02, so each is raised by 0.01; mean 0.21 with
    the error variance 0.01. Variance about 0: 0.0441 - 0.01. Kept: 0.0341 / 0.0441.
    Its error, and twice the square of what was pulled away, as one mean was known.
    """
    steps = boats(10 * math.exp(0.1), 10 * math.exp(0.3))
    (found,) = estimates(steps)
    kept = 0.0341 / 0.0441
    assert math.log(found.own_factor) == pytest.approx(0.21)
    assert math.log(found.factor) == pytest.approx(kept * 0.21)
    error = kept * 0.01 + 2 * ((1 - kept) * 0.21) ** 2
    assert found.relative_error == pytest.approx(math.sqrt(error))


def test_a_model_with_one_boat_leans_on_the_others() -> None:
    """One boat of a new model is pulled further to the operation than many are."""
    many = boats(*[15.0, 16.0] * 10, model="cutter")
    few = boats(9.0, model="launch")
    rest = boats(*[10.0, 11.0] * 10, model="skiff")
    by_model = {one.model: one for one in estimates([*many, *few, *rest])}

    def moved(model: str) -> float:
        one = by_model[model]
        own, common = math.log(one.own_factor), math.log(one.operation_factor)
        return (math.log(one.factor) - own) / (common - own)

    assert moved("launch") > 5 * moved("cutter") > 0


def test_a_slip_of_the_pen_is_flagged_and_hardly_counts() -> None:
    """120 hours in place of 12 are flagged, and move the factor by little."""
    sound = [11.5, 12.0, 12.5, 11.8, 12.2]
    (without,) = estimates(boats(*sound))
    (found,) = estimates(boats(*sound, 120.0))
    assert [one.actual_hours for one in found.flagged] == [120.0]
    assert found.boats == 6
    assert found.factor == pytest.approx(without.factor, rel=0.1)


def test_handwork_that_agrees_with_its_standard_in_the_mean_is_left_alone() -> None:
    """Skewed hours whose mean is the standard suggest no change."""
    rng = random.Random(7)
    drawn = [10 * rng.lognormvariate(-0.08, 0.4) for _ in range(400)]
    (found,) = estimates(boats(*drawn))
    assert found.factor == pytest.approx(1.0, abs=0.03)
    assert not found.differs_from(1.0)


def test_pulled_factors_are_nearer_the_truth() -> None:
    """Over drawn yards, pulled factors miss the true ones by less than own means do.

    Two standard errors hold about 95 in 100 of them (93 over 400 such yards).
    """
    own = pulled = inside = count = 0.0
    for seed in range(60):
        steps, truth = drawn_yard(random.Random(seed), 0.25, 0.08, 0.12)
        for one in estimates(steps):
            true = truth[one.model, one.operation]
            own += (math.log(one.own_factor) - true) ** 2
            miss = math.log(one.factor) - true
            pulled += miss**2
            inside += abs(miss) <= 2 * one.relative_error
            count += 1
    assert pulled < 0.6 * own
    assert 0.90 < inside / count < 0.99


@given(finished, st.randoms(use_true_random=False))
def test_the_order_of_boats_does_not_matter(
    steps: list[FinishedStep], rng: random.Random
) -> None:
    """Shuffled steps give the same estimates."""
    shuffled = list(steps)
    rng.shuffle(shuffled)
    assert estimates(shuffled) == estimates(steps)


@given(finished)
def test_every_factor_lies_between_its_own_and_the_operations(
    steps: list[FinishedStep],
) -> None:
    """A factor lies between that of its boats and that of its operation."""
    for one in estimates(steps):
        low, high = sorted((one.own_factor, one.operation_factor))
        assert low * (1 - 1e-9) <= one.factor <= high * (1 + 1e-9)


@given(finished)
def test_boats_are_counted(steps: list[FinishedStep]) -> None:
    """Every finished step is behind exactly one estimate, the flagged ones included."""
    found = estimates(steps)
    if found:
        assert sum(one.boats for one in found) == len(steps)
