"""Shrinkage against published figures of the random one-way model."""

from __future__ import annotations

import pytest

from models.actuals.outliers import modified_scores
from models.actuals.shrinkage import (
    Guess,
    group_mean,
    mean_of,
    pulled,
    variance_between,
    variance_within,
)

# Yields of 5 preparations from each of 6 batches: Davies and Goldsmith, Statistical
# Methods in Research and Production, 4th ed., 1972; used in the documentation of mixed
# models ever since.
YIELDS = [
    [1545.0, 1440, 1440, 1520, 1580],
    [1540.0, 1555, 1490, 1560, 1495],
    [1595.0, 1550, 1605, 1510, 1560],
    [1445.0, 1440, 1595, 1465, 1545],
    [1595.0, 1630, 1515, 1635, 1625],
    [1520.0, 1455, 1450, 1480, 1445],
]


def test_variances_of_the_dyestuff_yields() -> None:
    """Within batches 2451.25, between them 1764.05.

    The published restricted maximum likelihood estimates; for equal numbers in each
    batch those of the method of moments are the same.
    """
    assert variance_within([YIELDS]) == pytest.approx(2451.25, abs=0.005)
    assert variance_between([YIELDS], 2451.25) == pytest.approx(1764.05, abs=0.005)


def test_predictions_of_the_dyestuff_batches() -> None:
    """Mean 1527.5 with the standard error 19.38; batches as published.

    The published best linear predictions of the batches' distances from the mean.
    """
    mean = group_mean(YIELDS, 2451.25, 1764.05)
    assert mean.mean == pytest.approx(1527.5)
    assert mean.variance**0.5 == pytest.approx(19.3834, abs=0.0005)
    found = [
        pulled(Guess(mean_of(batch), 2451.25 / 5), mean, 1764.05).mean - mean.mean
        for batch in YIELDS
    ]
    published = [-17.607, 0.391, 28.562, -23.085, 56.733, -44.995]
    assert found == pytest.approx(published, abs=0.0006)


def test_modified_z_scores_by_the_handbooks_formula() -> None:
    """Scores are 0.6745 (x - median) / MAD.

    NIST/SEMATECH e-Handbook of Statistical Methods, section 1.3.5.17; the figures are
    worked by hand from its formula: median 3.5, distances 2.5 1.5 0.5 0.5 1.5 11.5, of
    which the median is 1.5.
    """
    scores = modified_scores([1.0, 2, 3, 4, 5, 15])
    assert scores[-1] == pytest.approx(0.6745 * 11.5 / 1.5)
    assert scores[0] == pytest.approx(-0.6745 * 2.5 / 1.5)
