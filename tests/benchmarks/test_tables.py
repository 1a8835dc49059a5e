"""The page of measured results says what the files of cells hold."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from benchmarks.plots import figure
from benchmarks.suite import SUITES, command_of, jobs_of
from benchmarks.tables import page, read_cells


def arm(name: str, value: int | None, seed: int = 0, **more: Any) -> dict[str, Any]:
    """One figure of a cell."""
    row = {"name": name, "seed": seed, "asked_seconds": 60.0, "spent_seconds": 61.0}
    return {**row, "value": value, "bound": None, "status": "", "decodes": None, **more}


CELL = {
    "cell": {
        "boats": 20, "load": 1.1, "book_seed": 1, "seconds": 60.0,
        "model_seconds": 60.0, "seeds": 3,
    },
    "operations": 974,
    "date": "2026-11-26",
    "machine": {"processor": "Some", "cores": 2, "system": "Linux"},
    "versions": {"hullpace": "0.1.0"},
    "busy": 3.1,
    "peak_mb": 700,
    "arms": [
        arm("earliest due date", 200),
        arm("rule: due", 200),
        arm("rule: slack", 160),
        arm("hullpace plan", 80, 0, bound=40, status="bounded"),
        arm("hullpace plan", 100, 1, bound=50, status="bounded"),
        arm("hullpace plan", 90, 2, bound=0, status="bounded"),
        arm("one model", None),
        arm("one model, our plan as hint", 95),
    ],
}  # fmt: skip


def folder_of(tmp_path: Path) -> Path:
    """A folder with one cell."""
    (tmp_path / "cells").mkdir()
    (tmp_path / "cells" / "a.json").write_text(json.dumps(CELL), encoding="utf-8")
    return tmp_path


def test_a_row_gives_median_spread_bound_and_gains(tmp_path: Path) -> None:
    """Median 90 of 80, 90, 100: 55 % below 200 and 44 % below the best rule."""
    text = page(folder_of(tmp_path))
    row = next(line for line in text.splitlines() if line.startswith("| 20 |"))
    cells = [one.strip() for one in row.strip("|").split("|")]
    assert cells[5:12] == ["200", "160 (slack)", "90", "20", "50", "55 %", "44 %"]
    assert cells[12:14] == ["95 in 61 s", "none in 61 s"]
    assert "something ran beside" in text


def test_a_missing_plan_is_no_zero(tmp_path: Path) -> None:
    """A method without a plan has a cross; others are shares of earliest due date."""
    drawn = figure(read_cells(folder_of(tmp_path))).data
    told = {one.name: list(one.text) for one in drawn}
    assert told["hullpace plan"] == ["45 %"]
    assert told["best rule"] == ["80 %"]
    assert told["one model"] == ["×"]


def test_every_cell_of_a_suite_has_a_file_of_its_own(tmp_path: Path) -> None:
    """Names tell cells apart, and the command of a cell names its file."""
    for suite, cells in SUITES.items():
        jobs = jobs_of(suite, tmp_path, None)
        assert len(jobs) > len(cells)
        for cell in cells:
            path = tmp_path / "cells" / f"{cell.name}.json"
            assert jobs[path] == command_of(cell, path)
            assert str(path) in jobs[path]
