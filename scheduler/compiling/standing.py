"""Standing of people in a skill: those who have it in full, and apprentices.

Where a skill has apprentices, its crews ask for two things: so many people who count
in the skill at all, and so many of them who have it in full. The second is a skill of
its own, `lead:SKILL`, which everyone with the skill in full has. So Hall's condition
over sets of both says what can be manned at one tick.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from scheduler.compiling.arrays import I32
    from scheduler.problem import Operation, Person

_LEAD = "lead:"  # no skill of a yard has a colon in its name


def lead_of(skill: str) -> str:
    """The name under which having a skill in full is counted."""
    return _LEAD + skill


def led_skills(people: Sequence[Person]) -> frozenset[str]:
    """Skills in which somebody is an apprentice."""
    return frozenset(skill for person in people for skill in person.apprentice_in)


def counted_skills(
    person: Person, wanted: Collection[str], led: Collection[str]
) -> frozenset[str]:
    """What a person counts for: the wanted skills, and leads of those with apprentices.

    Parameters
    ----------
    led : collection of str
        The skills in which somebody is an apprentice.
    """
    full = {lead_of(skill) for skill in person.skills if skill in led}
    return frozenset(person.counts_for) & frozenset(wanted) | full & {
        lead_of(skill) for skill in wanted
    }


def asked_skills(wanted: Sequence[str], led: Collection[str]) -> tuple[str, ...]:
    """The skills that crews ask for, with the leads of those that have apprentices."""
    return (*wanted, *(lead_of(skill) for skill in wanted if skill in led))


def count_leads(operations: Sequence[Operation], led: Collection[str]) -> I32:
    """How many of each operation's crew have its skill in full at least.

    One where somebody could be an apprentice: a crew of apprentices alone is none.
    """
    return np.array(
        [max(1, one.leads_min) if one.skill in led else 0 for one in operations],
        np.int32,
    )
