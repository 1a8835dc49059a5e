"""`hullpace publish`."""

from __future__ import annotations

import json
from pathlib import Path

from tests.scheduler.commands.conftest import Hullpace


def another_plan(hullpace: Hullpace, yard: Path, tmp_path: Path) -> Path:
    """A second plan of the same data."""
    out = tmp_path / "second"
    ran = hullpace("plan", "--yard", yard, "--work", "3", "--seed", "7", "--out", out)
    assert ran.code == 0, ran.err
    return out / "plan.json"


def test_a_first_plan(hullpace: Hullpace, loaded: Path, yard: Path) -> None:
    """A checked plan is published at once where none is; again it changes nothing."""
    ran = hullpace("publish", loaded, "--yard", yard, "--why", "first")
    assert ran.code == 0, ran.err
    assert "keep every rule" in ran.lines[0]
    assert ran.lines[-1] == "Published, as plan 1."
    again = hullpace("publish", loaded, "--yard", yard)
    assert again.code == 0, again.err
    assert "already; nothing was changed" in again.out


def test_a_plan_is_replaced_by_who_has_seen_it(
    hullpace: Hullpace, loaded: Path, yard: Path, tmp_path: Path
) -> None:
    """A second plan is compared first; the command that publishes it is given."""
    hullpace("publish", loaded, "--yard", yard)
    second = another_plan(hullpace, yard, tmp_path)
    shown = hullpace("publish", second, "--yard", yard)
    assert shown.code == 1
    assert "Against plan 1, published by " in shown.out
    assert f"publish --yard {yard} --replaces 1 {second}" in shown.lines[-1]
    done = hullpace("publish", second, "--yard", yard, "--replaces", "1")
    assert done.code == 0, done.err
    assert done.lines[-1] == "Published, as plan 2."


def test_the_second_of_two_people_is_told(
    hullpace: Hullpace, loaded: Path, yard: Path, tmp_path: Path
) -> None:
    """Whoever replaces a plan that is replaced already gets one clear line."""
    hullpace("publish", loaded, "--yard", yard)
    second = another_plan(hullpace, yard, tmp_path)
    hullpace("publish", second, "--yard", yard, "--replaces", "1")
    ran = hullpace("publish", loaded, "--yard", yard, "--replaces", "1")
    assert ran.code == 1
    assert ran.out == ""
    assert "plan 2 is published by now" in ran.err
    assert len(ran.err.splitlines()) == 1


def test_a_plan_that_breaks_a_rule_is_not_published(
    hullpace: Hullpace, loaded: Path, yard: Path
) -> None:
    """What the checker refuses never reaches the floor."""
    document = json.loads(loaded.read_text("utf-8"))
    for row in document["answer"]["operations"]:
        row["people"] = []
    loaded.write_text(json.dumps(document), "utf-8")
    ran = hullpace("publish", loaded, "--yard", yard)
    assert ran.code == 1
    assert "must not be worked to" in ran.err
    assert "nothing was published" in ran.err
    assert hullpace("diff", "published", loaded, "--yard", yard).code == 2


def test_a_plan_of_other_data_is_not_published(
    hullpace: Hullpace, loaded: Path, yard: Path
) -> None:
    """A plan made before orders were loaded anew is refused with the file's name."""
    path = yard / "orders.csv"
    path.write_text(path.read_text("utf-8").replace("04-16", "04-23"), "utf-8")
    assert hullpace("load", "--yard", yard, "--after", "1").code == 0
    ran = hullpace("publish", loaded, "--yard", yard)
    assert ran.code == 1
    assert "other data than load 2: orders.csv" in ran.err


def test_without_a_store(hullpace: Hullpace, planned: Path, yard: Path) -> None:
    """Before the first load there is nothing to publish into; none is made."""
    ran = hullpace("publish", planned, "--yard", yard)
    assert ran.code == 2
    assert "`hullpace load` makes one" in ran.err
    assert not (yard / "yard.db").exists()


def test_what_was_done_as_an_object(
    hullpace: Hullpace, loaded: Path, yard: Path
) -> None:
    """`--json` says whether and as what the plan was published."""
    told = json.loads(hullpace("publish", loaded, "--yard", yard, "--json").out)
    assert told == {
        "plan": str(loaded), "published": True, "number": 1, "before": None,
    }  # fmt: skip
