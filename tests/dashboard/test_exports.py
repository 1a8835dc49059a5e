"""Tables through the server."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from pathlib import Path

import pytest
from flask.testing import FlaskClient

from dashboard.app import make_app
from dashboard.exports import NAMES, promises_table
from dashboard.source import PlanSource
from scheduler.export import table_to_csv
from tests.dashboard.small_view import small_names, small_view, write_small_plan

HEADERS = {"Host": "127.0.0.1"}


def client_of(folder: Path) -> FlaskClient:
    """A client of the board on the plan of a folder."""
    client: FlaskClient = make_app(
        PlanSource(folder / "plan.json", folder)
    ).server.test_client()
    return client


@pytest.mark.parametrize("name", NAMES)
def test_each_table_is_a_file(tmp_path: Path, name: str) -> None:
    """A table comes as CSV to be kept, with a heading and rows."""
    write_small_plan(tmp_path / "plan.json")
    reply = client_of(tmp_path).get(f"/export/{name}.csv", headers=HEADERS)
    assert reply.status_code == 200
    assert reply.mimetype == "text/csv"
    assert f'filename="{name}.csv"' in reply.headers["Content-Disposition"]
    rows = list(csv.reader(io.StringIO(reply.text)))
    assert len(rows) > 2
    assert {len(row) for row in rows} == {len(rows[0])}


@pytest.mark.parametrize(
    "path", ["plan.csv", "../plan.csv", "%2e%2e%2fplan.csv", "orders", "orders.json"]
)
def test_no_other_file_is_given_away(tmp_path: Path, path: str) -> None:
    """A name chooses one of our tables and is never a path."""
    write_small_plan(tmp_path / "plan.json")
    reply = client_of(tmp_path).get(f"/export/{path}", headers=HEADERS)
    assert reply.status_code == 404


def test_without_a_plan_there_is_nothing_to_take(tmp_path: Path) -> None:
    """No plan, no file."""
    reply = client_of(tmp_path).get("/export/orders.csv", headers=HEADERS)
    assert reply.status_code == 404


def test_formulas_are_made_harmless() -> None:
    """What a customer wrote does not run in a spreadsheet."""
    names = replace(small_names(), customers={"B101": "=1+1"})
    text = table_to_csv(promises_table(small_view(names)))
    assert "'=1+1" in text
    assert ",=1+1" not in text
