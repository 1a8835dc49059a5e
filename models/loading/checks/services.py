"""Checks that the people whom the service of a mold asks for could ever do it."""

from __future__ import annotations

from models.boat import RoutingOperation, WorkLine
from models.loading.checks.fit import FitChecks
from models.loading.checks.scope import YardScope
from models.yard import Mold


def check_services(scope: YardScope, fit: FitChecks) -> None:
    """Check each service by people as a step of that crew, skill and calendar."""
    if not scope.whole("calendars", "skills", "people", "allowances"):
        return
    for mold in scope.yard.molds:
        if mold.service_skill is not None:
            fault = fit.fault(_as_step(mold), {})
            if fault:
                scope.fault(f"molds.{mold.id}.service_crew", *fault)


def _as_step(mold: Mold) -> RoutingOperation:
    crew = mold.service_crew or 1
    labor_hours = (mold.service_hours or 0.0) * crew
    return RoutingOperation(
        code=f"service of {mold.id}",
        name=f"Service of {mold.id}",
        parts=(mold.part,),
        station="",
        skill=mold.service_skill,
        crew_min=crew,
        crew_max=crew,
        work=(WorkLine("Service", "fixed", labor_hours),),
        calendar=mold.service_calendar,
    )
