"""Manning blocks in order of time by augmenting paths (compiled)."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from scheduler.compiling.arrays import I32
from scheduler.decoding.kernel import allocating_kernel
from scheduler.naming.by_kind import man_by_kind

ATTEMPTS = 16
ATTEMPTS_WITH_KINDS = 1  # the decoder's kinds hand work over less often than more do


@allocating_kernel
def man_stretches(
    stretch_at: I32,
    open_stretch: np.ndarray,
    start: I32,
    finish: I32,
    crew: I32,
    fits: np.ndarray,
    given: I32,
    last_block: I32,
    skills: I32,
    role: I32,
    counts: NDArray[np.uint8],
    members: I32,
    member_at: I32,
    chosen: I32,
    failed: np.ndarray,
    kept: np.ndarray,
) -> None:
    """Man the open stretches of blocks; fills `chosen`, marks what found nobody.

    A stretch ends where nobody works. The first attempt keeps people on their
    operations; further ones let go of that and, from the third on, vary by chance
    (with a fixed seed) whom they take first. Where all fail, the kinds that the decoder
    counted out man the stretch, if there are `counts`; `kept` marks it then.
    """
    attempts = ATTEMPTS_WITH_KINDS if len(counts) else ATTEMPTS
    persons = fits.shape[1]
    busy_until = np.zeros(persons, np.int32)
    for stretch in range(len(stretch_at) - 1):
        if not open_stretch[stretch]:
            continue
        first, last = stretch_at[stretch], stretch_at[stretch + 1]
        np.random.seed(first)
        for attempt in range(attempts):
            chosen[first:last] = -1
            failed[first:last] = 0
            busy_until[:] = 0
            man_blocks(
                first,
                last,
                attempt,
                start,
                finish,
                crew,
                fits,
                given,
                last_block,
                skills,
                busy_until,
                chosen,
                failed,
            )
            if not failed[first:last].any():
                break
        if len(counts) and failed[first:last].any():
            kept[stretch] = man_by_kind(
                first, last, start, finish, crew, fits, role, counts, members,
                member_at, given, last_block, chosen,
            )  # fmt: skip
            if kept[stretch]:
                failed[first:last] = 0


@allocating_kernel
def man_blocks(
    begin: int,
    end: int,
    attempt: int,
    start: I32,
    finish: I32,
    crew: I32,
    fits: np.ndarray,
    given: I32,
    last_block: I32,
    skills: I32,
    busy_until: I32,
    chosen: I32,
    failed: np.ndarray,
) -> None:
    """Man the blocks begin..end-1 in order of start, up to the first that fails."""
    persons = fits.shape[1]
    holder = np.full(persons, -1, np.int32)  # block of the group that has a person
    reserved_from = np.full(persons, 2**30, np.int32)
    first = begin
    while first < end:
        last = first
        while last < end and start[last] == start[first]:
            last += 1
        holder[:] = -1
        next_given(start, finish, given, first, last, reserved_from)
        risk = later_need(first, last, end, start, finish, crew, fits)
        if attempt >= 2:
            for person in range(persons):
                risk[person] += 0.5 * np.random.random()
        ranked = np.argsort(risk + 0.01 * skills).astype(np.int32)
        for block in range(first, last):
            take_given(block, given, fits, busy_until, start, holder, chosen, failed)
        if attempt == 0:
            for block in range(first, last):
                keep_previous(
                    block,
                    crew,
                    last_block,
                    fits,
                    busy_until,
                    reserved_from,
                    start,
                    finish,
                    holder,
                    chosen,
                )
        for block in range(first, last):
            while occupied(chosen, block) < crew[block]:
                if not augment(
                    block,
                    first,
                    last,
                    fits,
                    given,
                    ranked,
                    busy_until,
                    reserved_from,
                    start,
                    finish,
                    holder,
                    chosen,
                ):
                    failed[block] = 1
                    break
        if failed[first:last].any():
            return  # the attempt is lost, whoever mans the rest
        for block in range(first, last):
            for k in range(chosen.shape[1]):
                if chosen[block, k] >= 0:
                    busy_until[chosen[block, k]] = finish[block]
        first = last


@allocating_kernel
def later_need(
    first: int,
    last: int,
    end: int,
    start: I32,
    finish: I32,
    crew: I32,
    fits: np.ndarray,
) -> np.ndarray:
    """How much each person is wanted by blocks that start while this group runs."""
    persons = fits.shape[1]
    risk = np.zeros(persons)
    horizon = 0
    for block in range(first, last):
        horizon = max(horizon, finish[block])
    for block in range(last, end):
        if start[block] >= horizon:
            break
        able = 0
        for person in range(persons):
            able += fits[block, person]
        share = crew[block] / max(1, able)
        for person in range(persons):
            risk[person] += share * fits[block, person]
    return risk


@allocating_kernel
def next_given(
    start: I32, finish: I32, given: I32, first: int, last: int, reserved_from: I32
) -> None:
    """When each person is next bound by a given block that starts after this group."""
    reserved_from[:] = 2**30
    horizon = 0
    for block in range(first, last):
        horizon = max(horizon, finish[block])
    for block in range(last, len(start)):
        if start[block] >= horizon:
            break
        for k in range(given.shape[1]):
            person = given[block, k]
            if person >= 0:
                reserved_from[person] = min(reserved_from[person], start[block])


@allocating_kernel
def occupied(chosen: I32, block: int) -> int:
    """How many people a block has so far."""
    count = 0
    for k in range(chosen.shape[1]):
        if chosen[block, k] >= 0:
            count += 1
    return count


@allocating_kernel
def seat(chosen: I32, block: int, person: int) -> None:
    """Put a person on a block."""
    for k in range(chosen.shape[1]):
        if chosen[block, k] < 0:
            chosen[block, k] = person
            return


@allocating_kernel
def unseat(chosen: I32, block: int, person: int) -> None:
    """Take a person off a block."""
    for k in range(chosen.shape[1]):
        if chosen[block, k] == person:
            chosen[block, k] = -1
            return


@allocating_kernel
def take_given(
    block: int,
    given: I32,
    fits: np.ndarray,
    busy_until: I32,
    start: I32,
    holder: I32,
    chosen: I32,
    failed: np.ndarray,
) -> None:
    """Seat the people that a block must have."""
    for k in range(given.shape[1]):
        person = given[block, k]
        if person < 0:
            continue
        taken = busy_until[person] > start[block] or holder[person] >= 0
        if taken or not fits[block, person]:
            failed[block] = 1
        else:
            holder[person] = block
            seat(chosen, block, person)


@allocating_kernel
def keep_previous(
    block: int,
    crew: I32,
    last_block: I32,
    fits: np.ndarray,
    busy_until: I32,
    reserved_from: I32,
    start: I32,
    finish: I32,
    holder: I32,
    chosen: I32,
) -> None:
    """Seat those who were on the operation before, where they are free."""
    before = last_block[block]
    if before < 0:
        return
    for k in range(chosen.shape[1]):
        person = chosen[before, k]
        if (
            person >= 0
            and occupied(chosen, block) < crew[block]
            and fits[block, person]
            and holder[person] < 0
            and busy_until[person] <= start[block]
            and reserved_from[person] >= finish[block]
        ):
            holder[person] = block
            seat(chosen, block, person)


@allocating_kernel
def augment(
    block: int,
    first: int,
    last: int,
    fits: np.ndarray,
    given: I32,
    ranked: I32,
    busy_until: I32,
    reserved_from: I32,
    start: I32,
    finish: I32,
    holder: I32,
    chosen: I32,
) -> bool:
    """Find one more person for a block, moving others of the group if need be."""
    persons = len(ranked)
    taker = np.full(persons, -1, np.int32)  # block that would take a person
    through = np.full(last - first, -1, np.int32)  # person by whom a block was reached
    queue = np.empty(last - first, np.int32)
    head, tail = 0, 1
    queue[0] = block
    while head < tail:
        at = queue[head]
        head += 1
        for k in range(persons):
            person = ranked[k]
            if (
                taker[person] >= 0
                or holder[person] == at
                or not fits[at, person]
                or busy_until[person] > start[at]
                or reserved_from[person] < finish[at]
            ):
                continue
            other = holder[person]
            if other >= 0 and is_given(given, other, person):
                continue
            taker[person] = at
            if other < 0:
                shift_people(block, first, person, taker, through, holder, chosen)
                return True
            if other != block and through[other - first] < 0:
                through[other - first] = person
                queue[tail] = other
                tail += 1
    return False


@allocating_kernel
def shift_people(
    block: int,
    first: int,
    person: int,
    taker: I32,
    through: I32,
    holder: I32,
    chosen: I32,
) -> None:
    """Seat a free person and pass people along the path back to the asking block."""
    while True:
        at = taker[person]
        if at == block:
            holder[person] = at
            seat(chosen, at, person)
            return
        leaving = through[at - first]
        unseat(chosen, at, leaving)
        holder[person] = at
        seat(chosen, at, person)
        person = leaving


@allocating_kernel
def is_given(given: I32, block: int, person: int) -> bool:
    """Whether a block must have a person."""
    found = False
    for k in range(given.shape[1]):
        found |= given[block, k] == person
    return found
