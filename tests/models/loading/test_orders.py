"""The CSV files' rows: what each cell means and what blank cells stand for."""

from __future__ import annotations

from datetime import date, datetime

from models.loading import load_book
from models.orders import Arrival, InHand, Lock, Order
from tests.models.loading.conftest import TinyYard
from tests.models.tiny import tiny_book


def test_orders() -> None:
    """Options come in a list, blank dates and graphics as nothing."""
    assert tiny_book().orders == (
        Order(
            order="B-1",
            customer_ref="C-1",
            model="skiff-16",
            options=("hard-top", "top-lights"),
            graphics=None,
            wanted=date(2027, 4, 2),
            promised=date(2027, 4, 2),
            release=date(2027, 2, 15),
            weight=1,
        ),
        Order(
            order="B-2",
            customer_ref="C-2",
            model="skiff-16",
            options=("canvas-top",),
            graphics="sweep",
            wanted=date(2027, 4, 16),
            promised=None,
            release=None,
            weight=2,
            dealer_ref="D-1",
        ),
    )


def test_floor() -> None:
    """Facts, arrivals and locks come as written, blank cells as nothing."""
    book = tiny_book()
    assert book.arrivals == (
        Arrival(
            "B-1", "final.rig", "engine", date(2027, 3, 8), date(2027, 3, 10), None
        ),
    )
    assert book.in_hand[2] == InHand(
        order="B-1",
        operation="hull.laminate",
        state="started",
        started=datetime(2027, 2, 26, 12, 30),  # noqa: DTZ001
        finished=None,
        remaining_hours=4.5,
        mold=None,
        place=None,
        people=("LM-01", "LM-02"),
    )
    assert book.locks == (
        Lock(
            "B-2",
            "hull.prep",
            datetime(2027, 3, 16, 6),  # noqa: DTZ001
            "H16-1",
            ("LM-02",),
        ),
    )


def test_optional_columns(tiny: TinyYard) -> None:
    """Weight, dealer and note may be left away, weight also blank: it is 1."""
    tiny.write(
        "orders.csv",
        "order,customer_ref,model,options,graphics,wanted,promised,release\n"
        "B-1,C-1,skiff-16,hard-top,,,,\nB-2,C-1,skiff-16,,,,,\n",
    )
    orders = load_book(tiny.folder).orders
    assert [(one.weight, one.dealer_ref, one.note) for one in orders] == [
        (1, "", ""),
        (1, "", ""),
    ]
    tiny.write(
        "orders.csv",
        "order,customer_ref,model,options,graphics,wanted,promised,release,weight\n"
        "B-1,C-1,skiff-16,hard-top,,,,,\nB-2,C-1,skiff-16,,,,,,3\n",
    )
    assert [one.weight for one in load_book(tiny.folder).orders] == [1, 3]
