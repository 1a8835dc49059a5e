"""The workbook to be filled with orders."""

from __future__ import annotations

import io

from openpyxl import load_workbook

from models.loading import load_book
from models.loading.order_tables import SCHEMAS
from models.loading.template import write_template
from tests.models.loading.conftest import TinyYard
from tests.models.loading.test_workbook import ROWS


def test_filled_it_loads_as_the_csv_file_does(tiny: TinyYard) -> None:
    """Orders written into the template are the orders of the CSV file."""
    plain = load_book(tiny.folder)
    path = tiny.folder / "orders.xlsx"
    write_template(plain, path)
    book = load_workbook(io.BytesIO(path.read_bytes()))
    for row in ROWS:
        book["orders"].append(row)
    book.save(path)
    (tiny.folder / "orders.csv").unlink()
    assert load_book(tiny.folder).orders == plain.orders


def test_notes_explain_columns_that_exist(tiny: TinyYard) -> None:
    """Every column that the notes explain is there; every order column is explained."""
    path = tiny.folder / "new.xlsx"
    write_template(load_book(tiny.folder), path)
    rows = load_workbook(path)["notes"].iter_rows(min_row=2, values_only=True)
    told = [(sheet, column) for sheet, column, _ in rows if sheet in SCHEMAS]
    assert all(column in SCHEMAS[sheet].model_fields for sheet, column in told)
    of_orders = [column for sheet, column in told if sheet == "orders"]
    assert of_orders == list(SCHEMAS["orders"].model_fields)


def test_notes_list_what_can_be_ordered(tiny: TinyYard) -> None:
    """Models, their options and layouts stand in the notes."""
    path = tiny.folder / "new.xlsx"
    write_template(load_book(tiny.folder), path)
    rows = list(load_workbook(path)["notes"].iter_rows(values_only=True))
    assert ("skiff-16", "option hard-top", "Hard top") in rows
    assert ("skiff-16", "graphics sweep", "Two-color sweep") in rows
