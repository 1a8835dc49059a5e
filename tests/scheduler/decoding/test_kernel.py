"""Kernels get one version for all integers, and compute what Python computes."""

from __future__ import annotations

from typing import Any, cast

import numpy as np
import pytest
from numba import config, types
from numba.core.caching import NullCache

from scheduler.decoding.kernel import kernel, one_version


@kernel
def double(count: int) -> int:
    """Twice a count."""
    return count * 2


@kernel
def low_bits(mask: np.uint64) -> np.uint64:
    """The mask's complement, which has no meaning with a sign."""
    return ~mask


@kernel
def double_all(counts: np.ndarray, wide: int, mask: np.uint64) -> int:
    """Call with an int32, an int64, a written constant and a mask."""
    total = double(counts[0]) + double(wide) + double(7)
    return total + int(low_bits(mask) & np.uint64(1))


def test_integers_of_every_width_share_one_version() -> None:
    if config.DISABLE_JIT:
        pytest.skip("nothing is compiled")
    for one in (double, low_bits, double_all):  # what an earlier run kept shows none
        cast("Any", one)._cache = NullCache()
    counts = np.array([2**31 - 1], np.int32)
    answer = double_all(counts, 2**40, np.uint64(2))
    assert answer == 2 * (2**31 - 1) + 2**41 + 14 + 1
    assert cast("Any", double).signatures == [(types.int64,)]
    assert cast("Any", low_bits).signatures == [(types.uint64,)]


def test_without_compiling_a_kernel_is_the_function(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(config, "DISABLE_JIT", True)

    def plain() -> int:
        return 3

    assert one_version(plain) is plain
