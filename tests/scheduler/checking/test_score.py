"""Results, levels and bounds are worked out anew."""

from __future__ import annotations

import pytest

from tests.scheduler.mutations import Mutations, assert_told, change, level, result

MUTATIONS: Mutations = {
    "finish of an order told wrongly": (
        lambda d: change(result(d, "B101"), finish="2027-03-22T12:00-04:00"),
        ("B101 is said to finish Mon 2027-03-22 12:00", "Tue 2027-03-23 12:00"),
    ),
    "tardy days told wrongly": (
        lambda d: change(result(d, "B101"), tardy_days=1),
        ("B101 is said to be 1 working days late, but is 2",),
    ),
    "proposed date told wrongly": (
        lambda d: change(result(d, "B102"), proposed="2027-04-05"),
        ("B102 is proposed for 2027-04-05, but 2027-04-06 is right",),
    ),
    "date proposed although one is promised": (
        lambda d: change(result(d, "B101"), proposed="2027-04-06"),
        ("B101 is proposed for 2027-04-06, but no date is right",),
    ),
    "order without a result": (
        lambda d: d["answer"]["orders"].remove(result(d, "B102")),
        ("B102 has 0 results, not one",),
    ),
    "tardiness understated": (
        lambda d: change(level(d, "tardiness"), value=5.0, bound=5.0),
        ("tardiness is said to be 5, but is 6",),
    ),
    "changes understated": (
        lambda d: change(level(d, "changes"), value=2.0),
        ("changes is said to be 2, but is 3",),
    ),
    "work in process understated": (
        lambda d: change(level(d, "work_in_process"), value=179.21874),
        ("work_in_process is said to be", "but is 179.219"),
    ),
    "leveling understated": (
        lambda d: change(level(d, "leveling"), value=1569.0),
        ("leveling is said to be 1569, but is 1569.25",),
    ),
    "bound above its value": (
        lambda d: change(level(d, "tardiness"), bound=6.00001),
        ("bound 6.00001 of level tardiness is above its value 6",),
    ),
    "called proven with a lower bound": (
        lambda d: change(level(d, "tardiness"), bound=5.0),
        ("tardiness is called proven, but its bound 5 is below its value 6",),
    ),
    "called proven without a bound": (
        lambda d: change(level(d, "overtime"), bound=None),
        ("overtime is called proven, but has no bound",),
    ),
    "called feasible with a bound": (
        lambda d: change(level(d, "changes"), bound=1.0),
        ("changes is called feasible, but has a bound of 1",),
    ),
    "bound after a level that is not proven": (
        lambda d: change(level(d, "leveling"), bound=0.0, status="bounded"),
        ("leveling states a bound or proof, although a level before it",),
    ),
    "levels out of order": (
        lambda d: d["answer"]["levels"].reverse(),
        ("levels are not tardiness, overtime, changes",),
    ),
}


@pytest.mark.parametrize("name", MUTATIONS)
def test_a_broken_rule_is_named(name: str) -> None:
    """A false figure is caught, in one sentence that gives the right one."""
    assert_told(MUTATIONS[name])
