"""A boat that somebody asks for: one row of an order book, given by a command."""

from __future__ import annotations

from collections.abc import Mapping

from models.errors import DataFaults, Fault
from models.loading.checks.fit import FitChecks
from models.loading.checks.orders import check_choice, check_model
from models.loading.checks.scope import NOTHING_LEFT_OUT, BoatScope, YardScope
from models.loading.csv import parse_rows
from models.loading.faults import FaultLog
from models.loading.orders import OrderRow, to_order
from models.orders import Book, Order

_NAME = "the boat asked for"


def asked_order(book: Book, cells: Mapping[str, str]) -> Order:
    """Read one order from texts, with the checks of `orders.csv`.

    Parameters
    ----------
    cells : mapping
        Texts by column; columns that are not named are empty.

    Raises
    ------
    DataFaults
        With everything that is wrong with it.
    """
    log = FaultLog()
    columns = [name for name in OrderRow.model_fields if name != "reserved_until"]
    row = [cells.get(name, "") for name in columns]
    table = parse_rows([(1, [*columns]), (2, [*row])], OrderRow, _NAME, log)
    _raise(log)
    line = table.good[0]
    check_model(line, book.models, log)
    _raise(log)
    order = to_order(line.value)
    boat = BoatScope(book.models[order.model], "", log, NOTHING_LEFT_OUT)
    if check_choice(line, boat, log):
        scope = YardScope(book.yard, "yard", log, NOTHING_LEFT_OUT)
        FitChecks(scope).check_order(order, boat, _NAME, "options")
    _raise(log)
    return order


def _raise(log: FaultLog) -> None:
    try:
        log.raise_if_any()
    except DataFaults as faults:
        found = [
            Fault(_NAME, one.where.rpartition(", ")[2], one.found, one.expected)
            for one in faults.faults
        ]
        raise DataFaults(found, "nothing was done") from None
