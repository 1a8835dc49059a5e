"""`hullpace plan`."""

from __future__ import annotations

import json
import os
import signal
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from scheduler import planner
from scheduler.checker import check
from scheduler.searching.search import Report
from tests.scheduler.commands.conftest import Hullpace


def orders_of(path: Path) -> dict[str, Any]:
    """Results of a plan file by order."""
    document = json.loads(path.read_text("utf-8"))
    return {one["order"]: one for one in document["answer"]["orders"]}


def test_the_plan_is_written_and_sound(planned: Path) -> None:
    """The file passes the checker."""
    assert check(json.loads(planned.read_text("utf-8"))) == []


def test_the_report_says_what_was_asked(
    hullpace: Hullpace, yard: Path, tmp_path: Path
) -> None:
    """Dates, hours, what limits, levels, cautions, the file and what to run next."""
    ran = hullpace("plan", "--yard", yard, "--work", "20", "--out", tmp_path / "o")
    assert ran.code == 0
    assert ran.err == ""
    for heading in ("DATES", "HOURS BY STATION AND WEEK", "WHAT LIMITS", "HOW GOOD"):
        assert any(line.startswith(heading) for line in ran.lines), heading
    assert "times in America/New_York" in ran.lines[0]
    assert "Follow local codes, data sheets and licensed practice." in ran.out
    assert f"Plan file: {tmp_path / 'o' / 'plan.json'}" in ran.lines
    for command in ("board", "check", "quote --model skiff-16", "trial --add"):
        assert command in ran.out


def test_json(hullpace: Hullpace, yard: Path, tmp_path: Path) -> None:
    """`--json` gives orders and levels, and nothing else is printed."""
    ran = hullpace("plan", "--yard", yard, "--work", "20", "--out", tmp_path, "--json")
    found = json.loads(ran.out)
    assert found["plan"] == str(tmp_path / "plan.json")
    assert [one["order"] for one in found["orders"]] == ["B-1", "B-2"]
    assert found["levels"][0]["name"] == "tardiness"


def test_the_same_work_gives_the_same_answer(
    hullpace: Hullpace, yard: Path, tmp_path: Path, planned: Path
) -> None:
    """With --work and a seed the answer block is the same again."""
    hullpace("plan", "--yard", yard, "--work", "20", "--out", tmp_path / "again")
    again = json.loads((tmp_path / "again" / "plan.json").read_text("utf-8"))
    assert again["answer"] == json.loads(planned.read_text("utf-8"))["answer"]


def test_new_orders_beside_a_committed_plan(
    hullpace: Hullpace, yard: Path, tmp_path: Path, planned: Path
) -> None:
    """New orders are dated, and no date given before moves."""
    head, _, second = (yard / "orders.csv").read_text("utf-8").splitlines()
    week = tmp_path / "week.csv"
    week.write_text(f"{head}\n{second.replace('B-2', 'B-3')}\n", "utf-8")
    ran = hullpace(
        "plan", "--yard", yard, "--orders", yard / "orders.csv", "--orders", week,
        "--committed", planned, "--work", "20", "--out", tmp_path / "next",
    )  # fmt: skip
    assert ran.code == 0, ran.err
    begin = ran.lines.index("NEW ORDERS BESIDE THE COMMITTED PLAN")
    assert [line.split()[0] for line in ran.lines[begin + 3 : begin + 4]] == ["B-3"]
    assert "none: every earlier date stands" in ran.lines
    before, after = orders_of(planned), orders_of(tmp_path / "next" / "plan.json")
    assert after.keys() == {"B-1", "B-2", "B-3"}
    assert all(after[name]["finish"] == before[name]["finish"] for name in before)


def test_ctrl_c_keeps_the_best_plan(
    hullpace: Hullpace, yard: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The first Ctrl-C ends the search; what was found is checked and written."""
    real, heard = planner.make_plan, []

    def interrupted(
        book: Any,
        request: Any,
        *,
        report: Report | None = None,
        should_stop: Callable[[], bool] = lambda: False,
    ) -> Any:
        assert not should_stop()
        os.kill(os.getpid(), signal.SIGINT)
        heard.append(should_stop())
        return real(book, request, report=report, should_stop=should_stop)

    before = signal.getsignal(signal.SIGINT)
    monkeypatch.setattr(planner, "make_plan", interrupted)
    ran = hullpace("plan", "--yard", yard, "--seconds", "600", "--out", tmp_path)
    assert heard == [True]
    assert ran.code == 0, ran.err
    assert check(json.loads((tmp_path / "plan.json").read_text("utf-8"))) == []
    assert signal.getsignal(signal.SIGINT) == before


def test_rearranging_needs_something_committed(hullpace: Hullpace, yard: Path) -> None:
    """`--rearrange` alone makes no sense and says so."""
    ran = hullpace("plan", "--yard", yard, "--rearrange")
    assert ran.code == 2
    assert "--rearrange needs --committed PLAN" in ran.err


def test_a_folder_that_cannot_be_written(
    hullpace: Hullpace, yard: Path, tmp_path: Path
) -> None:
    """It is told before any time is spent on planning, in one line."""
    (tmp_path / "taken").write_text("a file", "utf-8")
    ran = hullpace("plan", "--yard", yard, "--out", tmp_path / "taken" / "in")
    assert ran.code == 2
    assert len(ran.err.splitlines()) == 1


@pytest.mark.parametrize(
    ("option", "value"),
    [
        ("--seconds", "0"),
        ("--seconds", "soon"),
        ("--seconds", "nan"),
        ("--work", "0"),
        ("--work", "1e3"),
        ("--seed", "-1"),
        ("--workers", "1000"),
    ],
)
def test_figures_that_make_no_sense(
    hullpace: Hullpace, yard: Path, option: str, value: str
) -> None:
    """A figure out of its range is refused by its name."""
    ran = hullpace("plan", "--yard", yard, f"{option}={value}")
    assert ran.code == 2
    assert f"argument {option}: {value}" in ran.err
