"""Drawing an order book: models, options, graphics, dates and items on their way."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import TypeVar

import numpy as np

from models.boat import BoatModel, BoatOption
from models.orders import Arrival, Book, Order
from models.sample.flow import Flow
from models.sample.load import add_up, window, working_days
from models.yard import Yard

T = TypeVar("T")

_LEAD = 1.3  # time from a boat's turn to its due date, times its shortest flow
_PROMISED = 0.8  # share of orders with a promised date
_ITEMS = 0.5  # share of orders for which each possible item is awaited
_EARLY_DAYS = (0, 0, 0, 7, 14)  # calendar days by which the customer asked for less
_SPARE_DAYS = (1, 11)  # working days from an item's coming to its latest use


@dataclass(frozen=True)
class Habits:
    """What the orders of a base book choose, and which items they wait for."""

    models: dict[str, int]
    options: dict[tuple[str, str], float]
    graphics: dict[str, tuple[str | None, ...]]
    items: dict[str, tuple[tuple[str, str], ...]]


def habits(base: Book) -> Habits:
    """Learn from a base book; a book without orders takes every model alike."""
    models = Counter(order.model for order in base.orders)
    if not models:
        models.update(dict.fromkeys(base.models, 1))
    options = {}
    graphics = {}
    for model in base.models.values():
        orders = [order for order in base.orders if order.model == model.id]
        for option in model.options:
            taken = sum(option.id in order.options for order in orders)
            options[model.id, option.id] = (taken + 1) / (len(orders) + 3)
        chosen = tuple(order.graphics for order in orders)
        graphics[model.id] = chosen or (None, *(one.id for one in model.graphics))
    model_of = {order.order: order.model for order in base.orders}
    items: dict[str, dict[tuple[str, str], None]] = {}
    for row in base.arrivals:
        items.setdefault(model_of[row.order], {})[row.operation, row.item] = None
    return Habits(
        models={name: models[name] for name in base.models if models[name]},
        options=options,
        graphics=graphics,
        items={name: tuple(of_model) for name, of_model in items.items()},
    )


def draw_orders(
    base: Book, boats: int, random: np.random.Generator
) -> tuple[Order, ...]:
    """Draw orders without dates, in the order of their turns."""
    taste = habits(base)
    width = max(3, len(str(boats)))
    return tuple(
        Order(
            order=f"S-{number:0{width}d}",
            customer_ref=f"C-{5000 + number}",
            model=name,
            options=draw_options(base.models[name], taste, random),
            graphics=_pick(taste.graphics[name], random),
            wanted=None,
            promised=None,
            release=None,
            dealer_ref=str(_pick(("", "D-01", "D-02", "D-03", "D-04"), random)),
        )
        for number, name in enumerate(_draw_models(taste.models, boats, random), 1)
    )


def _draw_models(
    shares: dict[str, int], boats: int, random: np.random.Generator
) -> list[str]:
    """Give each model its share of the boats, the rest by lot, in random turns."""
    total = sum(shares.values())
    names = [
        name for name, share in shares.items() for _ in range(boats * share // total)
    ]
    weights = [share / total for share in shares.values()]
    rest = random.choice(len(weights), size=boats - len(names), p=weights)
    names += [list(shares)[int(index)] for index in rest]
    return [names[int(index)] for index in random.permutation(boats)]


def draw_options(
    model: BoatModel, taste: Habits, random: np.random.Generator
) -> tuple[str, ...]:
    """Draw options, with all that they require and none that another excludes."""
    known = {option.id: option for option in model.options}
    chosen: dict[str, BoatOption] = {}
    for option in model.options:
        if random.random() < taste.options[model.id, option.id]:
            together = chosen | _with_required(option, known)
            if not _clash(together):
                chosen = together
    return tuple(name for name in known if name in chosen)


def _with_required(
    option: BoatOption, known: dict[str, BoatOption]
) -> dict[str, BoatOption]:
    found: dict[str, BoatOption] = {}
    waiting = [option]
    while waiting:
        one = waiting.pop()
        if one.id not in found:
            found[one.id] = one
            waiting += [known[name] for name in one.requires]
    return found


def _clash(options: dict[str, BoatOption]) -> bool:
    return any(name in options for one in options.values() for name in one.excludes)


def date_orders(
    orders: Sequence[Order],
    flows: dict[str, Flow],
    yard: Yard,
    load: float,
    random: np.random.Generator,
) -> tuple[Order, ...]:
    """Give each order its turn, evenly spread, and its due date a lead time later."""
    turns = len(window(yard, add_up(yard, flows.values()), load))
    days = tuple(working_days(yard))
    dated = []
    for place, order in enumerate(orders):
        turn = turns * place / len(orders)
        due = days[math.ceil(turn + _LEAD * flows[order.order].total())]
        early = int(random.choice(_EARLY_DAYS))
        is_promised = random.random() < _PROMISED
        wanted = max(due - timedelta(days=early), days[0]) if is_promised else due
        promised = due if is_promised else None
        dated.append(replace(order, wanted=wanted, promised=promised))
    return tuple(dated)


def draw_arrivals(
    base: Book,
    orders: Sequence[Order],
    flows: dict[str, Flow],
    yard: Yard,
    random: np.random.Generator,
) -> tuple[Arrival, ...]:
    """Draw items on their way; each comes while its boat could still be in time."""
    days = tuple(working_days(yard))
    items = habits(base).items
    out = []
    for order in orders:
        flow = flows[order.order]
        due = order.promised or order.wanted
        assert due is not None
        for operation, item in items.get(order.model, ()):
            waits = random.random() < _ITEMS
            spare = int(random.integers(*_SPARE_DAYS))
            is_late, is_sure = random.random(2) < (0.25, 0.5)
            if not waits or operation not in flow.days:
                continue
            needed = days.index(_on_or_after(days, due)) - math.ceil(
                flow.to_end(operation)
            )
            first = days[max(0, needed - spare)]
            last = days[max(0, needed - 1)] if is_late else first
            confirmed = last if is_late or is_sure else None
            out.append(Arrival(order.order, operation, item, first, confirmed, None))
    return tuple(_one_each(out))


def _on_or_after(days: Sequence[date], day: date) -> date:
    return next(one for one in days if one >= day)


def _one_each(rows: Sequence[Arrival]) -> list[Arrival]:
    """Keep one item for each operation."""
    return list({(row.order, row.operation): row for row in rows}.values())


def _pick(values: Sequence[T], random: np.random.Generator) -> T:
    return values[int(random.integers(len(values)))]
