"""Molds and places in the constraint model."""

from __future__ import annotations

from dataclasses import replace

from scheduler.problem import Place
from tests.outside.small_shop import after, operation, part, shop, shortest


def test_a_place_for_two_is_barred_to_one_while_it_is_out_of_use() -> None:
    """An outage takes all the room of a place, also from a part that is alone there.

    The hull could come into its bay at 2; the bay is out of use from 4 to 10, so that
    a stay of 5 begins at 10.
    """
    problem = shop(
        [
            operation("B", "lay", 2),
            operation("B", "demold", 0),
            operation("B", "rig", 5),
        ],
        ticks=40,
        waits=[after("B/lay", "B/demold"), after("B/demold", "B/rig")],
        parts=[part("B", "hull", ("lay", "demold"), ("demold", "rig"))],
        molds=["hull"],
    )
    bay = Place("Bay", "bay", (), 2, unavailable=((4, 10),))
    assert shortest(replace(problem, places=(bay,)))[0] == 15
