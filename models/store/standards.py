"""Accepting and refusing suggested standards; every decision is kept."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from sqlalchemy import Connection

from models.actuals.decisions import (
    ACCEPTED,
    ENDED,
    Decision,
    basis_of,
    standards_of,
    with_standards,
)
from models.actuals.estimates import Estimate, estimates
from models.actuals.finished import finished_steps
from models.errors import Overtaken, UsageError
from models.loading.checks.fit import FitChecks
from models.loading.checks.scope import NOTHING_LEFT_OUT, YardScope
from models.loading.faults import FaultLog, one_of
from models.orders import Book
from models.routing import route
from models.store.actuals import read_worked
from models.store.decisions import read_numbered
from models.store.documents import digest, to_text
from models.store.log import Author, append
from models.store.numbering import next_number
from models.store.schema import standards
from models.store.transactions import Store, write


@dataclass(frozen=True, slots=True)
class Decided:
    """A decision as it is kept; `new` is False where it was made before."""

    number: int
    decision: Decision
    new: bool


def decide(
    store: Store,
    verdict: str,
    step: tuple[str, str],
    author: Author,
    factor: float | None = None,
) -> Decided:
    """Accept, refuse or end the standard of a step.

    Parameters
    ----------
    verdict : str
        accepted, refused or ended.
    step : tuple
        Model and operation.
    author : Author
        Who decides, when, and why; a refusal and an end need a reason.
    factor : float or None
        What was suggested when somebody decided, to the hundredth; None for an end.

    Raises
    ------
    Overtaken
        If something else is suggested by now.
    UsageError
        If nothing is suggested or accepted, or if people could not do what it asks.
    """
    if verdict != ACCEPTED and not author.why:
        raise UsageError(f"a standard is {verdict} for a reason: --why TEXT")

    def work(connection: Connection) -> Decided:
        known = read_numbered(connection)
        past = read_worked(connection, store)
        book = past.past.book
        if verdict == ENDED:
            made = _ended(book, [one for _, one in known], step)
        else:
            found = estimates(finished_steps(past.past, past.entries))
            made = _decision(book, found, verdict, step, factor)
        last = [row for row in known if (row[1].model, row[1].operation) == step]
        if last and last[-1][1] == made:
            return Decided(last[-1][0], made, False)
        if verdict == ACCEPTED:
            _refuse_unfit(book, [*(one for _, one in known), made], step)
        return Decided(keep(connection, made, author), made, True)

    return write(store, work)


def _ended(book: Book, known: Sequence[Decision], step: tuple[str, str]) -> Decision:
    now = standards_of(book, known)
    held = now.held.get(step) or now.outdated.get(step)
    if held is not None:
        return replace(held, verdict=ENDED)
    ended = [one for one in known if (one.model, one.operation) == step]
    if ended and ended[-1].verdict == ENDED:
        return ended[-1]
    raise UsageError(f"no standard of {' '.join(step)} was accepted")


def _decision(
    book: Book,
    found: Sequence[Estimate],
    verdict: str,
    step: tuple[str, str],
    factor: float | None,
) -> Decision:
    names = " ".join(step)
    one = next((row for row in found if (row.model, row.operation) == step), None)
    if one is None:
        known = [" ".join((row.model, row.operation)) for row in found]
        near = one_of(names, known, "a model and a step with recorded hours")
        raise UsageError(f"nothing is suggested for {names}: expected {near}")
    now = round(one.factor, 2)
    if factor is None or round(factor, 2) != now:
        raise Overtaken(
            f"{names}: x {now:.2f} from {one.boats} boats is suggested by now; nothing "
            f"was {verdict}"
        )
    return Decision(
        model=one.model,
        operation=one.operation,
        verdict=verdict,
        factor=now,
        boats=one.boats,
        relative_error=round(one.relative_error, 4),
        basis=basis_of(book.models[one.model], book.yard, one.operation),
    )


def _refuse_unfit(
    book: Book, decisions: Sequence[Decision], step: tuple[str, str]
) -> None:
    """Refuse a standard that no crew of the step finds time for."""
    model, operation = step
    asked = with_standards(book, decisions)
    fit = FitChecks(YardScope(book.yard, "yard", FaultLog(), NOTHING_LEFT_OUT))
    for order in asked.orders:
        if order.model != model:
            continue
        routing = route(asked.models[model], order)
        for routed in routing.operations:
            if routed.code != operation:
                continue
            fault = fit.fault(routed.step, routing.quantities)
            if fault and not fit.fault(
                replace(routed.step, standard=None), routing.quantities
            ):
                raise UsageError(
                    f"{order.order} {operation} would need {fault[0]}; expected "
                    f"{fault[1]}. Nothing was accepted"
                )


def keep(connection: Connection, made: Decision, author: Author) -> int:
    """Write a decision and give its number."""
    number = next_number(connection, "standards")
    details = {
        "standard": number,
        "verdict": made.verdict,
        "step": f"{made.model} {made.operation}",
        "factor": made.factor,
        "boats": made.boats,
    }
    entry = append(connection, author, "standard", details)
    content = to_text(made)
    connection.execute(
        standards.insert().values(
            number=number,
            model=made.model,
            operation=made.operation,
            digest=digest(content),
            content=content,
            entry=entry,
        )
    )
    return number
