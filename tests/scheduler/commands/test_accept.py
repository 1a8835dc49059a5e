"""`hullpace quote --reserve` and `hullpace accept`."""

from __future__ import annotations

import json
from pathlib import Path

from tests.scheduler.commands.conftest import Hullpace
from tests.scheduler.commands.test_record import working

__all__ = ["working"]

FAR = "2099-12-31"
ASK = ("quote", "--model", "skiff-16", "--options", "canvas-top")


def test_from_a_quote_to_an_order(
    hullpace: Hullpace, working: Path, tmp_path: Path
) -> None:
    """Reserved, kept from the next desk, planned, accepted, and loaded from files."""
    url = ("--store", working / "yard.db")
    reserve = (*ASK, *url, "--reserve", "B-7", "--until", FAR, "--customer", "C-7")
    first = json.loads(hullpace(*reserve, "--json").out)
    other = (*ASK, *url, "--reserve", "B-8", "--until", FAR)
    assert hullpace(*other).lines[-1].endswith(f"decline B-8 --store {url[1]}")
    assert hullpace("decline", "B-8", *url).code == 0
    assert first["reservation"] == 1
    second = json.loads(hullpace(*ASK, *url, "--json").out)
    assert second["proposed"] > first["proposed"]
    assert "is there already" in hullpace(*reserve).err
    out = tmp_path / "out"
    ran = hullpace("plan", "--work", "20", "--out", out, *url)
    assert ran.code == 0, ran.err
    problem = json.loads((out / "plan.json").read_text("utf-8"))["problem"]
    row = next(one for one in problem["orders"] if one["order"] == "B-7")
    assert (row["kind"], row["reserved_until"]) == ("reservation", FAR)
    assert row["promised"] == first["proposed"]
    assert hullpace("check", out / "plan.json", *url).code == 0
    ran = hullpace("accept", "B-7", *url)
    assert ran.code == 0, ran.err
    assert ran.lines[0] == f"B-7 is accepted for {first['proposed']}."
    again = hullpace("accept", "B-7", *url).lines[0]
    assert again.endswith("already; nothing was changed.")
    publish = ("publish", out / "plan.json", "--yard", working, "--replaces", "1")
    assert hullpace(*publish).code == 0
    assert f"B-7 reserved for {first['proposed']}" in (
        hullpace("history", "--yard", working).out
    )
    orders = working / "orders.csv"
    orders.write_text(orders.read_text("utf-8") + ran.lines[-1] + "\n", "utf-8")
    ran = hullpace("load", "--yard", working)
    assert ran.code == 0, ran.err
    ran = hullpace("plan", "--work", "20", "--out", out, *url)
    assert ran.code == 0, ran.err
    assert "none: every earlier date stands" in ran.out


def test_what_a_reservation_needs(hullpace: Hullpace, working: Path) -> None:
    """A store, a last day, sound options, a date that can be kept."""
    url = ("--store", working / "yard.db")
    for words, told in (
        (("--reserve", "B-7", "--until", FAR), "need --store URL"),
        ((*url, "--reserve", "B-7"), "need one another"),
        ((*url, "--yard", working), "leave out --yard"),
        ((*url, "--graphics", "stripes"), "the boat asked for: graphics"),
        ((*url, "--reserve", "B-1", "--until", FAR), "is there already"),
    ):
        ran = hullpace(*ASK, *words)
        assert ran.code == 2
        assert told in ran.err
    wanted = ("--wanted", "2027-03-02", "--reserve", "B-7", "--until", FAR)
    ran = hullpace(*ASK, *url, *wanted)
    assert ran.code == 1
    assert ran.lines[-1] == "Nothing was reserved."
    assert hullpace("accept", "B-7", *url).code == 2
