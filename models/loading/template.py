"""A workbook to be filled with orders, with what its columns mean beside it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from models.loading.order_tables import SCHEMAS
from models.loading.workbook import IGNORED
from models.workbook import Value, write_workbook

if TYPE_CHECKING:
    from models.orders import Book

_NOTES = (
    ("orders", "order", "a code of its own for each boat"),
    ("orders", "customer_ref", "a reference, no name"),
    ("orders", "model", "a model of the yard, see below"),
    ("orders", "options", "options of the model, parted by ;"),
    ("orders", "graphics", "a layout of the model, or blank"),
    ("orders", "wanted", "day such as 2027-03-09, or blank"),
    ("orders", "promised", "day, or blank: the plan then proposes one"),
    ("orders", "release", "no work before this day, or blank"),
    ("orders", "weight", "1 to 9, 1 if blank"),
    ("orders", "dealer_ref", "a reference, or blank"),
    ("orders", "note", "any text, or blank"),
    ("arrivals", "operation", "the step that waits for the item"),
    ("arrivals", "item", "any text"),
    ("arrivals", "expected", "day when ordered; confirmed and arrived later on"),
    ("in_hand", "state", "done or started"),
    ("in_hand", "started", "day and time such as 2027-03-09T06:30, as finished"),
    ("in_hand", "remaining_hours", "labor hours that are left, if started"),
    ("in_hand", "people", "people on it, parted by ;"),
    ("locks", "start", "day and time that is pinned, or blank, as mold and people"),
    ("jobs", "job", "one row for each step, in their order"),
    ("jobs", "kind", "repair, warranty, mold-repair or show, in the first row"),
    ("jobs", "one_go", "yes, or blank"),
    ("jobs", "leads_min", "how many of the crew have the skill in full, or blank"),
    ("jobs", "cure_hours", "hours before the next step, or blank"),
    ("jobs", "mold", "the mold that is repaired, or blank"),
)


def write_template(book: Book, path: Path) -> None:
    """Write an empty order book for a yard, and notes that loading leaves aside."""
    sheets: dict[str, list[list[Value]]] = {
        name: [[*schema.model_fields]] for name, schema in SCHEMAS.items()
    }
    notes: list[list[Value]] = [["sheet", "column", "what goes there"]]
    notes += [[*row] for row in _NOTES]
    notes += [["", "", "values only, no formulas; blank rows are left out"], []]
    notes += [["model", "option or layout", "name"]]
    for model in book.models.values():
        notes.append([model.id, "", model.name])
        notes += [[model.id, f"option {one.id}", one.name] for one in model.options]
        notes += [[model.id, f"graphics {one.id}", one.name] for one in model.graphics]
    write_workbook({**sheets, IGNORED: notes}, path)
