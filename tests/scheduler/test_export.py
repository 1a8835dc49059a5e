"""Tables of a plan for spreadsheets: complete, and harmless to open."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl import load_workbook

from scheduler.export import (
    export_csv,
    export_workbook,
    neutral,
    table_to_csv,
    tables,
)
from tests.scheduler.small_plan import overtime_plan, small_plan

SIGNS = "=+-@\t\r\n\0＝＋－＠"


def rows(path: Path) -> list[dict[str, str]]:
    """Read a table as a spreadsheet would."""
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_every_table_is_written(tmp_path: Path) -> None:
    """Each table is a file with a row for each thing that it lists."""
    plan = small_plan()
    files = {path.stem: rows(path) for path in export_csv(plan, tmp_path / "out")}
    assert set(files) == {"operations", "orders", "occupations", "people"}
    assert len(files["operations"]) == len(plan.problem.operations)
    assert len(files["occupations"]) == len(plan.answer.occupations)
    assert [row["order"] for row in files["orders"]] == ["B101", "B102"]
    stints = sum(len(one.people) for one in plan.answer.operations)
    assert len(files["people"]) == stints


def test_what_a_row_says(tmp_path: Path) -> None:
    """A row gives what the plan says, instants with their offset."""
    files = {path.stem: rows(path) for path in export_csv(small_plan(), tmp_path)}
    demold = next(
        row
        for row in files["operations"]
        if (row["order"], row["operation"]) == ("B101", "hull.demold")
    )
    assert demold["start"] == "2027-03-15T06:00-04:00"
    assert demold["people"] == "LM-01;LM-02"
    assert (demold["mold"], demold["place"]) == ("H23-1", "Bay 1")
    assert demold["state"] == "planned"
    assert files["orders"][0]["tardy_days"] == "2"
    assert files["orders"][1]["proposed"] == "2027-04-06"
    assert files["occupations"][0]["kind"] == "place"


def test_hours_of_people_leave_pauses_out() -> None:
    """A person's hours are worked hours: two days of eight with a late start are 15."""
    table = tables(small_plan())["people"]
    (first,) = [row for row in table if row[0] == "RG-01" and row[4] == "B101"]
    assert first[3] == 15.0


def test_the_worked_hours_add_up() -> None:
    """Over all people the hours are those by station and week, added by hand."""
    hours = [row[3] for row in tables(small_plan())["people"][1:]]
    assert sum(float(str(one)) for one in hours) == 15 + 14 + 34 + 8 + 56


def test_formulas_are_text_in_a_written_table() -> None:
    """A cause or code that begins like a formula is written with an apostrophe."""
    plan = small_plan()
    order = replace(plan.problem.orders[0], model='=HYPERLINK("x")')
    orders = (order, *plan.problem.orders[1:])
    changed = replace(plan, problem=replace(plan.problem, orders=orders))
    text = table_to_csv(tables(changed)["orders"])
    (_, first, *_) = csv.reader(io.StringIO(text))
    assert first[1] == '\'=HYPERLINK("x")'


@pytest.mark.parametrize("number", [-1, -2.5, 0, 3, None])
def test_numbers_stay_numbers(number: float | None) -> None:
    """A negative number is no formula."""
    assert neutral(number) == number
    assert "'" not in table_to_csv([[number]])


@pytest.mark.parametrize(
    ("text", "safe"),
    [
        ("=1+1", "'=1+1"),
        ("  =1+1", "'  =1+1"),
        ("-1", "'-1"),
        ("＝1+1", "'＝1+1"),
        ("\tx", "'\tx"),
        ("\0x", "'\0x"),
        ("\nx", "'\nx"),
        ("note\n@x", "note\n'@x"),
        ("'=1", "''=1"),
        ("B101/hull.skin", "B101/hull.skin"),
        ("tern-23", "tern-23"),
        ("o'clock", "o'clock"),
        ("two\n\nlines", "two\n\nlines"),
        ("", ""),
    ],
)
def test_neutral(text: str, safe: str) -> None:
    """An apostrophe stands before what a spreadsheet would run, and only there."""
    assert neutral(text) == safe


@given(st.text(alphabet=st.sampled_from([*SIGNS, "'", " ", "a", "1"]), max_size=12))
def test_no_cell_or_line_starts_like_a_formula(text: str) -> None:
    """Whatever the text, its start and that of each line in it is harmless."""
    safe = str(neutral(text))
    assert not safe.lstrip(" ").startswith(tuple(SIGNS))
    lines = safe.replace("\r", "\n").split("\n")
    assert not any(
        line.lstrip(" ").startswith(tuple(set(SIGNS) - {"\r", "\n"})) for line in lines
    )


@given(st.text(alphabet=st.sampled_from("=-@'\t \nab"), max_size=12))
def test_one_apostrophe_less_gives_the_text_back(text: str) -> None:
    """Nothing but apostrophes is added, so that no two texts become the same."""
    safe = str(neutral(text))
    assert safe.replace("'", "") == text.replace("'", "")
    others = {text.replace("'", "", 1), f"'{text}"} - {text}
    assert all(neutral(other) != safe for other in others)


def test_a_workbook_is_neutral_too(tmp_path: Path) -> None:
    """Text that looks like a formula is neutralized and stored as text."""
    plan = small_plan()
    orders = tuple(replace(one, model="=1+1") for one in plan.problem.orders)
    hostile = replace(plan, problem=replace(plan.problem, orders=orders))
    sheet = load_workbook(export_workbook(hostile, tmp_path))["orders"]
    cells = [row[1] for row in sheet.iter_rows(min_row=2)]
    assert [(cell.value, cell.data_type) for cell in cells] == [("'=1+1", "s")] * 2


def test_overtime_is_a_table_where_it_is_offered() -> None:
    """Two people for 1.5 h each at 40 an hour; without an offer there is no table."""
    assert "overtime" not in tables(small_plan())
    heading, *rows = tables(overtime_plan())["overtime"]
    assert heading == ["window", "calendar", "person", "from", "to", "hours", "price"]
    span = "2027-03-12T04:30-05:00", "2027-03-12T06:00-05:00"
    assert rows == [
        ["early 1", "lamination", person, *span, 1.5, 60.0]
        for person in ("LM-01", "LM-03")
    ]
