"""Checks of limits on work in process against the models and the floor."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import chain

from models.loading.checks.routing import reached, successive_instants
from models.loading.checks.scope import BoatScope, YardScope
from models.loading.csv import Table
from models.loading.faults import one_of, quoted
from models.loading.orders import InHandRow
from models.yard import WorkLimit


def check_limits(yard: YardScope, boats: Mapping[str, BoatScope]) -> None:
    """Check that a limit begins and ends with steps that every boat has in order."""
    whole = all(boat.whole("operations") for boat in boats.values())
    codes = set(chain.from_iterable(boat.codes for boat in boats.values()))
    for limit in yard.yard.limits:
        where = f"limits.{limit.id}"
        known = True
        for key, code in (
            ("from_operation", limit.from_operation),
            ("to_operation", limit.to_operation),
        ):
            if code not in codes and whole and boats:
                expected = one_of(code, codes, "an operation of a model")
                yard.fault(f"{where}.{key}", quoted(code), expected)
                known = False
        for boat in boats.values() if known else ():
            if boat.whole("operations", "waits"):
                _check_in_model(where, limit, yard, boat)


def _check_in_model(
    where: str, limit: WorkLimit, yard: YardScope, boat: BoatScope
) -> None:
    model, ends = boat.model, (limit.from_operation, limit.to_operation)
    steps = {one.code: one for one in model.operations if one.code in ends}
    if not steps:
        return  # boats of this model are not limited
    missing = [code for code in ends if code not in steps]
    if missing:
        expected = f"an operation of {model.id}, which has the other end of the limit"
        yard.fault(where, quoted(missing[0]), expected)
        return
    first, last = (steps[code] for code in ends)
    if f"{last.code} end" not in reached(
        successive_instants(model), f"{first.code} start"
    ):
        expected = f"a step that the routing of {model.id} puts after '{first.code}'"
        yard.fault(f"{where}.to_operation", quoted(last.code), expected)
    if (first.when, first.unless) != (last.when, last.unless):
        expected = f"steps of {model.id} on the same options as '{first.code}'"
        yard.fault(f"{where}.to_operation", quoted(last.code), expected)


def check_boats_inside(yard: YardScope, table: Table[InHandRow]) -> None:
    """Check that no limit is exceeded already by what has been begun."""
    begun = {(one.value.order, one.value.operation) for one in table.good}
    done = {
        (one.value.order, one.value.operation)
        for one in table.good
        if one.value.state == "done"
    }
    for limit in yard.yard.limits:
        inside = sorted(
            order
            for order, code in begun
            if code == limit.from_operation and (order, limit.to_operation) not in done
        )
        if len(inside) > limit.most:
            yard.fault(
                f"limits.{limit.id}.max",
                f"{limit.most} with {', '.join(inside)} inside already",
                f"at least {len(inside)} until some of them are through",
            )
