"""A boat model: quantities, parts, routing, options and graphics layouts.

Plain frozen data as `models.loading` reads it from `boats/*.toml`.
"""

from __future__ import annotations

from dataclasses import dataclass

from models.learning import Learning
from models.materials import Film, MaterialUse
from models.standards import StepStandard

WAIT_KINDS = ("cure", "tack", "bond", "sequence", "transport")


@dataclass(frozen=True, slots=True)
class WorkLine:
    """One line of labor: hours = quantity x factor x hours per unit, or fixed hours.

    `quantity` names a key of the model's quantities (its suffix is the unit:
    `hull_area_m2`, `joint_length_m`, `engine_count`); None with `hours_per_unit`
    means fixed hours. `factor` is plies, passes or a share, as `basis` says.
    """

    text: str
    basis: str  # area | length | count | plies x area | colors | fixed
    hours_per_unit: float
    quantity: str | None = None
    factor: float = 1.0


@dataclass(frozen=True, slots=True)
class RoutingOperation:
    """One step of the routing.

    `when` names an option: the step exists only on boats with that option.
    `allowance` names one of the yard's allowances (share of job time).
    `duration_hours` is for steps without a crew; it runs on the calendar. A step with
    `lead_days` is done by a supplier (`models.outside`).
    """

    code: str
    name: str
    parts: tuple[str, ...]
    station: str
    skill: str | None
    crew_min: int
    crew_max: int
    work: tuple[WorkLine, ...]
    allowance: str | None = None
    one_go: bool = False
    exclusive_part: bool = False
    demands: tuple[tuple[str, int], ...] = ()  # further stations and amounts
    calendar: str | None = None  # default: the skill's
    duration_hours: float | None = None
    lead_days: int | None = None  # working days of a supplier, on the calendar
    slots: str | None = None  # calendar in whose open time it must start
    when: str | None = None
    unless: str | None = None  # option that replaces this step
    setup_family: str | None = None  # color, at a station with set-ups
    caution: str | None = None  # key of the cautions printed with the step
    gate: str | None = None  # inspection that must pass before what waits for its end
    standard: StepStandard | None = None  # in place of that of the rates
    leads_min: int = 0  # of its crew who have the skill in full, where it is learned


@dataclass(frozen=True, slots=True)
class RoutingWait:
    """A minimum and maybe maximum time between two steps of the routing."""

    kind: str  # one of WAIT_KINDS
    before: str
    after: str
    before_of: str = "end"
    after_of: str = "start"
    min_hours: float = 0.0
    data_sheet_min_hours: float | None = None
    max_hours: float | None = None
    clock: str = "wall"  # wall | work
    calendar: str | None = None  # of a work-clock wait
    activation_kj_per_mol: float | None = None  # of a cure that a cold shop lengthens
    reference_celsius: float | None = None  # for which the data sheet's minimum holds
    reprep: str | None = None  # step that stands for a missed maximum (`models.reprep`)


@dataclass(frozen=True, slots=True)
class Part:
    """A part, the mold it is made in and the place it stands in afterwards.

    A part without `mold_from` is not molded; without `place_kind` it stands nowhere.
    The mold is held from the start of `mold_from` to the end of `mold_to`, the place
    from the start of `place_from` to the start or end (`place_to_of`) of `place_to`.
    """

    id: str
    name: str
    mold_from: str | None = None
    mold_to: str | None = None
    place_kind: str | None = None
    place_from: str | None = None
    place_to: str | None = None
    place_to_of: str = "end"


@dataclass(frozen=True, slots=True)
class AddedWork:
    """Labor that an option adds to an existing step."""

    operation: str
    line: WorkLine


@dataclass(frozen=True, slots=True)
class BoatOption:
    """Something a customer can choose."""

    id: str
    name: str
    adds: tuple[AddedWork, ...] = ()
    excludes: tuple[str, ...] = ()
    requires: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class GraphicColor:
    """One color of a layout, sprayed in the mold, and the material that it is."""

    name: str
    area_m2: float
    mask_length_m: float
    material: str | None = None
    setup_family: str | None = None  # of its spraying


@dataclass(frozen=True, slots=True)
class Graphic:
    """A layout of colors sprayed into the mold before the background gel coat.

    Each color is masked, sprayed, left to tack and unmasked, in order, between the
    steps `after` and `before`; the start of `before` must come within
    `window_max_hours` of the start of the first color's spray.
    """

    id: str
    name: str
    part: str
    after: str
    before: str
    colors: tuple[GraphicColor, ...]
    station: str
    skill: str
    crew_min: int
    crew_max: int
    mask_hours_per_m: float
    spray_hours_per_m2: float
    spray_fixed_hours: float
    unmask_hours_per_m: float
    tack_min_hours: float
    tack_max_hours: float
    window_max_hours: float
    allowance: str | None = None
    demands: tuple[tuple[str, int], ...] = ()
    caution: str | None = None
    film: Film | None = None  # of every color whose material is named
    leads_min: int = 0  # of each crew who have the skill in full, where it is learned


@dataclass(frozen=True, slots=True)
class BoatModel:
    """Everything that `boats/MODEL.toml` says.

    `standards` come from what a yard accepted (`models.actuals`), not from the file.
    """

    id: str
    name: str
    length_ft: float
    quantities: dict[str, float]
    parts: tuple[Part, ...]
    operations: tuple[RoutingOperation, ...]
    waits: tuple[RoutingWait, ...]
    options: tuple[BoatOption, ...]
    graphics: tuple[Graphic, ...]
    learning: Learning | None = None
    uses: tuple[MaterialUse, ...] = ()
    standards: tuple[StepStandard, ...] = ()
