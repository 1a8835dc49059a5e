"""Who is answered, and what every reply carries."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
from flask.testing import FlaskClient

from dashboard.app import make_app
from dashboard.security import LARGEST_BODY
from dashboard.source import PlanSource
from scheduler.plan_file import write_plan
from tests.dashboard.demo_view import DEMO, demo_plan

LOCAL = {"Host": "127.0.0.1:8050"}
CALLBACK = "/_dash-update-component"


@cache
def _app() -> object:
    return make_app(PlanSource(Path("no-such-folder/plan.json"), DEMO))


@pytest.fixture
def client() -> FlaskClient:
    """A client of a board that has no plan."""
    client: FlaskClient = _app().server.test_client()  # type: ignore[attr-defined]
    return client


@pytest.mark.parametrize("host", ["127.0.0.1:8050", "localhost", "[::1]:8050"])
def test_this_computer_is_answered(client: FlaskClient, host: str) -> None:
    """A request that names a loopback host is answered."""
    assert client.get("/plan", headers={"Host": host}).status_code == 200


@pytest.mark.parametrize(
    "host",
    ["board.example", "127.0.0.1.example", "192.168.1.7:8050", "localhost.", "0"],
)
def test_another_host_is_refused(client: FlaskClient, host: str) -> None:
    """A request that names any other host is refused, so that no name can be bent."""
    for path in ("/plan", "/_dash-layout", "/export/orders.csv", "/assets/board.css"):
        assert client.get(path, headers={"Host": host}).status_code == 403


@pytest.mark.parametrize(
    "header", ["X-Forwarded-For", "Forwarded", "X-Forwarded-Host", "Via", "X-Real-Ip"]
)
def test_a_proxy_is_refused(client: FlaskClient, header: str) -> None:
    """A request that came through a proxy is refused: others may sit behind it."""
    reply = client.get("/plan", headers={**LOCAL, header: "127.0.0.1"})
    assert reply.status_code == 403
    assert "proxy" in reply.get_data(as_text=True)


@pytest.mark.parametrize(
    "more",
    [
        {"Origin": "http://board.example"},
        {"Origin": "null"},
        {"Origin": "http://127.0.0.1:9999"},
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site"},
    ],
)
def test_a_foreign_page_cannot_ask(client: FlaskClient, more: dict[str, str]) -> None:
    """A page of another site cannot make the browser ask this board."""
    assert client.post(CALLBACK, json={}, headers={**LOCAL, **more}).status_code == 403


def test_the_own_page_can_ask(client: FlaskClient) -> None:
    """What refuses foreign pages lets the board's own pages through."""
    own = {**LOCAL, "Origin": "http://127.0.0.1:8050", "Sec-Fetch-Site": "same-origin"}
    wanted = {
        "output": "version.data",
        "outputs": {"id": "version", "property": "data"},
        "inputs": [{"id": "poll", "property": "n_intervals", "value": 1}],
        "state": [{"id": "version", "property": "data", "value": None}],
        "changedPropIds": ["poll.n_intervals"],
    }
    reply = client.post(CALLBACK, json=wanted, headers=own)
    assert reply.status_code == 200
    assert reply.get_json()["response"]["version"]["data"] == "none"


@pytest.mark.parametrize(
    "path",
    ["/_mcp", "/nope/zzz", "/plan/x", "/export/secrets.csv", "/export/../yard.csv",
     "/assets/../app.py", "/assets/none.css", "/.env"],
)  # fmt: skip
def test_unknown_paths_do_not_exist(client: FlaskClient, path: str) -> None:
    """What is not part of the board is not found."""
    assert client.get(path, headers=LOCAL).status_code == 404


def test_nothing_of_the_machine_protocol_is_served() -> None:
    """The application has no route for programs that drive it."""
    rules = [one.rule for one in _app().server.url_map.iter_rules()]  # type: ignore[attr-defined]
    assert rules
    assert [one for one in rules if "mcp" in one] == []


def test_a_large_body_is_refused(client: FlaskClient) -> None:
    """A request of more than two megabytes is refused."""
    body = b'{"a": "' + b"x" * LARGEST_BODY + b'"}'
    reply = client.post(
        CALLBACK, data=body, content_type="application/json", headers=LOCAL
    )
    assert reply.status_code == 413


@pytest.mark.parametrize("path", ["/plan", "/nope", "/assets/board.css"])
def test_every_reply_has_its_headers(client: FlaskClient, path: str) -> None:
    """Whatever is sent forbids foreign scripts, frames and guessing of types."""
    with client.get(path, headers=LOCAL) as reply:
        headers = reply.headers
    policy = headers["Content-Security-Policy"]
    assert "default-src 'self'" in policy
    assert "frame-ancestors 'none'" in policy
    assert "unsafe-eval" not in policy
    assert "unsafe-inline" not in policy.split("style-src")[0]
    assert headers["X-Content-Type-Options"] == "nosniff"


def test_the_export_is_a_table_of_the_plan(tmp_path: Path) -> None:
    """The export has a heading and one row for each order."""
    write_plan(demo_plan(), tmp_path / "plan.json")
    client = make_app(PlanSource(tmp_path / "plan.json", DEMO)).server.test_client()
    reply = client.get("/export/promises.csv", headers=LOCAL)
    assert reply.status_code == 200
    assert reply.mimetype == "text/csv"
    assert "attachment" in reply.headers["Content-Disposition"]
    lines = reply.get_data(as_text=True).splitlines()
    assert len(lines) == 1 + len(demo_plan().problem.orders)
