"""Crews of a skill that has apprentices: so many of a crew have it in full.

Compiled. Books without apprentices never come here.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from scheduler.compiling.arrays import LANE_BITS, LANES
from scheduler.decoding.kernel import kernel
from scheduler.decoding.lanes import LANE, lane_sum

if TYPE_CHECKING:
    from scheduler.compiling.arrays import Arrays
    from scheduler.decoding.placing import State


@kernel
def leads_there(a: Arrays, s: State, skill: int) -> int:
    """How many of those in `s.need` have a skill in full."""
    have = 0
    for word in range(a.word_from[skill], a.word_to[skill]):
        have += lane_sum(s.need[word] & a.leading_kinds[skill, word])
    return have


@kernel
def choose_led_crew(
    a: Arrays, s: State, skill: int, crew: int, leads: int, row: int
) -> None:
    """Write a crew from `s.need`: leads first, then whoever has the fewest skills."""
    rest = crew - leads
    for word in range(a.word_from[skill], a.word_to[skill]):
        leading = a.leading_kinds[skill, word]
        there = s.need[word]
        share = np.uint64(0)
        for lane in range(LANES):
            shift = np.uint64(LANE_BITS * lane)
            if (leading >> shift) & LANE:
                taken = min(leads, int((there >> shift) & LANE))
                share |= np.uint64(taken) << shift
                leads -= taken
        s.share[word, row] = share
        s.need[word] = there - share
    for word in range(a.word_from[skill], a.word_to[skill]):
        for lane in range(LANES):
            shift = np.uint64(LANE_BITS * lane)
            taken = min(rest, int((s.need[word] >> shift) & LANE))
            s.share[word, row] += np.uint64(taken) << shift
            rest -= taken
