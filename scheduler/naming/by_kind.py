"""Naming one stretch of time by the kinds of people that the decoder counted out.

The decoder takes for each block so many of each *kind* (same skills, same hours), never
more at a time than there are. People of one kind are there together, and the blocks
are intervals: whoever is free when a block begins will do, in order of time. So a
stretch of a decoded plan is manned without any search.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from scheduler.compiling.arrays import I32, LANES, TableU64
from scheduler.decoding.kernel import allocating_kernel
from scheduler.naming.roster import ALL, LEADS, OTHERS


def counts_by_kind(share: TableU64, row: I32) -> NDArray[np.uint8]:
    """How many of each kind each block has.

    Parameters
    ----------
    share : TableU64
        [rows, words] people by kind, packed: words of `LANES` bytes, the lowest first.
    row : I32
        Which of them is a block's.
    """
    counts = share[row].astype("<u8").view(np.uint8)
    assert counts.shape == (len(row), share.shape[1] * LANES)
    return counts


def members_by_kind(lane: I32, kinds: int) -> tuple[I32, I32]:
    """People sorted by kind, and where each kind begins.

    `lane` is the kind of each person, -1 for those who are never counted.
    """
    members = np.argsort(lane, kind="stable")
    member_at = np.searchsorted(lane[members], np.arange(kinds + 1))
    return members.astype(np.int32), member_at.astype(np.int32)


@allocating_kernel
def man_by_kind(
    begin: int,
    end: int,
    start: I32,
    finish: I32,
    crew: I32,
    fits: np.ndarray,
    role: I32,
    counts: NDArray[np.uint8],
    members: I32,
    member_at: I32,
    given: I32,
    last_block: I32,
    chosen: I32,
) -> bool:
    """Man the blocks begin..end-1 of a stretch with the kinds stored for them.

    Those who were on the operation before come first. Returns False where the stored
    crews are not those of this plan, which a block then shows: too few of them, or
    nobody free. The rows of the stretch hold nobody then.
    """
    chosen[begin:end] = -1
    free_from = np.zeros(fits.shape[1], np.int32)
    for block in range(begin, end):
        done = man_one(
            block, start, crew, fits, role, counts, members, member_at, given,
            last_block, free_from, chosen,
        )  # fmt: skip
        if not done:
            chosen[begin:end] = -1
            return False
        for k in range(crew[block]):
            free_from[chosen[block, k]] = finish[block]
    return True


@allocating_kernel
def man_one(
    block: int,
    start: I32,
    crew: I32,
    fits: np.ndarray,
    role: I32,
    counts: NDArray[np.uint8],
    members: I32,
    member_at: I32,
    given: I32,
    last_block: I32,
    free_from: I32,
    chosen: I32,
) -> bool:
    """Man one block: those given, then as many of each kind as stored."""
    seated = 0
    for k in range(given.shape[1]):  # such a block has no stored crew
        person = given[block, k]
        if person < 0:
            break
        if free_from[person] > start[block] or not fits[block, person]:
            return False
        chosen[block, seated] = person
        seated += 1
    leads = block - 1 if role[block] == OTHERS else block
    wanted = crew[leads]
    for kind in range(len(member_at) - 1):
        count = counts[block, kind]
        if count == 0:
            continue
        own = members[member_at[kind] : member_at[kind + 1]]
        if role[block] != ALL:  # leads are the first of a crew who can be
            can_lead = False
            for person in own:
                can_lead |= fits[leads, person]  # others are on leave
            taken = min(count, wanted) if can_lead else 0
            wanted -= taken
            count = taken if role[block] == LEADS else count - taken
        if seated + count > crew[block]:
            return False
        before = last_block[block]
        known = seat_free(
            block, before, True, count, own, start, fits, free_from, seated, chosen
        )
        new = seat_free(
            block, before, False, count - known, own, start, fits, free_from,
            seated + known, chosen,
        )  # fmt: skip
        if known + new < count:
            return False
        seated += count
    return bool(seated == crew[block])


@allocating_kernel
def seat_free(
    block: int,
    before: int,
    known: bool,
    count: int,
    own: I32,
    start: I32,
    fits: np.ndarray,
    free_from: I32,
    seat: int,
    chosen: I32,
) -> int:
    """Seat free people of a kind from one seat on, up to a count; how many there are.

    Only those who were (`known`) or were not on the block before.
    """
    found = 0
    for person in own:
        if found == count:
            break
        if not fits[block, person] or free_from[person] > start[block]:
            continue
        stayed = False
        if before >= 0:
            for k in range(chosen.shape[1]):
                stayed |= chosen[before, k] == person
        if stayed == known:
            chosen[block, seat + found] = person
            found += 1
    return found
