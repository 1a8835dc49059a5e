"""What loading would change, in words."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime

from models.cures import ShopTemperature
from models.orders import Arrival, InHand
from models.store.changes import Change, changes_between
from models.store.documents import Loaded, YardRecord, from_text, to_text
from models.yard import Setup, WorkLimit
from tests.models.store.conftest import little_yard, with_order, without


def with_yard(files: Loaded, record: YardRecord) -> Loaded:
    """The same orders of another yard, from another file."""
    return replace(files, yard=record, sources={**files.sources, "yard.toml": "new"})


def test_everything_is_new_at_first() -> None:
    """Before the first load the yard, each model and each order is added."""
    files = little_yard()
    found = changes_between(None, files)
    assert {one.what for one in found} == {"added"}
    assert [one.id for one in found if one.kind == "order"] == sorted(files.orders)
    assert [one.id for one in found if one.kind == "model"] == sorted(files.yard.models)


def test_the_same_files_change_nothing() -> None:
    """Files compared with themselves have no difference."""
    assert changes_between(little_yard(), little_yard()) == ()


def test_orders_added_changed_and_withdrawn() -> None:
    """Each order that is not the same is named, with what differs."""
    before = little_yard()
    first, second = sorted(before.orders)
    wanted = before.orders[first].order.wanted
    after = without(with_order(before, first, wanted=date(2027, 9, 1)), second)
    after = with_order(after, "B-9")
    assert changes_between(before, after) == (
        Change("order", first, "changed", (f"wanted: {wanted} → 2027-09-01",)),
        Change("order", second, "withdrawn"),
        Change("order", "B-9", "added"),
    )


def test_what_is_known_about_an_order_belongs_to_it() -> None:
    """A later engine and begun work are changes of the order that waits for them."""
    before = little_yard()
    name = min(before.orders)
    engine = Arrival(name, "final.rig", "engine", date(2027, 1, 5), None, None)
    at = datetime.fromisoformat("2026-11-30T08:00")
    begun = InHand(name, "hull.gel_coat", "started", at, None, 3, None, None)
    record = before.orders[name]

    def holding(engine: Arrival, *in_hand: InHand) -> Loaded:
        changed = replace(record, arrivals=(engine,), in_hand=in_hand)
        return replace(before, orders={**before.orders, name: changed})

    later = replace(engine, confirmed=date(2027, 1, 19))
    (change,) = changes_between(holding(engine), holding(later, begun))
    assert change.details == (
        "arrival of engine (final.rig) changed: confirmed: none → 2027-01-19",
        "in hand hull.gel_coat added",
    )


def test_people_molds_and_rules_of_the_yard() -> None:
    """A person who left, one with more leave, and a longer buffer are told apart."""
    before = little_yard()
    yard = before.yard.yard
    gone, kept, *others = yard.people
    away = replace(kept, leave=((date(2027, 1, 4), date(2027, 1, 8)),))
    changed = replace(yard, people=(away, *others), buffer_days=yard.buffer_days + 1)
    found = changes_between(
        before, with_yard(before, replace(before.yard, yard=changed))
    )
    assert set(found) == {
        Change("person", gone.id, "withdrawn"),
        Change("person", kept.id, "changed", ("leave: none → 2027-01-04, 2027-01-08",)),
        Change(
            "yard",
            yard.name,
            "changed",
            (f"buffer days: {yard.buffer_days} → {yard.buffer_days + 1}",),
        ),
    }


def test_rules_of_the_shop() -> None:
    """A colder shop, a limit, set-ups and a service of molds are told in words."""
    before = little_yard()
    yard = before.yard.yard
    booth = replace(yard.stations[0], setups=(Setup("white", "red", 30),))
    mold = replace(yard.molds[0], service_every=40, service_hours=16.0)
    changed = replace(
        yard,
        temperature=ShopTemperature((14.0,) * 11 + (12.5,)),
        limits=(WorkLimit("hulls", "hull.prep", "hull.demold", 3),),
        stations=(booth, *yard.stations[1:]),
        molds=(mold, *yard.molds[1:]),
    )
    after = with_yard(before, replace(before.yard, yard=changed))
    text = to_text(after.yard)
    assert from_text(YardRecord, text) == after.yard
    months = ", ".join(["14"] * 11 + ["12.5"])
    assert set(changes_between(before, after)) == {
        Change("station", booth.id, "changed", ("setups: white to red",)),
        Change(
            "mold",
            mold.id,
            "changed",
            ("service every: none → 40", "service hours: none → 16"),
        ),
        Change("limit", "hulls", "added"),
        Change("yard", yard.name, "changed", (f"temperature: none → {months}, none",)),
    }


def test_a_model_says_what_of_it_changed() -> None:
    """Quantities come with both values, steps by their codes."""
    before = little_yard()
    name, model = next(iter(before.yard.models.items()))
    quantity, value = next(iter(model.quantities.items()))
    step = replace(model.operations[0], crew_max=9)
    changed = replace(
        model,
        quantities={**model.quantities, quantity: value + 1},
        operations=(step, *model.operations[1:]),
    )
    models = {**before.yard.models, name: changed}
    (change,) = changes_between(
        before, replace(before, yard=replace(before.yard, models=models))
    )
    assert change == Change(
        "model",
        name,
        "changed",
        (f"{quantity}: {value:g} → {value + 1:g}", f"operations: {step.code}"),
    )


def test_a_new_day_is_no_change() -> None:
    """A yard file that did not change a byte has not changed, whatever the day."""
    before = little_yard()
    tomorrow = replace(before.yard.yard, as_of=date(2030, 1, 1))
    after = replace(before, yard=replace(before.yard, yard=tomorrow))
    assert changes_between(before, after) == ()
