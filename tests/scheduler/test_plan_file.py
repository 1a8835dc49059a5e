"""A plan is the same after writing and reading, and is written whole or not at all."""

from __future__ import annotations

import copy
import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

import scheduler
from models.errors import UsageError
from scheduler.checker import check
from scheduler.checking.fields import ANSWER_LISTS, OBJECTIVE, PROBLEM_LISTS
from scheduler.plan_file import (
    plan_from_json,
    plan_to_json,
    problem_from_json,
    problem_to_json,
    read_json,
    read_plan,
    text_of,
    write_plan,
    write_text,
)
from tests.scheduler.mutations import VALID, planned
from tests.scheduler.small_plan import serviced_plan, small_plan
from tests.scheduler.small_yard import at, small_problem

SCHEMA = json.loads(
    (Path(scheduler.__file__).parent / "plan_schema.json").read_text(encoding="utf-8")
)
VALIDATOR = Draft202012Validator(SCHEMA)
WHOLE = json.loads(json.dumps(plan_to_json(serviced_plan())))  # a row of every kind
# Names of the rows in the schema, by block and list.
ROWS = {
    ("problem", "calendars"): "calendar",
    ("problem", "temperature"): "temperature",
    ("problem", "limits"): "limit",
    ("problem", "people"): "person",
    ("problem", "molds"): "mold",
    ("problem", "places"): "place",
    ("problem", "stations"): "station",
    ("problem", "orders"): "order",
    ("problem", "parts"): "part",
    ("problem", "operations"): "operation",
    ("problem", "waits"): "wait",
    ("problem", "committed"): "committed",
    ("problem", "published"): "published",
    ("answer", "operations"): "planned",
    ("answer", "occupations"): "occupation",
    ("answer", "moves"): "move",
    ("answer", "services"): "service",
    ("answer", "orders"): "result",
    ("answer", "levels"): "level",
}


def test_a_plan_survives_the_file(tmp_path: Path) -> None:
    """A plan read back equals the one written, clock change included."""
    path = tmp_path / "new" / "plan.json"
    write_plan(small_plan(), path)
    assert read_plan(path) == small_plan()
    assert plan_to_json(read_plan(path)) == read_json(path)


def test_a_service_survives_the_file(tmp_path: Path) -> None:
    """A plan with the service of a mold equals the one written, and has its schema."""
    write_plan(serviced_plan(), tmp_path / "plan.json")
    assert read_plan(tmp_path / "plan.json") == serviced_plan()
    data = read_json(tmp_path / "plan.json")
    assert [error.message for error in VALIDATOR.iter_errors(data)] == []
    (row,) = data["answer"]["services"]
    assert row.keys() == SCHEMA["$defs"]["service"]["properties"].keys()


def test_instants_carry_the_offset_of_their_day() -> None:
    """Local instants before and after the clock change have different offsets.

    Check value CV-154 (computed from the tz database): clocks go forward in New York
    on 2027-03-14.
    """
    assert planned(VALID, "B101/hull.laminate")["finish"] == "2027-03-12T14:30-05:00"
    assert planned(VALID, "B101/hull.demold")["start"] == "2027-03-15T06:00-04:00"


def test_instants_may_come_in_another_offset() -> None:
    """An instant is read for what it is, whatever offset it is written with."""
    data = problem_to_json(small_problem())
    assert data["now"] == "2027-03-08T00:00-05:00"
    assert problem_from_json(data | {"now": "2027-03-08T05:00+00:00"}).now == at(
        "03-08 00:00"
    )


def test_an_interrupted_write_leaves_the_old_plan(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """When writing fails, the plan of before stays and nothing else is left behind."""
    path = tmp_path / "plan.json"
    write_text("before", path)

    def full(*_: Any) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    with pytest.raises(OSError, match="No space left"):
        write_plan(small_plan(), path)
    assert path.read_text(encoding="utf-8") == "before"
    assert list(tmp_path.iterdir()) == [path]


def test_a_plan_that_is_not_there(tmp_path: Path) -> None:
    """A missing plan says with which command to make one."""
    with pytest.raises(UsageError, match=r"no plan at .*`hullpace plan --out"):
        read_plan(tmp_path / "plan.json")


@pytest.mark.parametrize("text", ["", "{", "[1]", '"plan"', '{"schema": "other/1"}'])
def test_a_file_that_is_no_plan(tmp_path: Path, text: str) -> None:
    """Another file than a plan is refused in one clear line."""
    path = tmp_path / "plan.json"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(UsageError, match="not a plan file") as refused:
        read_plan(path)
    assert "\n" not in str(refused.value)


def test_the_schema_is_a_schema_and_holds_for_a_plan() -> None:
    """The published schema is valid itself and the small plan conforms to it."""
    Draft202012Validator.check_schema(SCHEMA)
    assert [error.message for error in VALIDATOR.iter_errors(VALID)] == []


def test_the_schema_names_every_field_that_is_written() -> None:
    """Blocks and rows of a written plan have the fields of the schema, no others."""
    assert WHOLE.keys() == SCHEMA["properties"].keys()
    for block in ("problem", "answer"):
        assert WHOLE[block].keys() == SCHEMA["$defs"][block]["properties"].keys()
    for (block, name), kind in ROWS.items():
        for row in WHOLE[block][name]:
            assert row.keys() == SCHEMA["$defs"][kind]["properties"].keys(), kind


def test_the_checker_knows_every_field_of_the_schema() -> None:
    """The checker reads the fields of the schema, so that no rule passes unseen."""
    for (block, name), kind in ROWS.items():
        lists = PROBLEM_LISTS if block == "problem" else ANSWER_LISTS
        assert lists[name].keys() == SCHEMA["$defs"][kind]["properties"].keys(), kind
    assert OBJECTIVE.keys() == SCHEMA["$defs"]["objective"]["properties"].keys()


def test_the_schema_needs_every_field() -> None:
    """A row without one of its fields does not conform."""
    for (block, name), kind in ROWS.items():
        for key in SCHEMA["$defs"][kind]["properties"]:
            document = copy.deepcopy(WHOLE)
            del document[block][name][0][key]
            assert not VALIDATOR.is_valid(document), (name, key)


@pytest.mark.parametrize(
    ("where", "value"),
    [
        (("schema",), "hullpace-plan/2"),
        (("problem", "now"), "2027-03-08T00:00"),
        (("problem", "overtime"), [{}]),
        (("problem", "operations", 0, "crew_min"), -1),
        (("problem", "waits", 0, "kind"), "rest"),
        (("problem", "orders", 0, "promised"), "next week"),
        (("answer", "levels", 0, "status"), "optimal"),
        (("answer", "operations", 0, "segments"), [["2027-03-08T00:00-05:00"]]),
        (("answer", "extra"), 1),
    ],
)
def test_the_schema_refuses(where: tuple[Any, ...], value: object) -> None:
    """Values of the wrong kind do not conform."""
    document = copy.deepcopy(VALID)
    *way, last = where
    row: Any = document
    for key in way:
        row = row[key]
    row[last] = value
    assert not VALIDATOR.is_valid(document)


def test_the_text_holds_every_row_on_a_line_of_its_own() -> None:
    """Two plan files can be compared line by line."""
    text = text_of(WHOLE)
    assert json.loads(text) == WHOLE
    lines = {line.strip().rstrip(",") for line in text.splitlines()}
    assert {json.dumps(one) for one in WHOLE["answer"]["operations"]} <= lines


def test_a_plan_of_objects_needs_no_file() -> None:
    """The objects of a plan turn into the plan and back without a file."""
    plan = replace(small_plan(), seed=7)
    assert plan_from_json(json.loads(json.dumps(plan_to_json(plan)))) == plan


def test_people_of_the_same_hours_hold_one_list_of_them() -> None:
    people = plan_to_json(small_plan())["problem"]["people"]
    for one in people:
        for other in people:
            same = one["available"] == other["available"]
            assert (one["available"] is other["available"]) == same


def test_the_checker_reads_a_shared_list_as_it_reads_copies_of_it() -> None:
    document = plan_to_json(small_plan())
    worked = document["answer"]["operations"]
    away = max(one["people"][0]["from"] for one in worked if one["people"])
    for one in document["problem"]["people"]:
        one["available"][:] = [span for span in one["available"] if span[1] <= away]
    told = check(document)
    assert any("away" in sentence for sentence in told)
    assert told == check(json.loads(json.dumps(document)))
