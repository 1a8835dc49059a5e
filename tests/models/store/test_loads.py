"""Taking files in."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from models.errors import ChangeRefused, Overtaken, UsageError
from models.store.documents import Loaded
from models.store.loads import current, load
from models.store.log import entries
from models.store.transactions import Store, open_store, read
from tests.models.store.conftest import ANN, BEN, little_yard, with_order, without

FIRST, LAST = sorted(little_yard().orders)


def test_the_first_load_keeps_everything(loaded: Store) -> None:
    """What was read from files is what the store holds, with who and when."""
    state = current(loaded)
    assert state.loaded == little_yard()
    assert (state.number, state.who, state.at) == (1, ANN.who, ANN.at)


def test_the_same_files_again_change_nothing(loaded: Store) -> None:
    """A second load of the same files writes no row, not even in the log."""
    before = read(loaded, entries)
    result = load(loaded, little_yard(), BEN, None)
    assert result.done
    assert result.number == 1
    assert result.changes == ()
    assert read(loaded, entries) == before


def test_an_addition_needs_no_confirmation(loaded: Store) -> None:
    """New orders replace nothing that anybody relies on."""
    result = load(loaded, with_order(little_yard(), "B-9"), BEN, None)
    assert result.done
    assert current(loaded).number == 2
    assert "B-9" in (current(loaded).loaded or little_yard()).orders


@pytest.mark.parametrize(
    "files",
    [with_order(little_yard(), FIRST, note="x"), without(little_yard(), LAST)],
)
def test_changes_need_the_load_they_were_compared_with(
    loaded: Store, files: Loaded
) -> None:
    """Nothing is changed or withdrawn unless somebody says against which load."""
    result = load(loaded, files, BEN, None)
    assert not result.done
    assert result.changes
    assert current(loaded).loaded == little_yard()
    assert load(loaded, files, BEN, 1).done
    assert current(loaded).loaded == files


def test_the_second_of_two_people_is_told(loaded: Store) -> None:
    """Who changes an order that another has changed since is refused, with who did."""
    load(loaded, with_order(little_yard(), FIRST, note="ann's"), ANN, 1)
    held = current(loaded)
    with pytest.raises(Overtaken) as error:
        load(loaded, with_order(little_yard(), FIRST, note="ben's"), BEN, 1)
    told = str(error.value)
    assert FIRST in told
    assert "by ann in load 2" in told
    assert "hullpace load --dry-run" in told
    assert current(loaded) == held


def test_two_people_may_change_different_orders(loaded: Store) -> None:
    """Only what somebody else has changed since is in the way."""
    second = max(little_yard().orders)
    ann = with_order(little_yard(), FIRST, note="ann's")
    load(loaded, ann, ANN, 1)
    assert load(loaded, with_order(ann, second, note="ben's"), BEN, 1).done


def test_an_order_added_since_is_not_withdrawn(loaded: Store) -> None:
    """Files without an order that somebody added meanwhile do not remove it."""
    load(loaded, with_order(little_yard(), "B-9"), ANN, None)
    with pytest.raises(Overtaken, match="B-9"):
        load(loaded, with_order(little_yard(), FIRST, note="ben's"), BEN, 1)


def test_an_order_withdrawn_since_does_not_come_back(loaded: Store) -> None:
    """Old files do not bring back in silence what was withdrawn."""
    load(loaded, without(little_yard(), LAST), ANN, 1)
    assert not load(loaded, little_yard(), BEN, None).done
    with pytest.raises(Overtaken, match=LAST):
        load(loaded, little_yard(), BEN, 1)
    assert load(loaded, little_yard(), BEN, 2).done
    assert current(loaded).loaded == little_yard()


def test_the_yard_has_versions_too(loaded: Store) -> None:
    """Two people who change the yard are told apart like those who change an order."""

    def buffered(days: int) -> Loaded:
        files = little_yard()
        yard = replace(files.yard.yard, buffer_days=days)
        sources = {**files.sources, "yard.toml": str(days)}
        return replace(files, yard=replace(files.yard, yard=yard), sources=sources)

    load(loaded, buffered(7), ANN, 1)
    with pytest.raises(Overtaken, match="the yard"):
        load(loaded, buffered(8), BEN, 1)
    state = current(loaded)
    assert state.loaded is not None
    assert state.loaded.yard.yard.buffer_days == 7


def test_a_load_that_never_was(loaded: Store) -> None:
    """A number that was never given is a mistake, or the store was restored."""
    with pytest.raises(UsageError, match="no such load"):
        load(loaded, with_order(little_yard(), FIRST, note="x"), BEN, 5)


def test_the_log_says_what_was_loaded(loaded: Store) -> None:
    """Each load has an entry with who, why and the names of what changed."""
    load(loaded, with_order(little_yard(), FIRST, note="x"), BEN, 1)
    first, second = read(loaded, entries)
    assert (first.who, first.why, first.action) == (ANN.who, ANN.why, "load")
    assert f"order {FIRST}" in first.details["added"]
    assert second.details == {
        "load": 2, "added": [], "changed": [f"order {FIRST}"], "withdrawn": [],
    }  # fmt: skip


books = st.dictionaries(
    st.sampled_from(["B-1", "B-2", "B-3", "B-4"]),
    st.tuples(st.integers(1, 9), st.dates(date(2027, 1, 1), date(2027, 12, 31))),
    min_size=1,
)


@settings(
    max_examples=15, deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)  # fmt: skip
@given(st.lists(books, min_size=1, max_size=5))
def test_the_store_holds_what_was_loaded_last(
    tmp_path_factory: pytest.TempPathFactory, series: list[dict[str, tuple[int, date]]]
) -> None:
    """Whatever is loaded one after the other, the last files are what is held."""
    path = tmp_path_factory.mktemp("store") / "yard.db"
    store = open_store(str(path), create=True)
    for orders in series:
        base = little_yard()
        files = replace(base, orders={}, sources={**base.sources, "orders.csv": "none"})
        for name, (weight, wanted) in orders.items():
            template = replace(base.orders[FIRST].order, order=name)
            record = replace(base.orders[FIRST], order=template, in_hand=())
            files = replace(files, orders={**files.orders, name: record})
            files = with_order(files, name, weight=weight, wanted=wanted)
        state = current(store)
        assert load(store, files, ANN, state.number or None).done
        assert current(store).loaded == files
        assert load(store, files, BEN, None).changes == ()


def test_options_of_a_boat_that_was_begun(recorded: Store) -> None:
    """Files know nothing of what is made: a change order does."""
    other = with_order(little_yard(), "B-1", options=("canvas-top",))
    with pytest.raises(ChangeRefused, match="hullpace order change B-1"):
        load(recorded, other, ANN, 1)
    assert current(recorded).number == 1
    assert load(recorded, with_order(little_yard(), "B-1", note="x"), ANN, 1).done
    other = with_order(little_yard(), "B-2", note="x", graphics=None)
    assert load(recorded, with_order(other, "B-1", note="x"), ANN, 2).done
