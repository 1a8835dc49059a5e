"""`hullpace hours`."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from tests.scheduler.commands.conftest import Hullpace


def test_json_gives_every_order_with_its_lines(hullpace: Hullpace, yard: Path) -> None:
    """`--json` is a list of objects with order, model, hours and lines."""
    ran = hullpace("hours", "--yard", yard, "--json")
    assert ran.code == 0
    rows = json.loads(ran.out)
    assert [row["order"] for row in rows] == ["B-1", "B-2"]
    for row in rows:
        assert set(row) == {"order", "model", "hours", "lines"}
        assert row["hours"] == pytest.approx(sum(one["hours"] for one in row["lines"]))


def test_each_line_is_its_own_product(hullpace: Hullpace, yard: Path) -> None:
    """Hours of a line = quantity x factor x hours a unit x (1 + allowance)."""
    rows = json.loads(hullpace("hours", "--yard", yard, "--json").out)
    lines = [line for row in rows for line in row["lines"]]
    assert lines
    for line in lines:
        quantity = 1.0 if line["quantity"] is None else line["quantity"]
        product = quantity * line["factor"] * line["hours_per_unit"]
        hours = product * (1 + line["allowance"])
        assert line["hours"] == pytest.approx(hours, abs=0.00501), line


def test_the_lines_of_an_order_add_up(hullpace: Hullpace, yard: Path) -> None:
    """The hours printed line by line come to the total printed below them."""
    ran = hullpace("hours", "--yard", yard, "--order", "B-2")
    assert ran.code == 0
    ends = [re.search(r" (\d+\.\d\d)$", line) for line in ran.lines]
    total = next(line for line in ran.lines if "labor hours" in line)
    listed = sum(float(found[1]) for found in ends if found)
    assert float(total.split()[0]) == pytest.approx(listed)


def test_the_book_adds_up(hullpace: Hullpace, yard: Path) -> None:
    """The total of the book is the sum of its orders."""
    rows = json.loads(hullpace("hours", "--yard", yard, "--json").out)
    ran = hullpace("hours", "--yard", yard)
    total = next(line for line in ran.lines if line.endswith("labor hours in all."))
    assert float(total.split()[0]) == pytest.approx(sum(row["hours"] for row in rows))


def test_an_option_adds_hours(hullpace: Hullpace, yard: Path) -> None:
    """A model without options has fewer hours than the same model with some."""
    (plain,) = json.loads(
        hullpace("hours", "--yard", yard, "--model", "skiff-16", "--json").out
    )
    orders = json.loads(hullpace("hours", "--yard", yard, "--json").out)
    assert all(plain["hours"] < order["hours"] for order in orders)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--order", "B-11"), "did you mean 'B-1'?"),
        (("--model", "skif-16"), "did you mean 'skiff-16'?"),
        (("--order", "B-1", "--model", "skiff-16"), "not allowed with"),
    ],
)
def test_what_is_not_there(
    hullpace: Hullpace, yard: Path, arguments: tuple[str, ...], said: str
) -> None:
    """An unknown order or model, or both at once, is refused with what to do."""
    ran = hullpace("hours", "--yard", yard, *arguments)
    assert ran.code == 2
    assert said in ran.err


def test_a_new_model_learns(hullpace: Hullpace, yard: Path) -> None:
    """Each boat of the book has its own share, and one more boat comes after them."""
    plain = json.loads(hullpace("hours", "--yard", yard, "--json").out)
    with (yard / "boats/skiff-16.toml").open("a", encoding="utf-8") as file:
        file.write('\n[learning]\ncurve = "unit"\nrate = 0.8\nbuilt = 1\n')
    rows = json.loads(hullpace("hours", "--yard", yard, "--json").out)
    shares = [new["hours"] / old["hours"] for new, old in zip(rows, plain)]
    assert shares == pytest.approx([0.8, 0.70210], abs=1e-3)
    shown = hullpace("hours", "--yard", yard, "--order", "B-2")
    assert "Boat 3 of the model: unit curve, 80 %" in shown.out
    model = hullpace("hours", "--yard", yard, "--model", "skiff-16")
    assert "Boat 4 of the model: unit curve, 80 %" in model.out


DEMO = Path(__file__).parents[3] / "demo_orders"


def test_materials_of_the_book(hullpace: Hullpace) -> None:
    """Without a plan: every material in all and to come, and the usual caution."""
    ran = hullpace("hours", "--yard", DEMO, "--materials")
    assert ran.code == 0, ran.err
    assert ran.lines[0] == "MATERIALS OF 30 ORDERS"
    assert any(line.startswith("Laminating resin") for line in ran.lines)
    assert "MISSING ITEMS" not in ran.out
    assert "Follow local codes" in ran.out


def test_materials_as_objects_add_up(hullpace: Hullpace) -> None:
    """The lines of all orders come to the totals of the printed table."""
    ran = hullpace("hours", "--yard", DEMO, "--materials", "--json")
    rows = [line for order in json.loads(ran.out) for line in order["materials"]]
    resin = sum(one["amount"] for one in rows if one["material"] == "resin")
    printed = hullpace("hours", "--yard", DEMO, "--materials")
    line = next(one for one in printed.lines if one.startswith("Laminating resin"))
    assert line.split()[3] == f"{resin:,.1f}"


def test_materials_of_one_order(hullpace: Hullpace) -> None:
    """One order line by line: how each amount follows from a quantity."""
    ran = hullpace("hours", "--yard", DEMO, "--materials", "--order", "DC-301")
    line = next(
        one for one in ran.lines if one.startswith("join.set") and "screw" in one
    )
    assert re.split(r"  +", line) == [
        *("join.set", "Deck-joint screw", "17 m", "one every 3 in, 5 % waste"),
        *("235", "each"),
    ]
    model = hullpace("hours", "--yard", DEMO, "--materials", "--model", "quillet-23")
    assert model.code == 0


MATERIALS = """
[[materials]]
id = "screw"
name = "Screw"
kind = "fasteners"
unit = "each"
lead_days = 7
"""
USES = """uses = [
  { material = "screw", operation = "final.rig", by = "unit", count_per_unit = 12 },
]

[quantities]"""


def test_materials_with_a_plan(hullpace: Hullpace, yard: Path, tmp_path: Path) -> None:
    """Days of need, weeks and missing items come from the plan file."""
    with (yard / "yard.toml").open("a", encoding="utf-8") as file:
        file.write(MATERIALS)
    boat = yard / "boats/skiff-16.toml"
    text = boat.read_text(encoding="utf-8").replace("[quantities]", USES)
    boat.write_text(text, encoding="utf-8")
    made = hullpace("plan", "--yard", yard, "--work", "5", "--out", tmp_path)
    assert made.code == 0, made.err
    plan = tmp_path / "plan.json"
    ran = hullpace("hours", "--yard", yard, "--materials", "--plan", plan)
    assert ran.code == 0, ran.err
    for heading in ("TO COME, BY WEEK OF NEED", "MISSING ITEMS"):
        assert heading in ran.lines
    (order,) = json.loads(
        hullpace(
            *("hours", "--yard", yard, "--materials", "--plan", plan),
            *("--order", "B-2", "--json"),
        ).out
    )
    rows = json.loads(plan.read_text(encoding="utf-8"))["answer"]["operations"]
    (rig,) = (one for one in rows if one["id"] == "B-2/final.rig")
    (line,) = order["materials"]
    assert (line["amount"], line["needed"]) == (12, rig["start"][:10])
    assert order["missing"] == []  # the engine that has not come is B-1's
    shown = hullpace(
        "hours", "--yard", yard, "--materials", "--plan", plan, "--order", "B-2"
    )
    assert line["needed"] in shown.out
    assert line["order_by"] in shown.out
    every = json.loads(
        hullpace(
            *("hours", "--yard", yard, "--materials", "--plan", plan, "--json")
        ).out
    )
    (engine,) = every[0]["missing"]
    (rig,) = (one for one in rows if one["id"] == "B-1/final.rig")
    assert (engine["item"], engine["comes"]) == ("engine", "2027-03-10")
    assert engine["needed"] == rig["start"][:10]


def test_materials_that_cannot_be_listed(hullpace: Hullpace, yard: Path) -> None:
    """A yard without materials, or a plan without `--materials`, is one clear line."""
    ran = hullpace("hours", "--yard", yard, "--materials")
    assert (ran.code, "names no materials" in ran.err) == (2, True)
    ran = hullpace("hours", "--yard", yard, "--plan", "plan.json")
    assert (ran.code, "--plan needs --materials" in ran.err) == (2, True)
