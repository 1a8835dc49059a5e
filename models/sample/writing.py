"""Writing a sample yard and its order book to a folder."""

from __future__ import annotations

import csv
import tomllib
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from pathlib import Path

import numpy as np

from models.boat import BoatModel
from models.errors import UsageError
from models.learning import boat_numbers
from models.loading import load_book
from models.orders import Arrival, Order
from models.sample.book import date_orders, draw_arrivals, draw_orders
from models.sample.flow import Flow
from models.sample.rules import change_model, change_yard, possible_rules
from models.sample.scaling import scale_yard
from models.sample.toml_text import to_toml

_FULL = 26  # boats for which the demo yard itself is the right size
_ORDERS = (
    "order",
    "customer_ref",
    "model",
    "options",
    "graphics",
    "wanted",
    "promised",
    "release",
    "weight",
    "dealer_ref",
    "note",
)
_ARRIVALS = ("order", "operation", "item", "expected", "confirmed", "arrived")


def write_sample(
    out: Path,
    base: Path,
    boats: int,
    seed: int,
    load: float,
    scale: float | None,
    learning_rate: float | None = None,
    rules: tuple[str, ...] = (),
) -> None:
    """Write a yard with its boat models and an order book drawn by lot.

    The same arguments give the same files. Nothing is in hand and nothing is locked.

    The busiest resource is the set of skills, of molds or of places for which

        demand / (USABLE x supply in a window of working days from `as_of` on)

    is largest: labor hours over the open hours of the people who have one of the
    skills, or days in the mold or place on the shortest flow over what there is of
    them. The window is the shortest in which that ratio is at most `load`. Boats take
    their turns evenly over the window; each is due 1.3 times its own shortest flow
    after its turn. At a load above 1 the yard falls behind during the window; a larger
    yard less so, as its people and molds stand in for each other.

    Parameters
    ----------
    out : Path
        Folder to write to; it may hold an earlier sample and nothing else.
    base : Path
        Folder of the yard to start from.
    boats : int
        Orders to draw; models, options and graphics are as frequent as in the base.
    seed : int
        Of everything that is drawn.
    load : float
        Demand over supply of the busiest resource, as above.
    scale : float, optional
        People, molds, places and capacities over those of the base, at least one of
        each and enough people for every crew; default is boats / 26.
    learning_rate : float, optional
        Makes every model new: unit curve with this rate, none built yet. By default
        models learn as in the base.
    rules : tuple of str, optional
        Rules of the shop to take on besides those of the base (`models.sample.rules`);
        `setups` only where the yard has one booth.
    """
    if boats < 1:
        raise UsageError(f"--boats is {boats}; it must be at least 1")
    if load <= 0:
        raise UsageError(f"--load is {load:g}; it must be above 0")
    factor = boats / _FULL if scale is None else scale
    if factor <= 0:
        raise UsageError(f"--scale is {factor:g}; it must be above 0")
    if seed < 0:
        raise UsageError(f"--seed is {seed}; it must be 0 or more")
    given = load_book(base)
    _check_folder(out, [f"{name}.toml" for name in given.models])
    raw = tomllib.loads((base / "yard.toml").read_text(encoding="utf-8"))
    raw["name"] = f"{raw['name']}, sample of {boats} boats, seed {seed}"
    raw["as_of"] = given.yard.as_of
    scaled = scale_yard(raw, factor, _least_crews(given.models.values()))
    rules = possible_rules(scaled, rules)
    change_yard(scaled, rules, factor)
    _write_models(out, base, given.models, learning_rate, rules)
    text = "# A sample; every figure is invented.\n\n" + to_toml(scaled)
    (out / "yard.toml").write_text(text, encoding="utf-8")

    choices, dates, items = (
        np.random.default_rng(one) for one in np.random.SeedSequence(seed).spawn(3)
    )
    orders = draw_orders(given, boats, choices)
    _write_orders(out, orders)
    _write_arrivals(out, ())
    written = load_book(out)
    yard, numbers = written.yard, boat_numbers(written.models, orders)
    flows = {
        order.order: Flow(
            written.models[order.model], order, yard, numbers[order.order]
        )
        for order in orders
    }
    orders = date_orders(orders, flows, yard, load, dates)
    _write_orders(out, orders)
    _write_arrivals(out, draw_arrivals(given, orders, flows, yard, items))
    load_book(out)  # what was written must load


def _least_crews(models: Iterable[BoatModel]) -> dict[str, int]:
    """Give the largest of the smallest crews that each skill must form."""
    least: dict[str, int] = {}
    for model in models:
        sizes = [
            (step.skill, step.crew_min)
            for step in model.operations
            if step.skill is not None
        ]
        sizes += [(graphic.skill, graphic.crew_min) for graphic in model.graphics]
        for skill, size in sizes:
            least[skill] = max(least.get(skill, 1), size)
    return least


def _check_folder(out: Path, boats: Sequence[str]) -> None:
    """Refuse a folder with other files: they would be read as part of the yard."""
    ours = {
        "yard.toml",
        "orders.csv",
        "arrivals.csv",
        *(f"boats/{one}" for one in boats),
    }
    if out.exists() and not out.is_dir():
        raise UsageError(f"{out} is a file; --out must be a folder")
    found = {
        path.relative_to(out).as_posix() for path in out.rglob("*") if path.is_file()
    }
    if found - ours:
        first = min(found - ours)
        raise UsageError(f"{out} holds {first}; give a new folder as --out")


def _write_models(
    out: Path,
    base: Path,
    models: Mapping[str, BoatModel],
    rate: float | None,
    rules: tuple[str, ...],
) -> None:
    (out / "boats").mkdir(parents=True, exist_ok=True)
    for name, model in models.items():
        text = (base / "boats" / f"{name}.toml").read_bytes()
        if rules:
            table = tomllib.loads(text.decode())
            change_model(table, rules)
            text = to_toml(table).encode()
        if rate is not None:
            if model.learning is not None:
                raise UsageError(f"{name} has a learning curve already: no --learning")
            text += f'\n[learning]\ncurve = "unit"\nrate = {rate}\nbuilt = 0\n'.encode()
        (out / "boats" / f"{name}.toml").write_bytes(text)


def _write_orders(out: Path, orders: Iterable[Order]) -> None:
    rows = [
        (
            one.order,
            one.customer_ref,
            one.model,
            ";".join(one.options),
            one.graphics or "",
            _cell(one.wanted),
            _cell(one.promised),
            _cell(one.release),
            one.weight,
            one.dealer_ref,
            one.note,
        )
        for one in orders
    ]
    _write_table(out / "orders.csv", _ORDERS, rows)


def _write_arrivals(out: Path, arrivals: Iterable[Arrival]) -> None:
    rows = [
        (
            one.order,
            one.operation,
            one.item,
            _cell(one.expected),
            _cell(one.confirmed),
            _cell(one.arrived),
        )
        for one in arrivals
    ]
    _write_table(out / "arrivals.csv", _ARRIVALS, rows)


def _cell(day: date | None) -> str:
    return "" if day is None else day.isoformat()


def _write_table(
    path: Path, header: Sequence[str], rows: Iterable[Sequence[object]]
) -> None:
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(header)
        writer.writerows(rows)
