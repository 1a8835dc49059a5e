"""What operations and boats waited for, as the sheets say it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from models.names import plain

if TYPE_CHECKING:
    from collections.abc import Callable

    from dashboard.view import View

MOST_NAMED = 3
OWN_WORK = "nothing but its own work"


def cause_of(view: View) -> Callable[[str], str]:
    """Say what an operation waited for, by its id."""

    def cause(id: str) -> str:
        return plain(view.causes.waited_for(id).text)

    return cause


def spoken(view: View, resource: str) -> str:
    """A resource as `scheduler.waiting_for` names it, with names instead of codes."""
    station = "station "
    for people, word in (
        ("people who can ", "people"),
        ("people who lead in ", "leads"),
    ):
        if resource.startswith(people):
            skill = view.names.skill(resource.removeprefix(people))
            return f"{word} for {skill.lower()}"
    if resource.startswith(station):
        return view.names.station(resource.removeprefix(station)).lower()
    for code, name in view.names.models.items():
        if resource.endswith(f" for {code}"):
            return f"{plain(resource.removesuffix(code))}{name}"
    return plain(resource)


def held_back(view: View) -> dict[str, list[str]]:
    """What each boat waits for along its chain of work, by order, longest first."""
    told = {}
    for order in view.plan.problem.orders:
        waits = list(view.causes.waits_of_order(order.order).items())
        parts = [
            f"{spoken(view, name)}: {days:.{0 if days >= 10 else 1}f} days"
            for name, days in waits[:MOST_NAMED]
        ]
        if len(waits) > MOST_NAMED:
            parts.append(f"and {len(waits) - MOST_NAMED} more")
        told[plain(order.order)] = parts or [OWN_WORK]
    return told
