"""What is looked up by time is what a count tick by tick finds."""

from __future__ import annotations

import random

import numpy as np
import pytest

from scheduler.problem import Person, Span
from scheduler.taken import Hands, Use, Uses, peak

TICKS = 40


def _span(rng: random.Random, longest: int = 12) -> Span:
    start = rng.randrange(TICKS)
    return start, start + rng.randint(1, longest)


def _touch(one: Span, other: Span) -> bool:
    return bool(set(range(*one)) & set(range(*other)))


@pytest.mark.parametrize("seed", range(30))
def test_uses_of_a_time_are_those_that_share_a_tick_with_it(seed: int) -> None:
    rng = random.Random(seed)
    rows = [
        Use(*_span(rng), rng.randint(1, 3), f"B{number}")
        for number in range(rng.randrange(12))
    ]
    span = _span(rng)
    expected = [one for one in rows if _touch((one.start, one.finish), span)]
    assert Uses(rows).during(span) == expected


@pytest.mark.parametrize("seed", range(30))
def test_the_peak_is_the_first_tick_of_the_largest_load(seed: int) -> None:
    rng = random.Random(seed)
    longest = 2 if seed % 2 else 12  # short ones seldom overlap
    rows = [
        Use(*_span(rng, longest), rng.randint(1, 3), f"B{number}")
        for number in range(rng.randrange(8))
    ]
    span = _span(rng)
    inside = Uses(rows).during(span)
    loads = {
        tick: sum(one.amount for one in rows if one.start <= tick < one.finish)
        for tick in range(*span)
    }
    most = max(loads.values())
    at = min(tick for tick, load in loads.items() if load == most)
    holders = [one.holder for one in rows if one.start <= at < one.finish]
    assert peak(inside, span) == (most, holders if most else [])


def _yard(
    rng: random.Random,
) -> tuple[list[Person], dict[str, list[tuple[int, int, str]]]]:
    hours = [((0, 10), (14, 30)), ((0, 30),), ((5, 25), (28, 36))]
    people, busy = [], {}
    for number in range(5):
        name = f"P{number}"
        leads = ("laminate",) if rng.random() < 0.5 else ()
        people.append(Person(name, ("laminate",), rng.choice(hours), leads, ()))
        cuts = sorted(rng.sample(range(TICKS), 4))
        spans = [(cuts[0], cuts[1]), (cuts[2], cuts[3])]
        busy[name] = [(*span, f"W{rng.randrange(4)}") for span in spans]
    return people, busy


@pytest.mark.parametrize("seed", range(30))
def test_hands_are_those_who_are_there_and_not_on_other_work(seed: int) -> None:
    rng = random.Random(seed)
    people, busy = _yard(rng)
    hands = Hands(people, "laminate", busy)
    needed, span = (_span(rng, 4), _span(rng, 4)), _span(rng)
    there = [
        all(
            any(a <= one and two <= b for a, b in person.available)
            for one, two in needed
        )
        for person in people
    ]
    assert hands.there(needed).tolist() == there
    assert hands.leading.tolist() == [bool(one.lead_for) for one in people]
    taken = hands.taken(span, "W0")
    other = [
        (place, work)
        for place, person in enumerate(people)
        for start, finish, work in busy[person.id]
        if _touch((start, finish), span) and work != "W0"
    ]
    assert sorted(taken[0].tolist()) == [place for place, _ in other]
    some = np.array([rng.random() < 0.7 for _ in people])
    assert hands.works(some, taken) == [work for place, work in other if some[place]]


def test_a_skill_that_nobody_has_has_no_hands() -> None:
    hands = Hands([], "weld", {})
    assert hands.there(((0, 4),)).tolist() == []
    assert hands.taken((0, 4), "")[0].tolist() == []
