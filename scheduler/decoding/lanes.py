"""Counters of people packed in a word, a byte each, the top bit of each a guard."""

from __future__ import annotations

from typing import Any

import numpy as np
from llvmlite import ir
from numba import config
from numba.core import cgutils, types
from numba.extending import intrinsic

from scheduler.compiling.arrays import LANE_BITS, LANE_MOST, LANES
from scheduler.decoding.kernel import inlined, kernel

GUARD = np.uint64(0x8080808080808080)
LANE = np.uint64(0xFF)
PAIRS = np.uint64(0x00FF00FF00FF00FF)
EACH = np.uint64(0x0101010101010101)
ONES = np.uint64(0x0001000100010001)
ALL = np.uint64(0xFFFFFFFFFFFFFFFF)


def _fewer(left: np.uint64, right: np.uint64) -> np.uint64:
    """The smaller of two counters in each lane, by arithmetic on whole words.

    Guards count as well: sums of two counters can be compared.
    """
    below = ((left | GUARD) - (right & ~GUARD)) & ~(left ^ right)
    keep = (below | (left & ~right)) & GUARD  # guards where left is not smaller
    mask = keep | (keep - (keep >> np.uint64(7)))  # all ones in those lanes
    return left ^ ((left ^ right) & mask)


def _fewer_in_registers(context: Any, left: Any, right: Any) -> Any:
    """The same as one vector instruction, which every processor of today has."""
    del context, left, right

    def generate(context: Any, builder: Any, signature: Any, words: Any) -> Any:
        del context, signature
        lanes = ir.VectorType(ir.IntType(8), LANES)
        one, other = (builder.bitcast(word, lanes) for word in words)
        smaller = builder.select(builder.icmp_unsigned("<", one, other), one, other)
        return builder.bitcast(smaller, ir.IntType(64))

    return types.uint64(types.uint64, types.uint64), generate


def _lane_sum(word: np.uint64) -> int:
    """Sum of the counters of a word."""
    pairs = (word & PAIRS) + ((word >> np.uint64(8)) & PAIRS)
    return np.int64((pairs * ONES) >> np.uint64(48))  # type: ignore[return-value]


def _lane_sum_in_registers(context: Any, word: Any) -> Any:
    """The same in the terms of vectors, for which processors have one instruction."""
    del context, word

    def generate(context: Any, builder: Any, signature: Any, words: Any) -> Any:
        del context, signature
        lanes = builder.bitcast(words[0], ir.VectorType(ir.IntType(8), LANES))
        wide = ir.VectorType(ir.IntType(64), LANES)
        add_up = cgutils.get_or_insert_function(
            builder.module,
            ir.FunctionType(ir.IntType(64), [wide]),
            f"llvm.vector.reduce.add.v{LANES}i64",
        )
        return builder.call(add_up, [builder.zext(lanes, wide)])

    return types.int64(types.uint64), generate


def _vector_form(plain: Any, in_registers: Any) -> Any:
    """How a function of counters is compiled, and how it runs without compiling."""
    return plain if config.DISABLE_JIT else intrinsic(in_registers)


fewer = _vector_form(_fewer, _fewer_in_registers)
lane_sum = _vector_form(_lane_sum, _lane_sum_in_registers)


@inlined
def first_of(there: np.uint64, wanted: int) -> np.uint64:
    """So many of the people in a word, lanes in order; all if they are fewer.

    Sums of the lanes up to each, none above `wanted`; what a lane adds is its share.
    """
    if wanted * LANES > LANE_MOST:
        return first_of_many(there, wanted)
    most = EACH * np.uint64(wanted)
    sums = fewer(fewer(there, most) * EACH, most)
    return np.uint64(sums - (sums << np.uint64(LANE_BITS)))


@kernel
def first_of_many(there: np.uint64, wanted: int) -> np.uint64:
    """The same lane by lane, for sums that do not fit one."""
    share = np.uint64(0)
    for lane in range(LANES):
        shift = np.uint64(LANE_BITS * lane)
        taken = min(wanted, int((there >> shift) & LANE))
        share |= np.uint64(taken) << shift
        wanted -= taken
    return share
