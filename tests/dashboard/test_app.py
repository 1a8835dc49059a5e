"""The application: which sheet an address gives, and what its callbacks answer."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

from dashboard.app import PAGES, draw_sheet, make_app, page_path
from dashboard.filters import Filters
from dashboard.source import PlanSource
from tests.dashboard.small_view import text_of, write_small_plan

HEADERS = {"Host": "127.0.0.1"}
DRAW = "..head.children...sheet.children...drawn.data.."


@pytest.fixture
def source(tmp_path: Path) -> PlanSource:
    """The small plan as a file, in a folder without a yard."""
    return PlanSource(write_small_plan(tmp_path / "plan.json"), tmp_path)


def ask(client: FlaskClient, output: str, search: str, drawn: str | None = None) -> Any:
    """Send a callback as the browser does."""
    outputs = [
        dict(zip(("id", "property"), one.split(".")))
        for one in output.strip(".").split("...")
    ]
    inputs = [
        {"id": "url", "property": "pathname", "value": "/plan"},
        {"id": "url", "property": "search", "value": search},
        {"id": "version", "property": "data", "value": None},
    ]
    state = [{"id": "drawn", "property": "data", "value": drawn}]
    body = {
        "output": output,
        "outputs": outputs if output.startswith("..") else outputs[0],
        "inputs": inputs,
        "changedPropIds": ["url.search"],
        "state": state if output == DRAW else [],
    }
    reply = client.post("/_dash-update-component", json=body, headers=HEADERS)
    return reply.status_code, json.loads(reply.text or "{}").get("response")


def test_each_address_is_one_sheet() -> None:
    """The bare address is the first sheet; each other has its own."""
    assert [page_path(path) for path in PAGES] == list(PAGES)
    assert page_path("/") == page_path(None) == "/plan"


def test_a_sheet_is_drawn_once(source: PlanSource) -> None:
    """The same choices are not drawn again; another operation is no reason to."""
    client = make_app(source).server.test_client()
    status, first = ask(client, DRAW, "?weeks=4")
    assert status == 200
    drawn = first["drawn"]["data"]
    assert ask(client, DRAW, "?weeks=4&op=B101/hull.skin", drawn) == (200, {})
    assert ask(client, DRAW, "?weeks=2", drawn)[1]["sheet"]["children"]


def test_a_new_plan_is_drawn(source: PlanSource) -> None:
    """A changed file is drawn although the address is the same."""
    client = make_app(source).server.test_client()
    drawn = ask(client, DRAW, "")[1]["drawn"]["data"]
    assert ask(client, DRAW, "", drawn) == (200, {})
    source.path.write_text(source.path.read_text("utf-8") + "\n", encoding="utf-8")
    assert ask(client, DRAW, "", drawn)[1]["sheet"]["children"]


def test_an_operation_is_told_about(source: PlanSource) -> None:
    """The details come by themselves, with the bars to be marked."""
    client = make_app(source).server.test_client()
    output = "..details.children...picked.data.."
    status, found = ask(client, output, "?op=B101/hull.skin")
    assert status == 200
    assert found["picked"]["data"]["op"] == "B101/hull.skin"


@pytest.mark.parametrize("path", PAGES)
def test_without_a_plan_every_sheet_says_so(tmp_path: Path, path: str) -> None:
    """No sheet fails for want of a plan."""
    reading = PlanSource(tmp_path / "plan.json", tmp_path).reading()
    assert "hullpace plan --out" in text_of(draw_sheet(reading, path, Filters()))


@pytest.mark.parametrize("path", PAGES)
def test_missing_names_are_told(source: PlanSource, path: str) -> None:
    """A sheet without the yard's names says that it shows codes."""
    told = text_of(draw_sheet(source.reading(), path, Filters()))
    assert "codes are shown" in told


def test_nonsense_gets_no_trace_of_the_program(source: PlanSource) -> None:
    """A malformed callback is an error without the text of a traceback."""
    app = make_app(source)
    client = app.server.test_client()
    app.logger.disabled = True
    for body in ("{}", "[]", '{"output": "moon.data"}', "null"):
        reply = client.post(
            "/_dash-update-component",
            data=body,
            headers={**HEADERS, "Content-Type": "application/json"},
        )
        assert reply.status_code >= 400
        assert "Traceback" not in reply.text
        assert ".py" not in reply.text
