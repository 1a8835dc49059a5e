"""Reading a yard's files in turn and checking them against each other."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from models.job_orders import job_model, job_order
from models.jobs import Job
from models.learning import boat_number, boat_numbers, learned
from models.loading.boats import BoatFile, implausible, to_model
from models.loading.checks.boat import check_boat, check_boat_in_yard
from models.loading.checks.fit import FitChecks
from models.loading.checks.floor import Floor, check_arrivals, check_locks
from models.loading.checks.gates import check_gates
from models.loading.checks.graphics import check_graphics
from models.loading.checks.in_hand import check_in_hand
from models.loading.checks.jobs import check_job_molds, check_jobs
from models.loading.checks.limits import check_boats_inside, check_limits
from models.loading.checks.materials import (
    check_materials,
    check_uses,
    check_uses_in_yard,
)
from models.loading.checks.orders import (
    check_choice,
    check_dates,
    check_model,
    check_repeated_orders,
)
from models.loading.checks.overtime import check_overtime
from models.loading.checks.reprep import check_reprep
from models.loading.checks.resources import check_molds, check_part_homes
from models.loading.checks.routing import check_routing
from models.loading.checks.scope import BoatScope, YardScope
from models.loading.checks.services import check_services
from models.loading.checks.setups import check_setup_families, check_setups
from models.loading.checks.yard import check_skills_held, check_yard
from models.loading.faults import FaultLog, one_line
from models.loading.files import SourceFiles
from models.loading.jobs import job_names, jobs_of, to_job
from models.loading.order_tables import OrderTables, order_names, read_order_tables
from models.loading.orders import (
    to_arrival,
    to_in_hand,
    to_lock,
    to_order,
)
from models.loading.shapes import shape
from models.loading.toml import parse_toml
from models.loading.yard import YardFile, to_yard
from models.orders import Book
from models.reprep import reprep_codes, with_begun_reprep
from models.routing import Routing, route


@dataclass(slots=True)
class Reading:
    """Everything read so far, with its faults."""

    files: SourceFiles
    log: FaultLog
    yard: YardScope | None = None
    boats: dict[str, BoatScope | None] = field(default_factory=dict)  # None: faulty
    rows: OrderTables = field(default_factory=OrderTables)


def read_book(yard_dir: Path, order_files: Sequence[Path] | None) -> Book:
    """Read and check everything; see `models.loading.load_book`."""
    log = FaultLog()
    if not yard_dir.is_dir():
        expected = "a folder with yard.toml, boats/ and orders.csv"
        log.add(one_line(yard_dir.as_posix()), "folder", "no such folder", expected)
        log.raise_if_any()
    reading = Reading(SourceFiles(yard_dir, log), log)
    _read_yard(yard_dir, reading)
    _read_boats(yard_dir, reading)
    reading.rows = read_order_tables(yard_dir, order_files, reading.files, log)
    _check(reading)
    log.raise_if_any()
    return _to_book(reading)


def _read_yard(yard_dir: Path, reading: Reading) -> None:
    path = yard_dir / "yard.toml"
    text = reading.files.text(path)
    if text is None:
        return
    name = reading.files.name(path)
    raw = parse_toml(text, name, reading.log)
    if raw is None:
        return
    loaded = shape(YardFile, raw, name, reading.log)
    if loaded is not None:
        today = datetime.now(UTC).astimezone(ZoneInfo(loaded.value.time_zone)).date()
        yard = to_yard(loaded.value, today)
        reading.yard = YardScope(yard, name, reading.log, loaded.left_out)


def _read_boats(yard_dir: Path, reading: Reading) -> None:
    paths = sorted((yard_dir / "boats").glob("*.toml"))
    if not paths:
        where = reading.files.name(yard_dir / "boats")
        reading.log.add(where, "folder", "no model", "at least one file MODEL.toml")
    delivery = reading.yard.yard.delivery_calendar if reading.yard else ""
    for path in paths:
        reading.boats[path.stem] = None
        text = reading.files.text(path)
        name = reading.files.name(path)
        raw = None if text is None else parse_toml(text, name, reading.log)
        loaded = None if raw is None else shape(BoatFile, raw, name, reading.log)
        if loaded is not None:
            model = to_model(loaded.value, delivery)
            scope = BoatScope(model, name, reading.log, loaded.left_out)
            reading.boats[path.stem] = _with_plausible_quantities(scope)


def _with_plausible_quantities(boat: BoatScope) -> BoatScope:
    """Leave out quantities that cannot be meant, as faults of their own."""
    good: dict[str, float] = {}
    out = set(boat.left_out.get("quantities", ()))
    for name, value in boat.model.quantities.items():
        expected = implausible(name, value)
        if expected is None:
            good[name] = value
        else:
            boat.fault(f"quantities.{name}", f"{value:g}", expected)
            out.add(name)
    if not out:
        return boat
    left_out = {**boat.left_out, "quantities": frozenset(out)}
    return replace(boat, model=replace(boat.model, quantities=good), left_out=left_out)


def _check(reading: Reading) -> None:
    boats = {name: boat for name, boat in reading.boats.items() if boat is not None}
    fit: FitChecks | None = None
    if reading.yard is not None:
        check_yard(reading.yard, reading.boats.keys())
        check_skills_held(reading.yard)
        check_setups(reading.yard)
        check_molds(reading.yard, boats)
        check_limits(reading.yard, boats)
        check_materials(reading.yard)
        check_overtime(reading.yard)
        fit = FitChecks(reading.yard)
        check_services(reading.yard, fit)
    for boat in boats.values():
        check_boat(boat)
        check_routing(boat)
        check_gates(boat)
        check_reprep(boat)
        check_uses(boat)
        if reading.yard is not None and fit is not None:
            # Of the boats to come, the first takes longest.
            slowest = learned(boat.model, boat_number(boat.model, 1))
            first = replace(boat, model=slowest)
            check_boat_in_yard(first, reading.yard)
            check_part_homes(boat, reading.yard)
            check_setup_families(boat, reading.yard)
            check_uses_in_yard(boat, reading.yard)
            fit.check_boat(first)
            check_graphics(first, fit)
    routings = _check_orders(reading, boats, fit)
    if reading.yard is not None and fit is not None:
        jobs = check_jobs(
            reading.rows.jobs,
            reading.yard,
            reading.boats.keys(),
            order_names(reading.rows.orders),
            fit,
        )
        _check_floor(reading, reading.yard, boats, routings, jobs)


def _check_orders(
    reading: Reading, boats: Mapping[str, BoatScope], fit: FitChecks | None
) -> dict[str, Routing]:
    routings: dict[str, Routing] = {}
    unread = Counter(row["model"] for row in reading.rows.orders.bad if "model" in row)
    plain = {name: boat.model for name, boat in boats.items()}
    orders = (to_order(line.value) for line in reading.rows.orders.good)
    numbers = boat_numbers(plain, (one for one in orders if one.model in plain))
    check_repeated_orders(reading.rows.orders.good, reading.log)
    for line in reading.rows.orders.good:
        check_model(line, reading.boats, reading.log)
        check_dates(line, reading.log)
        boat = boats.get(line.value.model)
        if boat is None or not check_choice(line, boat, reading.log):
            continue
        if not boat.whole("operations", "options", "graphics"):
            continue
        order = to_order(line.value)
        order = replace(order, reprep=_begun_reprep(order.order, boat, reading))
        routings.setdefault(order.order, route(boat.model, order))
        if fit is not None:
            number = numbers[order.order] + unread[order.model]
            own = replace(boat, model=learned(boat.model, number))
            fit.check_order(order, own, line.file, line.where("options"))
    return routings


def _begun_reprep(order: str, boat: BoatScope, reading: Reading) -> tuple[str, ...]:
    """The re-preparations that the rows of work in hand say were begun."""
    rows = (line.value for line in reading.rows.in_hand.good)
    begun = {row.operation for row in rows if row.order == order}
    return tuple(sorted(reprep_codes(boat.model) & begun))


def _check_floor(
    reading: Reading,
    yard: YardScope,
    boats: Mapping[str, BoatScope],
    routings: Mapping[str, Routing],
    jobs: Mapping[str, Job],
) -> None:
    orders, other = reading.rows.orders, reading.rows.jobs
    named = [(row.get("order", ""), row.get("model", "")) for row in orders.bad]
    named += [(line.value.order, line.value.model) for line in orders.good]
    models = {order: boats[model].model for order, model in named if model in boats}
    models |= {name: job_model(one, yard.yard) for name, one in jobs.items()}
    own = {
        name: route(models[name], job_order(one, yard.yard))
        for name, one in jobs.items()
    }
    known = None
    if orders.complete and other.complete:
        known = frozenset(order_names(orders) | job_names(other))
    floor = Floor(yard, reading.log, known, models, {**routings, **own})
    check_arrivals(reading.rows.arrivals.good, floor)
    begun = check_in_hand(reading.rows.in_hand, floor)
    check_boats_inside(yard, reading.rows.in_hand)
    check_locks(reading.rows.locks.good, begun, floor)
    check_job_molds(reading.rows.in_hand.good, jobs, reading.log)
    check_job_molds(reading.rows.locks.good, jobs, reading.log)


def _to_book(reading: Reading) -> Book:
    """Hand over what was read; nothing of it has a fault."""
    assert reading.yard is not None
    rows = reading.rows.in_hand.good
    book = Book(
        yard=reading.yard.yard,
        models={n: boat.model for n, boat in reading.boats.items() if boat},
        orders=tuple(to_order(line.value) for line in reading.rows.orders.good),
        arrivals=tuple(to_arrival(line.value) for line in reading.rows.arrivals.good),
        in_hand=tuple(to_in_hand(line.value) for line in reading.rows.in_hand.good),
        locks=tuple(to_lock(line.value) for line in reading.rows.locks.good),
        sources=reading.files.hashes,
        jobs=tuple(
            to_job([line.value for line in lines])
            for lines in jobs_of(reading.rows.jobs.good).values()
        ),
    )
    begun = ((line.value.order, line.value.operation) for line in rows)
    return with_begun_reprep(book, begun)
