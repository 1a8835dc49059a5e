"""Rules of the shop as what an operation of a plan waited for."""

from __future__ import annotations

from dataclasses import replace

from scheduler.plan import Plan
from scheduler.problem import Mold, Setup
from scheduler.waiting_for import Causes, what_it_waited_for
from tests.scheduler.small_plan import serviced_plan, small_plan


def waited(plan: Plan, operation: str) -> list[tuple[str, str, tuple[str, ...]]]:
    """What an operation waited for: kind, resource and holders."""
    reason = what_it_waited_for(plan, operation)
    return [(one.kind, one.resource, one.holders) for one in reason.waited]


def test_a_service_holds_a_mold_like_a_boat() -> None:
    """A mold in service is waited for, and the service is named."""
    wanted = ("mold", "a deck mold for tern-23", ("B101", "service of D23-1"))
    assert waited(serviced_plan(), "B102/deck.prep") == [wanted]


def test_a_limit_holds_a_boat_back_like_a_mold() -> None:
    """A limit on work in process is waited for, and who is inside is named."""
    second = Mold("H23-2", "hull", ("tern-23",))
    plan = small_plan()
    plan = replace(
        plan, problem=replace(plan.problem, molds=(*plan.problem.molds, second))
    )
    wanted = ("limit", "limit hulls", ("B101",))
    assert waited(plan, "B102/hull.prep") == [wanted]
    assert "B102/hull.prep" in Causes(plan).delays("B101/hull.demold")


def test_a_change_of_color_is_waited_for() -> None:
    """Work that could begin but for the set-up after another color says so."""
    plan = small_plan()
    setups = (Setup("white", "red", 50 * 60),)
    families = {"B101/deck.gel_coat": "white", "B102/deck.gel_coat": "red"}
    problem = replace(
        plan.problem,
        stations=tuple(
            replace(one, setups=setups) if one.id == "booth" else one
            for one in plan.problem.stations
        ),
        operations=tuple(
            replace(one, setup_family=families.get(one.id))
            for one in plan.problem.operations
        ),
    )
    wanted = ("setup", "set-up of station booth", ("B101/deck.gel_coat",))
    assert wanted in waited(replace(plan, problem=problem), "B102/deck.gel_coat")
