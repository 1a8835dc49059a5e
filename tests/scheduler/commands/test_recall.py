"""`hullpace recall`."""

from __future__ import annotations

import json
from pathlib import Path

from tests.scheduler.commands.conftest import Hullpace


def test_a_published_plan_comes_back(
    hullpace: Hullpace, loaded: Path, yard: Path, tmp_path: Path
) -> None:
    """The file says what the published one said, and other commands take it."""
    hullpace("publish", loaded, "--yard", yard)
    out = tmp_path / "again" / "plan.json"
    ran = hullpace("recall", "--yard", yard, "--out", out)
    assert ran.code == 0, ran.err
    assert ran.lines[0].startswith(f"{out}: plan 1, published by ")
    assert json.loads(out.read_text("utf-8")) == json.loads(loaded.read_text("utf-8"))
    assert hullpace("check", out).code == 0
    assert "already" in hullpace("publish", out, "--yard", yard).out


def test_a_plan_that_was_not_published(
    hullpace: Hullpace, loaded: Path, yard: Path, tmp_path: Path
) -> None:
    """Without such a plan there is one clear line and no file."""
    out = tmp_path / "again.json"
    for number in ((), ("4",)):
        ran = hullpace("recall", *number, "--yard", yard, "--out", out)
        assert ran.code == 2
        assert "was published" in ran.err
    assert not out.exists()
