"""What an order may be changed to after its work has begun."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

import pytest

from models.change_order import Wish, change_order
from models.errors import ChangeRefused
from models.orders import Book, InHand
from models.routing import route
from tests.models.tiny import tiny_book

DAY = datetime.fromisoformat("2027-03-08T06:00")
RIGGED = ("hull.laminate", "hull.demold", "final.rig")


def book_with(*done: str, started: str | None = None) -> Book:
    """The tiny yard with more steps of B-1 done, and one begun."""
    rows = [row for row in tiny_book().in_hand if row.operation not in done]
    rows += [
        InHand("B-1", code, "done", DAY, DAY, None, "H16-1", "Bay 1") for code in done
    ]
    if started is not None:
        rows.append(InHand("B-1", started, "started", DAY, None, 4.0, None, None))
    return replace(tiny_book(), in_hand=tuple(rows))


def refusal(book: Book, wish: Wish, order: str = "B-1") -> str:
    """Why an order cannot be changed so."""
    with pytest.raises(ChangeRefused) as refused:
        change_order(book, order, wish)
    return str(refused.value)


def test_work_not_begun_takes_the_new_hours() -> None:
    """Without the hard top rigging takes 6 h less, and 15 % of them."""
    changed = change_order(book_with(), "B-1", Wish(("canvas-top",), None))
    assert (changed.rework, changed.kept) == ((), ())
    (rig,) = changed.steps
    assert rig.code == "final.rig"
    assert rig.hours_before is not None
    assert rig.hours_after is not None
    assert rig.hours_before - rig.hours_after == pytest.approx(6 * 1.15)


def test_work_that_is_made_asks_for_hours() -> None:
    """A hard top that hangs has to come off, and somebody says what that takes."""
    book = book_with(*RIGGED)
    told = refusal(book, Wish((), None))
    assert "'final.rig' was done on 2027-03-08 06:00" in told
    assert "take off 'Fit the hard top'" in told
    assert "--removal-hours final.rig=H, 0 if it can stay" in told
    changed = change_order(book, "B-1", Wish((), None, {"final.rig": 5.0}))
    (off,) = changed.rework
    assert (off.code, off.after, off.like, off.hours) == (
        "final.rig.change1", "final.rig", "final.rig", 5.0,
    )  # fmt: skip
    stays = change_order(book, "B-1", Wish((), None, {"final.rig": 0.0}))
    assert stays.rework == ()


def test_work_to_be_put_in_is_never_nothing() -> None:
    """No plan skips handwork: 0 hours are no answer where an option adds work."""
    plain = replace(
        book_with(*RIGGED),
        orders=tuple(
            replace(one, options=()) if one.order == "B-1" else one
            for one in tiny_book().orders
        ),
    )
    told = refusal(plain, Wish(("hard-top",), None, {"final.rig": 0.0}))
    assert "put in 'Fit the hard top'" in told
    assert "can stay" not in told
    wish = Wish(("hard-top",), None, {"final.rig": 9.0})
    assert [one.hours for one in change_order(plain, "B-1", wish).rework] == [9.0]


def test_a_step_under_way_counts_as_begun() -> None:
    """Its remaining hours are the floor's; the work comes after it."""
    book = book_with("hull.laminate", "hull.demold", started="final.rig")
    assert "was begun on" in refusal(book, Wish((), None))
    changed = change_order(book, "B-1", Wish((), None, {"final.rig": 2.0}))
    assert changed.rework[0].after == "final.rig"


def test_the_added_step_comes_after_all_that_was_begun() -> None:
    """Its waits are those of the last step begun, and stay beside its own."""
    book = book_with(*RIGGED, started="final.detail")
    wish = Wish((), None, {"final.rig": 2.0})
    told = refusal(book, wish)
    assert "nothing is left to do after 'final.rig'" in told
    book = book_with(*RIGGED)
    changed = change_order(book, "B-1", wish)
    order = changed.on(next(one for one in book.orders if one.order == "B-1"))
    waits = {
        (one.before, one.after) for one in route(book.models["skiff-16"], order).waits
    }
    assert {
        ("final.rig", "final.rig.change1"),
        ("final.rig.change1", "final.detail"),
        ("final.rig", "final.detail"),
    } <= waits


def test_graphics_lie_under_the_gel_coat() -> None:
    """B-1 is gelled: no layout comes or goes, whatever hours are given."""
    told = refusal(book_with(), Wish(("hard-top", "top-lights"), "sweep"))
    assert "'hull.gel_coat' was done" in told
    changed = change_order(book_with(), "B-2", Wish(("canvas-top",), None))
    gone = [one.code for one in changed.steps if one.hours_after is None]
    assert len(gone) == 6
    begun = replace(
        book_with(),
        in_hand=(
            *book_with().in_hand,
            InHand("B-2", "hull.color1.mask", "started", DAY, None, 1.0, None, None),
        ),
    )
    told = refusal(begun, Wish(("canvas-top",), None), "B-2")
    assert "'hull.color1.mask' was begun" in told


@pytest.mark.parametrize(
    ("options", "told"),
    [
        (("hard-top", "canvas-top"), "canvas-top excludes hard-top"),
        (("top-lights",), "top-lights requires hard-top"),
        (("spoiler",), "an option of skiff-16"),
    ],
)
def test_what_nobody_can_order(options: tuple[str, ...], told: str) -> None:
    """The same rules as for `orders.csv`."""
    assert told in refusal(book_with(), Wish(options, None))


def test_hours_where_nothing_was_begun() -> None:
    """They are of no use, and said to be."""
    wish = Wish(("canvas-top",), None, {"final.rig": 3.0})
    assert "'final.rig' was not begun" in refusal(book_with(), wish)
    wish = Wish(("canvas-top",), None, {"hull.gel_coat": 3.0})
    assert "nothing of 'hull.gel_coat' changes" in refusal(book_with(), wish)


def detail_only_with(option: str) -> Book:
    """The tiny yard where detailing belongs to an option."""
    book = tiny_book()
    model = book.models["skiff-16"]
    steps = tuple(
        replace(one, when=option) if one.code == "final.detail" else one
        for one in model.operations
    )
    return replace(book, models={"skiff-16": replace(model, operations=steps)})


def test_a_step_done_for_an_option_given_up_is_kept() -> None:
    """It stays in the routing; taking off what it made takes hours, or none."""
    book = detail_only_with("hard-top")
    rows = [
        InHand("B-1", code, "done", DAY, DAY, None, "H16-1", "Bay 1")
        for code in ("hull.prep", "hull.gel_coat", *RIGGED[:2], "final.detail")
    ]
    book = replace(book, in_hand=tuple(rows))
    told = refusal(book, Wish((), None))
    assert "'final.detail' was done" in told
    changed = change_order(book, "B-1", Wish((), None, {"final.detail": 0.0}))
    assert changed.kept == ("final.detail",)
    order = changed.on(next(one for one in book.orders if one.order == "B-1"))
    codes = [one.code for one in route(book.models["skiff-16"], order).operations]
    assert "final.detail" in codes


def test_a_step_that_would_have_to_come_first() -> None:
    """A new step before one that was begun comes too late."""
    book = tiny_book()
    model = book.models["skiff-16"]
    steps = tuple(
        replace(one, when="canvas-top") if one.code == "hull.gel_coat" else one
        for one in model.operations
    )
    book = replace(
        book,
        models={"skiff-16": replace(model, operations=steps)},
        in_hand=tuple(row for row in book.in_hand if row.operation != "hull.gel_coat"),
    )
    told = refusal(book, Wish(("canvas-top",), None))
    assert "'hull.gel_coat' would have to come before it" in told
    assert "'hull.laminate' was begun" in told
