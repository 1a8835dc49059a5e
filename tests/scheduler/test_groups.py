"""Station groups where the yard's files cannot be read."""

from __future__ import annotations

import pytest

from dashboard.view import make_view
from models.names import MOST_GROUPS, Names
from scheduler.groups import REST, group_of_code, groups_of_stations
from tests.dashboard.demo_view import demo_plan


@pytest.mark.parametrize(
    ("code", "group"),
    [
        ("hull.gel_coat", "Mold and gel coat"),
        ("hull.color2.mask", "Mold and gel coat"),
        ("deck.skin", REST),
        ("hull.electrical", "Rigging"),
        ("final.engine", "Rigging"),
        ("upholstery.sew", "Upholstery"),
        ("hull.cabin", "Interior"),
        ("join.set", "Joining and finish"),
        ("final.detail", "Joining and finish"),
        ("x", REST),
    ],
)
def test_a_code_tells_its_trade(code: str, group: str) -> None:
    """Words of a code decide its group; what no word tells is the rest."""
    assert group_of_code(code) == group


def test_a_station_belongs_where_its_hours_are() -> None:
    """Each station that has work is in one of six groups at most."""
    operations = demo_plan().problem.operations
    groups = groups_of_stations(operations)
    assert set(groups) == {one.station for one in operations}
    assert groups["booth"] == "Mold and gel coat"
    assert groups["lay-up"] == REST
    assert groups["rigging"] == "Rigging"
    assert len(set(groups.values())) <= MOST_GROUPS


def test_a_plan_without_names_is_still_drawn_by_trade() -> None:
    """Without the yard's files the drawing has groups, and codes for names."""
    view = make_view(demo_plan(), Names())
    assert 3 < len(view.groups) <= MOST_GROUPS
    used = {view.groups[row.group] for row in view.rows}
    assert used == set(view.groups)
    booth = {view.groups[row.group] for row in view.rows if row.station == "booth"}
    assert booth == {"Mold and gel coat"}
