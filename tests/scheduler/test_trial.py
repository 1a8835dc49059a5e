"""Trials on small yards built so that the answer is known."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from pathlib import Path

import pytest

from models.errors import UsageError
from models.loading import load_book
from models.orders import Book
from models.yard import Person, Yard
from scheduler.checker import check
from scheduler.plan_file import plan_to_json
from scheduler.searching.search import Budget
from scheduler.trial import Measure, TrialResult, add_to_yard, run_trial

MODEL = "quillet-23"
PLENTY = 4


@lru_cache
def demo() -> Book:
    """The demo yard's book."""
    return load_book(Path("demo_orders"))


def narrow_book(
    *, deck_molds: int = PLENTY, laminators: int | None = None, bays: int = 2 * PLENTY
) -> Book:
    """Six boats of one model in a yard with plenty of all but what is given."""
    book = demo()
    fresh = [
        replace(one, order=f"T-{number}", options=(), graphics=None)
        for number, one in enumerate(
            [one for one in book.orders if one.model == MODEL][:6]
        )
    ]
    orders = tuple(
        replace(one, promised=None, wanted=book.yard.as_of, release=None, weight=1)
        for one in fresh
    )
    yard = book.yard
    molds = []
    for part in sorted({one.part for one in yard.molds if MODEL in one.models}):
        some = next(
            one for one in yard.molds if one.part == part and MODEL in one.models
        )
        count = deck_molds if part == "deck" else PLENTY
        molds += [replace(some, id=f"{part} {k}", outages=()) for k in range(count)]
    places = []
    for kind in sorted({one.kind for one in yard.places}):
        some = next(one for one in yard.places if one.kind == kind)
        count = bays if kind == "bay" else 2 * PLENTY
        places += [
            replace(some, id=f"{kind} {k}", models=(), outages=()) for k in range(count)
        ]
    stations = tuple(replace(one, capacity=None) for one in yard.stations)
    changed = replace(
        yard,
        molds=tuple(molds),
        places=tuple(places),
        stations=stations,
        people=_people(yard, laminators),
    )
    return Book(changed, {MODEL: book.models[MODEL]}, orders)


def _people(yard: Yard, laminators: int | None) -> tuple[Person, ...]:
    people = []
    for skill in yard.skills:
        count = 24
        if skill.id == "laminate" and laminators is not None:
            count = laminators
        people += [
            Person(f"{skill.id} {k}", (skill.id,), skill.calendar) for k in range(count)
        ]
    return tuple(people)


def gain(result: TrialResult, name: str = "weighted tardiness") -> Measure:
    """One measure by name."""
    return next(one for one in result.measures if one.name == name)


@pytest.mark.parametrize(
    ("book", "wanted", "limit"),
    [
        (narrow_book(deck_molds=1), "deck-mold:quillet-23", "deck mold"),
        (narrow_book(laminators=4), "person:laminate", "laminate"),
        (narrow_book(bays=1), "bay", "bay"),
    ],
    ids=["deck mold limits", "laminators limit", "places block"],
)
def test_more_of_what_limits_helps(book: Book, wanted: str, limit: str) -> None:
    """The scarce resource is named, and one more of it makes boats ready sooner."""
    result = run_trial(book, [wanted], Budget(None, 120), workers=1)
    assert any(limit in one for one in result.before.limited_by)
    assert gain(result).after < gain(result).before
    assert gain(result).measurable
    assert result.after.boats_a_year > result.before.boats_a_year
    assert all(days > 0 for days in result.used_days.values())
    for run in (*result.base_runs, *result.changed_runs):
        assert check(plan_to_json(run.plan)) == []


def test_more_of_what_does_not_limit_changes_nothing() -> None:
    """A second hull mold too many brings no measurable difference."""
    book = narrow_book(bays=1)
    result = run_trial(book, ["hull-mold:quillet-23"], Budget(None, 60), workers=1)
    assert not gain(result).measurable
    assert result.after.boats_a_year == pytest.approx(result.before.boats_a_year)


@pytest.mark.parametrize(
    "wanted",
    ["keel-mold:quillet-23", "deck-mold:nobody", "person:", "person:magic", "crane"],
)
def test_unknown_additions_are_refused(wanted: str) -> None:
    """What the yard does not know cannot be added."""
    with pytest.raises(UsageError):
        add_to_yard(demo().yard, [wanted])


def test_additions_add_up() -> None:
    """Several additions stand in one yard, each with an id of its own."""
    wanted = ["bay", "bay", "person:rig+electric", "hull-mold:quillet-23"]
    yard, added = add_to_yard(demo().yard, wanted)
    assert len({one.resource for one in added}) == 4
    assert len(yard.places) == len(demo().yard.places) + 2
    assert yard.people[-1].skills == ("rig", "electric")
