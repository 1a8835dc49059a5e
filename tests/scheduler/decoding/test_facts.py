"""Committed work, put into a state before anything is searched."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from models.errors import NoPlan
from models.loading import load_book
from models.orders import Book
from scheduler.building.build import build_problem
from scheduler.checker import check
from scheduler.compiling.compile import compile_problem
from scheduler.decoding.decoder import facts_state
from scheduler.decoding.failure import CLASH, early_pins, missed_windows
from scheduler.plan_file import plan_to_json
from scheduler.planner import Request, make_plan
from scheduler.searching.search import Budget, facts_of

BASE = Path(__file__).parents[3] / "demo_orders" / "broken" / "base"
BOTH_AT_ONCE = "B-2,hull.prep,2027-03-16T06:00,H16-1,LM-02\n"


def little_book(folder: Path) -> Book:
    """The little yard with its lock."""
    shutil.copytree(BASE, folder)
    return load_book(folder)


def third_order(folder: Path) -> Book:
    """The little yard with two orders locked into its one hull mold at once."""
    shutil.copytree(BASE, folder)
    with (folder / "orders.csv").open("a", encoding="utf-8") as file:
        file.write("B-3,C-3,skiff-16,canvas-top,,2027-04-30,,,1,,\n")
    with (folder / "locks.csv").open("a", encoding="utf-8") as file:
        file.write(BOTH_AT_ONCE.replace("B-2", "B-3").replace("LM-02", "LM-03"))
    return load_book(folder)


def test_a_lock_behind_begun_work_keeps_its_mold(tmp_path: Path) -> None:
    """A part in its mold today with an open end leaves it before a locked one."""
    book = little_book(tmp_path / "yard")
    outcome = make_plan(book, Request(Budget(None, 20), workers=1))
    assert check(plan_to_json(outcome.plan)) == []


def test_given_holds_of_a_slot_do_not_overlap(tmp_path: Path) -> None:
    """The open hold of begun work is cut where the locked one begins."""
    compilation = compile_problem(build_problem(little_book(tmp_path / "yard")))
    facts, sound = facts_state(compilation.arrays)
    assert sound
    for slot in range(len(facts.taken_count)):
        for k in range(1, facts.taken_count[slot]):
            assert facts.taken_to[slot, k - 1] <= facts.taken_from[slot, k]


def test_two_locks_on_one_mold_are_one_clear_line(tmp_path: Path) -> None:
    """No plan, and the line says why."""
    book = third_order(tmp_path / "yard")
    with pytest.raises(NoPlan, match="takes one mold or place twice") as refused:
        make_plan(book, Request(Budget(None, 20), workers=1))
    assert str(refused.value) == CLASH


def test_clashing_facts_reach_no_loop(tmp_path: Path) -> None:
    """Whoever asks for the committed state is refused, not given a broken one."""
    compilation = compile_problem(build_problem(third_order(tmp_path / "yard")))
    assert not facts_state(compilation.arrays)[1]
    with pytest.raises(NoPlan):
        facts_of(compilation.arrays)


def refusal(folder: Path, file: str, old: str, new: str) -> str:
    """What planning the little yard says after a change of one of its files."""
    shutil.copytree(BASE, folder)
    path = folder / file
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")
    with pytest.raises(NoPlan) as refused:
        make_plan(load_book(folder), Request(Budget(None, 20), workers=1))
    told = str(refused.value)
    assert "\n" not in told
    assert "even alone" not in told
    return told


def test_a_window_that_cannot_be_kept_is_named(tmp_path: Path) -> None:
    """Which wait, since when, until when, and what to do."""
    bond = '{ kind = "bond", before = "hull.gel_coat", after = "hull.demold"'
    told = refusal(
        tmp_path / "yard",
        "boats/skiff-16.toml",
        "waits = [\n",
        f"waits = [\n  {bond}, max_hours = 100 }},\n",
    )
    assert "B-1/hull.demold has to begin by 2027-03-02 11:30" in told
    assert "at most 100 h after the end of B-1/hull.gel_coat" in told
    assert "record it" in told


def test_a_window_after_begun_work_is_named(tmp_path: Path) -> None:
    """It counts from the end that begun work can have at best."""
    bond = '{ kind = "bond", before = "hull.laminate", after = "hull.demold"'
    told = refusal(
        tmp_path / "yard",
        "boats/skiff-16.toml",
        "waits = [\n",
        f"waits = [\n  {bond}, max_hours = 40 }},\n",
    )
    assert "B-1/hull.demold has to begin by 2027-03-0" in told
    assert "at most 40 h after the end of B-1/hull.laminate, which is begun" in told
    assert "record it" in told


def test_work_pinned_too_early_is_named(tmp_path: Path) -> None:
    """What is pinned when, what keeps it until when, and what to do."""
    told = refusal(
        tmp_path / "yard",
        "locks.csv",
        "B-2,",
        "B-1,hull.demold,2027-03-01T10:00,,\nB-2,",
    )
    assert "B-1/hull.demold is pinned so as to begin at 2027-03-01 10:00" in told
    assert "B-1/hull.laminate lets it only at 2027-03-0" in told
    assert "locks.csv" in told


def test_what_can_be_kept_is_not_blamed(tmp_path: Path) -> None:
    """A yard with a plan has no window that ran out and nothing pinned too early."""
    compilation = compile_problem(build_problem(little_book(tmp_path / "yard")))
    assert missed_windows(compilation) == []
    assert early_pins(compilation) == []
