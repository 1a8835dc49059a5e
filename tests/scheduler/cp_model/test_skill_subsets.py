"""Which subsets of skills have to be watched."""

from __future__ import annotations

from itertools import combinations

from hypothesis import given
from hypothesis import strategies as st

from scheduler.cp_model.skill_subsets import unimplied_subsets

SKILLS = ("gel_coat", "join", "laminate", "rig", "wire")


def enough(demand: dict[str, int], people: list[set[str]], subset: set[str]) -> bool:
    """Hall's condition for one subset."""
    wanted = sum(demand.get(skill, 0) for skill in subset)
    return wanted <= sum(bool(own & subset) for own in people)


@given(
    st.lists(st.sets(st.sampled_from(SKILLS), min_size=1, max_size=3), max_size=9),
    st.dictionaries(st.sampled_from(SKILLS), st.integers(0, 4)),
)
def test_kept_subsets_imply_all_others(
    people: list[set[str]], demand: dict[str, int]
) -> None:
    """If the kept conditions hold, every subset's condition holds."""
    kept = unimplied_subsets(SKILLS, people)
    if all(enough(demand, people, set(one)) for one in kept):
        for size in range(1, len(SKILLS) + 1):
            for chosen in combinations(SKILLS, size):
                assert enough(demand, people, set(chosen))


def test_skills_that_nobody_combines_stand_alone() -> None:
    """Two trades without a common person need no common condition."""
    kept = unimplied_subsets(("a", "b"), [{"a"}, {"b"}, {"b"}])
    assert set(kept) == {frozenset("a"), frozenset("b")}


def test_a_common_person_joins_two_skills() -> None:
    """Someone with both skills makes their sum a condition of its own."""
    kept = unimplied_subsets(("a", "b"), [{"a"}, {"b"}, {"a", "b"}])
    assert frozenset("ab") in kept
