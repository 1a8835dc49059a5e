"""An order changed after its work has begun: what may change, and what it adds.

Work not begun takes the hours of the new options. What is made stays: a step that was
done for an option since given up is kept, and work on a step that was begun is done by
a step of its own, whose hours somebody has to give.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from models.boat import WorkLine
from models.errors import ChangeRefused, DataFaults
from models.hours import operation_hours
from models.learning import boat_numbers, learned
from models.loading.checks.fit import FitChecks
from models.loading.checks.orders import check_choice
from models.loading.checks.scope import NOTHING_LEFT_OUT, BoatScope, YardScope
from models.loading.csv import Read
from models.loading.faults import FaultLog
from models.loading.orders import OrderRow
from models.orders import Book, InHand, Order, Rework
from models.rework import CHANGE, added_step
from models.routing import RoutedOperation, Routing, route, takes_part

_DONE = "done"


@dataclass(frozen=True, slots=True)
class Wish:
    """How an order is to be: all its options, its graphics.

    `removal_hours` gives, by step that was begun, the labor hours of taking off or
    putting in there what the change asks for; 0 where what is there can stay.
    """

    options: tuple[str, ...]
    graphics: str | None
    removal_hours: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class StepChange:
    """Labor hours of a step before and after; None where the boat does not have it."""

    code: str
    hours_before: float | None
    hours_after: float | None


@dataclass(frozen=True, slots=True)
class Changed:
    """What a change comes to.

    `rework` is the work that it adds, `kept` every step that stays although its option
    is given up, `steps` those whose hours change.
    """

    options: tuple[str, ...]
    graphics: str | None
    rework: tuple[Rework, ...]
    kept: tuple[str, ...]
    steps: tuple[StepChange, ...]

    def on(self, order: Order) -> Order:
        """The order, as it was loaded, with the change."""
        return replace(
            order,
            options=self.options,
            graphics=self.graphics,
            rework=(*order.rework, *self.rework),
            kept=self.kept,
        )


def change_order(book: Book, name: str, wish: Wish) -> Changed:
    """Work out what changing an order comes to.

    Parameters
    ----------
    book : Book
        As it is true now, with everything that the floor recorded.
    name : str
        An order of the book.

    Raises
    ------
    ChangeRefused
        With every reason why the order cannot be changed so.
    """
    order = next(one for one in book.orders if one.order == name)
    plain = replace(order, options=wish.options, graphics=wish.graphics, kept=())
    _refuse(name, _not_a_choice(book, plain))
    begun = {row.operation: row for row in book.in_hand if row.order == name}
    model = book.models[order.model]
    before, bare = route(model, order), route(model, plain)
    _refuse(name, _graphics_made(book, order, wish, begun))
    have = {one.code for one in bare.operations}
    own = {one.code for one in model.operations}
    kept = tuple(code for code in begun if code in own - have)
    after = route(model, replace(plain, kept=kept))
    judged = _Judged(before, after, begun, kept, order.options, wish)
    rework = judged.rework()
    reasons = [*judged.reasons, *_unfit(book, replace(plain, kept=kept), rework)]
    _refuse(name, reasons)
    changed = replace(plain, kept=kept, rework=(*order.rework, *rework))
    steps = tuple(_step_changes(book, order, changed))
    return Changed(wish.options, wish.graphics, rework, kept, steps)


def begun_steps(book: Book, name: str) -> list[InHand]:
    """The steps of an order that were begun or done, first ones first."""
    rows = [row for row in book.in_hand if row.order == name]
    return sorted(rows, key=lambda row: row.started)


def _refuse(name: str, reasons: Sequence[str]) -> None:
    if reasons:
        raise ChangeRefused(f"{name} stays as it is: {'; '.join(reasons)}")


def _not_a_choice(book: Book, order: Order) -> list[str]:
    """Say what of the options and graphics cannot be ordered."""
    log = FaultLog()
    row = OrderRow.model_construct(
        order=order.order, model=order.model, options=list(order.options),
        graphics=order.graphics,
    )  # fmt: skip
    boat = BoatScope(book.models[order.model], "", log, NOTHING_LEFT_OUT)
    check_choice(Read("", 0, row), boat, log)
    try:
        log.raise_if_any()
    except DataFaults as faults:
        return [f"found {one.found}; expected {one.expected}" for one in faults.faults]
    return []


def _graphics_made(
    book: Book, order: Order, wish: Wish, begun: Mapping[str, InHand]
) -> list[str]:
    """Say what has been sprayed already where other graphics are wished for."""
    if order.graphics == wish.graphics:
        return []
    model = book.models[order.model]
    layouts = [
        one for one in model.graphics if one.id in (order.graphics, wish.graphics)
    ]
    parts = {one.part for one in layouts}
    ends = {one.before for one in layouts}
    colors = tuple(f"{part}.color" for part in parts)
    made = [
        row
        for row in begun.values()
        if row.operation in ends or row.operation.startswith(colors)
    ]
    if not made:
        return []
    told = _told(max(made, key=lambda row: row.started))
    return [f"{told}: graphics lie under the gel coat and cannot change any more"]


@dataclass(slots=True)
class _Judged:
    """Two routings of one boat, judged by what of them was begun."""

    before: Routing
    after: Routing
    begun: Mapping[str, InHand]
    kept: tuple[str, ...]
    had: tuple[str, ...]  # options until now
    wish: Wish
    reasons: list[str] = field(default_factory=list)

    def rework(self) -> tuple[Rework, ...]:
        """The work to add; what speaks against the change goes to `reasons`."""
        old = {one.code: one for one in self.before.operations}
        new = {one.code: one for one in self.after.operations}
        self.reasons += self._too_late(new.keys() - old.keys())
        left = dict(self.wish.removal_hours)
        out = []
        for code, row in self.begun.items():
            if code not in new:
                self.reasons.append(f"{_told(row)}, and no such step would be left")
                continue
            what, must_work = self._what_is_made(old.get(code), new[code])
            hours = left.pop(code, None)
            if what is None:
                if hours is not None:
                    self.reasons.append(f"nothing of '{code}' changes: no removal")
            elif code in self.kept and row.state != _DONE:
                reason = f"{_told(row)} for {what}: record its finish first"
                self.reasons.append(reason)
            elif hours is None or (must_work and hours <= 0):
                self.reasons.append(_asks_for_hours(row, what, must_work=must_work))
            elif hours > 0:
                out.append(self._added(new[code], what, hours))
        self.reasons += [f"'{code}' was not begun: no removal there" for code in left]
        return tuple(one for one in out if one is not None)

    def _too_late(self, fresh: set[str]) -> Iterator[str]:
        """New steps that would have to come before one that was begun."""
        for wait in self.after.waits:
            if wait.before in fresh - self.begun.keys() and wait.after in self.begun:
                told = _told(self.begun[wait.after])
                yield f"'{wait.before}' would have to come before it, and {told}"

    def _what_is_made(
        self, old: RoutedOperation | None, new: RoutedOperation
    ) -> tuple[str | None, bool]:
        """What a begun step has too much or too little of, in words.

        True beside it where the work has to be done, so that 0 hours are no answer.
        """
        if new.code in self.kept:
            given_up = takes_part(new.step, self.had)
            return f"'{new.step.name}'" if given_up else None, False
        was = Counter(old.work if old is not None else ())
        now = Counter(new.work)
        added, dropped = list((now - was).keys()), list((was - now).keys())
        if not added and not dropped:
            return None, False
        return _lines_told(added, dropped), bool(added)

    def _added(self, step: RoutedOperation, what: str, hours: float) -> Rework | None:
        if step.step.skill is None:
            self.reasons.append(f"'{step.code}' has no crew that could take it off")
            return None
        anchor = self._anchor(step.code)
        if anchor is None:
            self.reasons.append(
                f"nothing is left to do after '{step.code}': a boat that is built is "
                "changed by a job of its own"
            )
            return None
        numbers = [
            found[2]
            for one in self.before.operations
            if (found := added_step(one.code)) and found[:2] == (step.code, CHANGE)
        ]
        code = f"{step.code}.{CHANGE}{max(numbers, default=0) + 1}"
        name = f"Change: {what}"
        return Rework(code, name, anchor, step.code, hours, keeps_waits=True)

    def _anchor(self, code: str) -> str | None:
        """The last begun step from a step on: what waits for its end was not begun."""
        followers: dict[str, list[str]] = {}
        for wait in self.after.waits:
            followers.setdefault(wait.before, []).append(wait.after)
        while True:
            behind = followers.get(code, [])
            begun = [one for one in behind if one in self.begun]
            if not begun:
                return code if behind else None
            code = max(begun, key=lambda one: (self.begun[one].started, one))


def _told(row: InHand) -> str:
    if row.state == _DONE and row.finished is not None:
        return f"'{row.operation}' was done on {row.finished:%Y-%m-%d %H:%M}"
    return f"'{row.operation}' was begun on {row.started:%Y-%m-%d %H:%M}"


def _lines_told(added: Sequence[WorkLine], dropped: Sequence[WorkLine]) -> str:
    told = [f"put in '{one.text}'" for one in added]
    told += [f"take off '{one.text}'" for one in dropped]
    return ", ".join(told)


def _asks_for_hours(row: InHand, what: str, *, must_work: bool) -> str:
    stays = "" if must_work else ", 0 if it can stay"
    return (
        f"{_told(row)} ({what}): it takes labor hours there, with removal "
        f"(--removal-hours {row.operation}=H{stays})"
    )


def _unfit(book: Book, order: Order, rework: Sequence[Rework]) -> Iterator[str]:
    """Say what nobody could do in one go, or at all."""
    number = boat_numbers(book.models, book.orders)[order.order]
    model = learned(book.models[order.model], number)
    scope = YardScope(book.yard, "yard", FaultLog(), NOTHING_LEFT_OUT)
    fit = FitChecks(scope)
    known = {one.code: one.step.work for one in route(model, order).operations}
    routing = route(model, replace(order, rework=(*order.rework, *rework)))
    plain = {one.code: one.work for one in model.operations}
    for one in routing.operations:
        if one.code in known and plain.get(one.code) == one.work:
            continue
        fault = fit.fault(one.step, routing.quantities)
        if fault is not None:
            yield f"'{one.code}': found {fault[0]}; expected {fault[1]}"


def _step_changes(book: Book, before: Order, after: Order) -> Iterator[StepChange]:
    number = boat_numbers(book.models, book.orders)[before.order]
    model = book.models[before.model]
    old, new = (
        operation_hours(model, one, book.yard, number) for one in (before, after)
    )
    begun = {row.operation for row in book.in_hand if row.order == before.order}
    for code in [*new, *(code for code in old if code not in new)]:
        if code not in begun and old.get(code) != new.get(code):
            yield StepChange(code, old.get(code), new.get(code))
