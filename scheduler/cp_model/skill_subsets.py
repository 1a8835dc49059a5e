"""Which subsets of skills must be watched so that every demand can be manned.

By Hall's condition a demand can be manned at one instant exactly when, for every set
of skills, the people wanted do not exceed the people who have at least one skill of
the set. Most sets follow from others and are left out.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import combinations


def unimplied_subsets(
    skills: Iterable[str], people_skills: Iterable[Iterable[str]]
) -> tuple[frozenset[str], ...]:
    """List the subsets of `skills` whose condition follows from no other.

    A set follows from others when a larger set is served by exactly the same people
    (the larger demand meets the same supply), or when it falls apart into two sets
    that no person serves together (their conditions add up to its own). A skill that
    nobody has stands alone.

    Parameters
    ----------
    skills : iterable of str
        The skills that operations ask for.
    people_skills : iterable of iterables of str
        The skills of each person.

    Returns
    -------
    tuple of frozenset
        Kept subsets, smallest first, in a fixed order.
    """
    wanted = sorted(set(skills))
    kinds = sorted(
        {frozenset(own) & frozenset(wanted) for own in people_skills} - {frozenset()},
        key=sorted,
    )
    served = [skill for skill in wanted if any(skill in kind for kind in kinds)]
    kept = [frozenset({skill}) for skill in wanted if skill not in served]
    for size in range(1, len(served) + 1):
        for chosen in combinations(served, size):
            subset = frozenset(chosen)
            if _is_closed(subset, served, kinds) and _is_connected(subset, kinds):
                kept.append(subset)
    return tuple(kept)


def _servers(
    subset: frozenset[str], kinds: list[frozenset[str]]
) -> set[frozenset[str]]:
    return {kind for kind in kinds if kind & subset}


def _is_closed(
    subset: frozenset[str], wanted: list[str], kinds: list[frozenset[str]]
) -> bool:
    servers = _servers(subset, kinds)
    return not any(
        _servers(subset | {other}, kinds) == servers
        for other in wanted
        if other not in subset
    )


def _is_connected(subset: frozenset[str], kinds: list[frozenset[str]]) -> bool:
    start = min(subset)
    reached, frontier = {start}, [start]
    while frontier:
        skill = frontier.pop()
        for kind in kinds:
            if skill in kind:
                fresh = (kind & subset) - reached
                reached |= fresh
                frontier.extend(fresh)
    return reached == set(subset)
