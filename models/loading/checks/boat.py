"""Checks inside `boats/MODEL.toml`, and of the names it takes from the yard."""

from __future__ import annotations

import re
from collections.abc import Iterable
from pathlib import PurePosixPath

from models.boat import Graphic, RoutingOperation, RoutingWait, WorkLine
from models.cures import at_coldest
from models.hours import routed_hours, unit_of
from models.loading.checks.scope import BoatScope, YardScope, repeated
from models.loading.faults import quoted
from models.routing import RoutedOperation, color_chain

MOST_HOURS = 2000  # labor hours of one operation; more is a slip of the decimal point
_COLOR_CODE = re.compile(r".*\.color\d+\.(mask|spray|unmask)")
_UNITS_OF_BASIS = {"area": {"m²"}, "plies x area": {"m²"}, "length": {"m"}}


def check_boat(scope: BoatScope) -> None:
    """Check a model by itself."""
    model = scope.model
    stem = PurePosixPath(scope.file).stem
    if model.id != stem:
        scope.fault("id", quoted(model.id), f"'{stem}', the name of the file")
    _check_repeats(scope)
    parts = scope.known("parts", (one.id for one in model.parts))
    for step in model.operations:
        where = f"operations.{step.code}"
        for part in step.parts:
            scope.refer(f"{where}.parts", part, parts, "a part of this model")
        scope.refer(f"{where}.when", step.when, scope.option_ids, "an option")
        scope.refer(f"{where}.unless", step.unless, scope.option_ids, "an option")
        if _COLOR_CODE.fullmatch(step.code):
            expected = "another code; this form is kept for the colors of graphics"
            scope.fault(where, quoted(step.code), expected)
        for line in step.work:
            _check_line(f"{where}.work.{line.text}", line, scope)
    for wait in model.waits:
        where = f"waits.{wait.before} to {wait.after}"
        scope.refer(f"{where}.before", wait.before, scope.codes, "an operation")
        scope.refer(f"{where}.after", wait.after, scope.codes, "an operation")
    _check_options(scope)
    for graphic in model.graphics:
        where = f"graphics.{graphic.id}"
        scope.refer(f"{where}.part", graphic.part, parts, "a part of this model")
        _check_anchor(f"{where}.after", graphic.after, scope)
        _check_anchor(f"{where}.before", graphic.before, scope)


def check_boat_in_yard(scope: BoatScope, yard: YardScope) -> None:
    """Check the names that a model takes from the yard, and the hours that follow."""
    for step in scope.model.operations:
        _check_names(f"operations.{step.code}", step, scope, yard)
        _check_hours(f"operations.{step.code}", step, {}, scope, yard)
    calendars = yard.known("calendars", (one.id for one in yard.yard.calendars))
    for wait in scope.model.waits:
        where = f"waits.{wait.before} to {wait.after}"
        scope.refer(f"{where}.calendar", wait.calendar, calendars, "a calendar")
        _check_window(where, wait.min_hours, wait.max_hours, scope, yard)
        _check_coldest(where, wait, scope, yard)
    for graphic in scope.model.graphics:
        where = f"graphics.{graphic.id}"
        _check_names(where, graphic, scope, yard)
        least, most = graphic.tack_min_hours, graphic.tack_max_hours
        _check_window(f"{where}.tack_min_hours", least, most, scope, yard)
        chain = color_chain(graphic)
        for step in chain.steps:
            _check_hours(where, step, chain.quantities, scope, yard)


def _check_repeats(scope: BoatScope) -> None:
    model = scope.model
    tables: tuple[tuple[str, Iterable[str]], ...] = (
        ("parts", (one.id for one in model.parts)),
        ("operations", (one.code for one in model.operations)),
        ("options", (one.id for one in model.options)),
        ("graphics", (one.id for one in model.graphics)),
    )
    for table, names in tables:
        for name in repeated(names):
            scope.fault(table, f"'{name}' more than once", "each once")


def _check_line(where: str, line: WorkLine, scope: BoatScope) -> None:
    if line.basis == "fixed":
        if line.quantity is not None:
            scope.fault(where, quoted(line.quantity), "no quantity for fixed hours")
        return
    if line.quantity is None:
        scope.fault(where, "no quantity", f"a quantity for the basis {line.basis}")
        return
    known = scope.known("quantities", scope.model.quantities)
    if not scope.refer(where, line.quantity, known, "a quantity of this model"):
        return
    units = _UNITS_OF_BASIS.get(line.basis)
    if units is not None and unit_of(line.quantity) not in units:
        expected = f"a quantity in {' or '.join(units)} for the basis {line.basis}"
        scope.fault(where, quoted(line.quantity), expected)


def _check_options(scope: BoatScope) -> None:
    for option in scope.model.options:
        where = f"options.{option.id}"
        for name in option.excludes:
            scope.refer(f"{where}.excludes", name, scope.option_ids, "an option")
        for name in option.requires:
            scope.refer(f"{where}.requires", name, scope.option_ids, "an option")
        for added in option.adds:
            known = scope.codes
            scope.refer(f"{where}.adds", added.operation, known, "an operation")
            _check_line(f"{where}.adds.{added.line.text}", added.line, scope)


def _check_anchor(where: str, code: str, scope: BoatScope) -> None:
    """A layout hangs between two steps that every boat of the model has."""
    if not scope.refer(where, code, scope.codes, "an operation"):
        return
    for step in scope.model.operations:
        if step.code == code and (step.when or step.unless):
            option = step.when or step.unless
            scope.fault(
                where,
                f"'{code}', which depends on the option '{option}'",
                "an operation that every boat of the model has",
            )


def _check_names(
    where: str, step: RoutingOperation | Graphic, scope: BoatScope, yard: YardScope
) -> None:
    data = yard.yard
    stations = yard.known("stations", (one.id for one in data.stations))
    skills = yard.known("skills", (one.id for one in data.skills))
    allowances = yard.known("allowances", data.allowances)
    scope.refer(f"{where}.station", step.station, stations, "a station")
    scope.refer(f"{where}.skill", step.skill, skills, "a skill")
    scope.refer(f"{where}.allowance", step.allowance, allowances, "an allowance")
    if isinstance(step, RoutingOperation):
        calendars = yard.known("calendars", (one.id for one in data.calendars))
        scope.refer(f"{where}.calendar", step.calendar, calendars, "a calendar")
        scope.refer(f"{where}.slots", step.slots, calendars, "a calendar of slots")
    capacities = {one.id: one.capacity for one in data.stations}
    for name in repeated(station for station, _ in step.demands):
        scope.fault(f"{where}.demands", f"'{name}' more than once", "each once")
    for name, amount in step.demands:
        if not scope.refer(f"{where}.demands", name, stations, "a station"):
            continue
        capacity = capacities.get(name, amount)
        if capacity is None:
            expected = f"a capacity of {name} in {yard.file}"
            scope.fault(f"{where}.demands", f"{name} without a capacity", expected)
        elif amount > capacity:
            expected = f"at most {capacity}, the capacity of {name}"
            scope.fault(f"{where}.demands", f"{amount} of {name}", expected)


def _check_hours(
    where: str,
    step: RoutingOperation,
    further: dict[str, float],
    scope: BoatScope,
    yard: YardScope,
) -> None:
    quantities = scope.model.quantities | further
    known = {line.quantity for line in step.work} <= {None, *quantities}
    if not known or step.allowance not in (None, *yard.yard.allowances):
        return
    routed = RoutedOperation(step, step.work)
    hours = routed_hours(routed, quantities, yard.yard.allowances)
    if hours > MOST_HOURS:
        scope.fault(where, f"{hours:,.1f} labor hours", f"at most {MOST_HOURS:,}")


def _check_coldest(
    where: str, wait: RoutingWait, scope: BoatScope, yard: YardScope
) -> None:
    """A cure that a cold shop lengthens needs a temperature, and has to end."""
    activation, reference = wait.activation_kj_per_mol, wait.reference_celsius
    if activation is None or reference is None or not yard.whole("temperature"):
        return
    if yard.yard.temperature is None:
        scope.fault(
            f"{where}.activation_kj_per_mol",
            "no temperature of the shop",
            f"celsius_by_month under [temperature] in {yard.file}",
        )
        return
    sheet, coldest = wait.data_sheet_min_hours or 0.0, yard.yard.temperature.coldest
    hours = at_coldest(sheet, coldest, reference, activation)
    if hours > MOST_HOURS:
        found = f"a cure of more than {MOST_HOURS:,} h at {coldest:g} °C"
        expected = "a warmer shop, or figures of the data sheet"
        scope.fault(f"{where}.activation_kj_per_mol", found, expected)


def _check_window(
    where: str, least: float, most: float | None, scope: BoatScope, yard: YardScope
) -> None:
    """A maximum is rounded down to ticks and a minimum up: they must not cross."""
    tick = yard.yard.tick_minutes
    if most is None or most < least:
        return
    if -(-round(least * 60) // tick) > round(most * 60) // tick:
        expected = f"a maximum and a minimum with a {tick}-minute tick between them"
        scope.fault(where, f"{least:g} to {most:g} h", expected)
