"""The yard and its orders as documents, and back."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time
from pathlib import Path

from models.jobs import Job, JobStep
from models.loading import load_book
from models.orders import Book
from models.store.documents import (
    Loaded,
    OrderRecord,
    YardRecord,
    digest,
    from_book,
    from_text,
    to_book,
    to_text,
)
from models.yard import Overtime, OvertimeLimits

DEMO = Path(__file__).parents[3] / "demo_orders"


def there_and_back(files: Loaded) -> Loaded:
    """Write everything as documents and read it again."""
    orders = {
        name: from_text(OrderRecord, to_text(one)) for name, one in files.orders.items()
    }
    return Loaded(from_text(YardRecord, to_text(files.yard)), orders, files.sources)


def sorted_book(book: Book) -> Book:
    """A book with its rows in the order of the orders' names."""
    return replace(
        book,
        **{
            rows: tuple(sorted(getattr(book, rows), key=lambda row: row.order))
            for rows in ("orders", "arrivals", "in_hand", "locks")
        },
    )


def test_a_book_comes_back_as_it_was() -> None:
    """Nothing of the demo yard and its book is lost in the store's documents."""
    files = [DEMO / "orders.csv", DEMO / "week" / "orders.csv"]
    book = load_book(DEMO, files)
    assert book.in_hand
    assert book.locks
    assert to_book(there_and_back(from_book(book))) == sorted_book(book)


def test_other_jobs_come_back_as_jobs() -> None:
    """A job is kept like an order, and comes back as a job with all of its steps."""
    step = JobStep("polish", "floor", "laminate", 4.0, 1, 2, cure_hours=24.0)
    jobs = (Job("J-1", "mold-repair", (step, step), mold="H23-1", note="chipped"),)
    book = replace(load_book(DEMO), jobs=jobs)
    back = to_book(there_and_back(from_book(book)))
    assert back.jobs == jobs
    assert "J-1" not in {one.order for one in back.orders}


def test_equal_data_have_equal_documents() -> None:
    """The order in which sets and dictionaries were filled does not show."""
    yard = from_book(load_book(DEMO)).yard
    turned = replace(
        yard,
        models=dict(reversed(yard.models.items())),
        yard=replace(
            yard.yard,
            allowances=dict(reversed(yard.yard.allowances.items())),
            calendars=tuple(
                replace(one, holidays=frozenset(sorted(one.holidays, reverse=True)))
                for one in yard.yard.calendars
            ),
        ),
    )
    assert to_text(turned) == to_text(yard)
    assert digest(to_text(turned)) == digest(to_text(yard))


def test_documents_of_an_earlier_version_are_read() -> None:
    """What a store has kept stays readable: fields that came later have a default."""
    folder = Path(__file__).parent / "earlier"
    yard = from_text(YardRecord, (folder / "yard.json").read_text("utf-8"))
    assert yard.yard.name == "Little Yard"
    order = from_text(OrderRecord, (folder / "order.json").read_text("utf-8"))
    assert order.locks
    assert order.arrivals
    assert order.order.order == "DC-307"


def test_overtime_comes_back_as_it_was() -> None:
    """Windows, limits and who may not be asked are in the yard's document."""
    day, window = date(2027, 3, 6), ("saturday", "shop", (6,), time(6), time(11))
    yard = from_book(load_book(DEMO)).yard
    people = (replace(yard.yard.people[0], overtime=False), *yard.yard.people[1:])
    offering = replace(
        yard.yard,
        overtime=(Overtime(*window, day, day, 42.5),),
        overtime_limits=OvertimeLimits(5, 8),
        people=people,
    )
    record = replace(yard, yard=offering)
    assert from_text(YardRecord, to_text(record)) == record
