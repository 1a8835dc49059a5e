"""What recording asks of a plan, on both kinds of database."""

from __future__ import annotations

from datetime import datetime

from models.store.plan_outline import Outline, read_outline
from models.store.plans import newest
from models.store.transactions import Store, read


def test_it_is_what_the_plan_says(published: Store) -> None:
    """Orders, zone and the end of the frozen window, as in the whole document."""
    publication = read(published, newest)
    assert publication is not None
    outline = read(published, lambda c: read_outline(c, publication.plan))
    assert outline == Outline(
        frozenset({"B-1", "B-2"}),
        "America/New_York",
        datetime.fromisoformat("2027-03-08T00:00-05:00"),
    )
