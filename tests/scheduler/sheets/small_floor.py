"""The small plan with names for some of its codes, as sheets see it."""

from __future__ import annotations

from models.names import Names
from scheduler.sheets.floor import Floor, make_floor
from tests.scheduler.small_plan import small_plan

GROUPS = {
    "mold room": "Lamination",
    "booth": "Gel coat",
    "lay-up": "Lamination",
    "assembly": "Assembly",
    "rigging": "Rigging",
    "hoist": "Assembly",
}
CODES = (
    *("hull.prep", "hull.gel_coat", "hull.laminate", "hull.demold", "deck.prep"),
    *("deck.gel_coat", "deck.skin", "deck.demold", "final.join", "final.rig"),
    *("final.air_out", "final.inspect"),
)


def small_names() -> Names:
    """Every step has a name, two have a caution."""
    return Names(
        yard="Example Creek",
        stations={name: name.capitalize() for name in GROUPS},
        groups=GROUPS,
        models={"tern-23": "Tern 23"},
        operations={("tern-23", code): code for code in CODES}
        | {("tern-23", "hull.skin"): "Skin coat, hull"},
        cautions={
            ("tern-23", "hull.skin"): "lay_up",
            ("tern-23", "hull.demold"): "lifting",
        },
        customers={"B101": "C-1", "B102": "C-2"},
        choices={"B101": ("Hard top",)},
    )


def small_floor(names: Names | None = None) -> Floor:
    """The small plan and its names."""
    return make_floor(small_plan(), names or small_names())
