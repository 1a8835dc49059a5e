"""The small plan of the scheduler's tests, prepared for drawing, with names."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import date, datetime
from pathlib import Path
from typing import Any

from dashboard.filters import Filters
from dashboard.view import View, make_view
from models.names import Names
from tests.scheduler.small_plan import small_document, small_plan

WINDOW = Filters(start=date(2027, 3, 8), weeks=4)
GROUPS = {
    "mold room": "Lamination",
    "booth": "Gel coat",
    "lay-up": "Lamination",
    "assembly": "Assembly",
    "rigging": "Rigging",
    "hoist": "Assembly",
}


def when(text: str) -> datetime:
    """A naive time of the yard."""
    return datetime.fromisoformat(text)


def small_names() -> Names:
    """Names for some of the codes; the others are shown as codes."""
    return Names(
        yard="Example Creek",
        stations={name: name.capitalize() for name in GROUPS},
        groups=GROUPS,
        skills={"laminate": "Lamination", "gel_coat": "Gel coat", "rig": "Rigging"},
        models={"tern-23": "Tern 23"},
        operations={("tern-23", "hull.skin"): "Skin coat, hull"},
        cautions={("tern-23", "hull.skin"): "lay_up"},
        customers={"B101": "C-1"},
    )


def small_view(names: Names | None = None) -> View:
    """Two boats, one of them two working days late."""
    return make_view(small_plan(), names or small_names())


def write_small_plan(path: Path) -> Path:
    """Write the small plan as a file."""
    path.write_text(json.dumps(small_document()), encoding="utf-8")
    return path


def components(tree: Any) -> Iterator[Any]:
    """Every component and text of a page, from the top down."""
    if isinstance(tree, list | tuple):
        for one in tree:
            yield from components(one)
    elif tree is not None:
        yield tree
        yield from components(getattr(tree, "children", None))


def text_of(tree: Any) -> str:
    """Everything that a page says, in order."""
    return " ".join(
        str(one) for one in components(tree) if isinstance(one, str | int | float)
    )


def of_id(tree: Any, id: object) -> Any:
    """The one component of a page that has an id."""
    found = [one for one in components(tree) if getattr(one, "id", None) == id]
    assert len(found) == 1, f"{len(found)} components with id {id}"
    return found[0]


def traces(figure: Any) -> dict[str, Any]:
    """Traces of a figure by name."""
    return {one.name: one for one in figure.data}
