"""Checks of `orders.csv` against the models: what was chosen, and when it is due."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from models.boat import BoatOption
from models.loading.checks.scope import BoatScope, repeated
from models.loading.csv import Read
from models.loading.faults import FaultLog, one_of, quoted
from models.loading.orders import OrderRow
from models.routing import takes_part

OrderLine = Read[OrderRow]


def check_repeated_orders(lines: Sequence[OrderLine], log: FaultLog) -> None:
    """Check that no order comes twice, in one file or over several."""
    first: dict[str, OrderLine] = {}
    for line in lines:
        earlier = first.setdefault(line.value.order, line)
        if earlier is not line:
            log.add(
                line.file,
                line.where("order"),
                f"'{line.value.order}' again",
                f"each order once (first in {earlier.file}, {earlier.place})",
            )


def check_dates(line: OrderLine, log: FaultLog) -> None:
    """Check that a boat is not due before it may begin."""
    row = line.value
    for column, due in (("promised", row.promised), ("wanted", row.wanted)):
        if due is not None and row.release is not None and due < row.release:
            expected = f"a date that is not before its release ({row.release})"
            log.add(line.file, line.where(column), str(due), expected)


def check_choice(line: OrderLine, boat: BoatScope, log: FaultLog) -> bool:
    """Check an order's options and graphics; True if they can be built."""
    before = log.count
    row, file = line.value, line.file
    layouts = boat.known("graphics", (one.id for one in boat.model.graphics))
    if row.graphics is not None and row.graphics not in layouts:
        expected = one_of(row.graphics, layouts, f"a layout of {row.model}")
        log.add(file, line.where("graphics"), quoted(row.graphics), expected)
    where = line.where("options")
    for name in repeated(row.options):
        log.add(file, where, f"'{name}' more than once", "each option once")
    known = {option.id: option for option in boat.model.options}
    for name in dict.fromkeys(row.options):
        if name not in boat.option_ids:
            expected = one_of(name, boat.option_ids, f"an option of {row.model}")
            log.add(file, where, quoted(name), expected)
        elif name in known:
            _check_option(known[name], line, boat, log)
    return log.count == before


def _check_option(
    option: BoatOption, line: OrderLine, boat: BoatScope, log: FaultLog
) -> None:
    chosen, where = line.value.options, line.where("options")
    for other in option.excludes:
        if other in chosen:
            found = f"'{option.id}' with '{other}'"
            log.add(line.file, where, found, f"not both: {option.id} excludes {other}")
    for other in option.requires:
        if other not in chosen:
            found = f"'{option.id}' without '{other}'"
            log.add(line.file, where, found, f"both: {option.id} requires {other}")
    present = {step.code for step in boat.model.operations if takes_part(step, chosen)}
    for added in option.adds:
        if added.operation in boat.codes - present and boat.whole("operations"):
            log.add(
                line.file,
                where,
                f"'{option.id}', which adds work to '{added.operation}'",
                "options with which the boat has that operation",
            )


def check_model(line: OrderLine, models: Mapping[str, object], log: FaultLog) -> None:
    """Check that an order's model has a file."""
    name = line.value.model
    if name not in models:
        expected = one_of(name, models.keys(), "a model with a file in boats")
        log.add(line.file, line.where("model"), quoted(name), expected)
