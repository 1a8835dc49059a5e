"""From what the schemas find to faults, and on with what is left."""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import Field

from models.errors import DataFaults, Fault
from models.loading.faults import FaultLog
from models.loading.fields import Code, Row
from models.loading.shapes import NOT_PLANNED_YET, Loaded, entry_id, place, shape


class Inner(Row):
    id: Code
    size: int = 1


class Outer(Row):
    name: str
    inner: list[Inner] = Field(default_factory=list)
    rates: dict[Code, float] = Field(default_factory=dict)


def shaped(raw: dict[str, Any]) -> tuple[Loaded[Outer] | None, tuple[Fault, ...]]:
    """Validate; give what is left and the faults."""
    log = FaultLog()
    loaded = shape(Outer, raw, "a.toml", log)
    try:
        log.raise_if_any()
    except DataFaults as error:
        return loaded, error.faults
    return loaded, ()


def test_sound() -> None:
    """Sound content leaves nothing out."""
    loaded, faults = shaped({"name": "n", "inner": [{"id": "a"}]})
    assert loaded is not None
    assert faults == ()
    assert loaded.left_out == {}


def test_entries_that_are_wrong_are_left_out() -> None:
    """A wrong entry is left out and remembered; the others stay."""
    loaded, faults = shaped(
        {"name": "n", "inner": [{"id": "a"}, {"id": "b", "size": "big"}]}
    )
    assert loaded is not None
    assert [one.id for one in loaded.value.inner] == ["a"]
    assert loaded.left_out == {"inner": frozenset({"b"})}
    assert [fault.where for fault in faults] == ["inner.b.size"]


def test_keys_of_tables() -> None:
    """A wrong value of a table of numbers is left out by its key."""
    loaded, faults = shaped({"name": "n", "rates": {"x": "1", "y": 2.0}})
    assert loaded is not None
    assert loaded.value.rates == {"y": 2.0}
    assert loaded.left_out == {"rates": frozenset({"x"})}
    assert [(fault.where, fault.expected) for fault in faults] == [
        ("rates.x", "a number")
    ]


def test_unknown_keys_cost_only_themselves() -> None:
    """An unknown key is a fault, yet its entry stays."""
    loaded, faults = shaped({"name": "n", "inner": [{"id": "a", "sise": 3}]})
    assert loaded is not None
    assert loaded.left_out == {}
    assert [one.id for one in loaded.value.inner] == ["a"]
    assert [fault.expected for fault in faults] == ["a known key; did you mean 'size'?"]


def test_too_little_left() -> None:
    """Without a value that the whole file needs there is nothing to go on with."""
    loaded, faults = shaped({"inner": []})
    assert loaded is None
    assert [(fault.where, fault.found) for fault in faults] == [("name", "nothing")]


@pytest.mark.parametrize("key", sorted(NOT_PLANNED_YET))
def test_rules_not_planned_yet(key: str) -> None:
    """Each key of a rule that is not planned yet says so instead of a near name."""
    _, faults = shaped({"name": "n", key: 1})
    topic = NOT_PLANNED_YET[key]
    assert [fault.expected for fault in faults] == [
        f"no such key: not planned yet ({topic})"
    ]


def test_places_have_names() -> None:
    """An entry goes by its id, its ends or else its number from 1."""
    raw = {"waits": [{"before": "a", "after": "b"}, {}], "people": [{"id": "P-1"}]}
    assert place(raw, ("waits", 0, "kind")) == "waits.a to b.kind"
    assert place(raw, ("waits", 1, "kind")) == "waits.2.kind"
    assert place(raw, ("people", 0, "skills", 1)) == "people.P-1.skills.2"
    assert entry_id("text") is None


def test_entries_of_one_name_are_told_apart() -> None:
    """The same slip in two entries of one name is two faults, each with its number."""
    raw = {"uses": [{"operation": "a"}, {"operation": "b"}, {"operation": "a"}]}
    assert place(raw, ("uses", 2, "film_mm")) == "uses.a (entry 3).film_mm"
    assert place(raw, ("uses", 1, "film_mm")) == "uses.b.film_mm"
    twice = [{"id": "a", "width": 1}, {"id": "b"}, {"id": "a", "width": 1}]
    _, faults = shaped({"name": "n", "inner": twice})
    assert [one.where for one in faults] == [
        "inner.a (entry 1).width",
        "inner.a (entry 3).width",
    ]


@pytest.mark.parametrize(
    ("raw", "found"),
    [
        ({"name": 3}, "3"),
        ({"name": []}, "an empty list"),
        ({"name": ["a", 1]}, "['a', 1]"),
        ({"name": {"id": "x"}}, "'x'"),
        ({"name": {}}, "'a table'"),
    ],
)
def test_what_was_found(raw: dict[str, Any], found: str) -> None:
    """What was found is shown as a person would write it."""
    _, faults = shaped(raw)
    assert [fault.found for fault in faults] == [found]
