"""One order's own routing: the model's, after its options and its graphics.

An option brings steps (`when`), replaces steps (`unless`) and adds work to steps. A
graphics layout brings three steps a color, sprayed into the mold before the laminate.
Rework comes in last (`models.rework`). A step of re-preparation is there only on boats
that need it (`models.reprep`).
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass, replace

from models.boat import (
    BoatModel,
    Graphic,
    GraphicColor,
    RoutingOperation,
    RoutingWait,
    WorkLine,
)
from models.orders import Order
from models.reprep import reprep_codes, reprep_waits
from models.rework import insert_rework


@dataclass(frozen=True, slots=True)
class RoutedOperation:
    """A step of one order with its final work, options' additions included.

    `step.work` is the same as `work`.
    """

    step: RoutingOperation
    work: tuple[WorkLine, ...]

    @property
    def code(self) -> str:
        """The step's code, unique within the order."""
        return self.step.code


@dataclass(frozen=True, slots=True)
class Routing:
    """The steps and waits of one order.

    `quantities` holds the model's quantities and those of the ordered graphics, which
    the work lines name.
    """

    operations: tuple[RoutedOperation, ...]
    waits: tuple[RoutingWait, ...]
    quantities: dict[str, float]


@dataclass(frozen=True, slots=True)
class ColorChain:
    """What a layout adds to a routing."""

    steps: tuple[RoutingOperation, ...]
    waits: tuple[RoutingWait, ...]
    quantities: dict[str, float]


def route(model: BoatModel, order: Order) -> Routing:
    """Work out an order's routing.

    Steps come in the model's order, a layout's steps right before the step that they
    lead to. A wait one of whose steps this boat does not have is dropped: the routing
    holds the direct wait beside it.
    """
    chain = _ordered_chain(model, order.graphics)
    steps: list[RoutingOperation] = []
    left_out = reprep_codes(model).difference(order.reprep)
    for step in model.operations:
        if step.code in left_out:
            continue
        if not takes_part(step, order.options) and step.code not in order.kept:
            continue
        if chain is not None and step.code == chain.waits[-1].after:
            steps += chain.steps
        steps.append(_with_added_work(step, model, order.options))
    steps = _with_standards(steps, model)
    codes = {step.code for step in steps}
    all_waits = model.waits if chain is None else model.waits + chain.waits
    waits = [w for w in all_waits if w.before in codes and w.after in codes]
    waits = reprep_waits(waits, codes)
    steps, waits = insert_rework(steps, waits, order.rework)
    return Routing(
        operations=tuple(RoutedOperation(step, step.work) for step in steps),
        waits=tuple(waits),
        quantities=model.quantities | (chain.quantities if chain else {}),
    )


def _with_standards(
    steps: list[RoutingOperation], model: BoatModel
) -> list[RoutingOperation]:
    known = {one.operation: one for one in model.standards}
    if not known:
        return steps
    return [replace(step, standard=known.get(step.code)) for step in steps]


def takes_part(step: RoutingOperation, options: Collection[str]) -> bool:
    """Whether a boat with these options has this step."""
    wanted = step.when is None or step.when in options
    return wanted and (step.unless is None or step.unless not in options)


def color_chain(graphic: Graphic) -> ColorChain:
    """Turn a layout into its steps: mask, spray, unmask for each color in order."""
    steps: list[RoutingOperation] = []
    waits: list[RoutingWait] = []
    quantities: dict[str, float] = {}
    last = graphic.after
    for number, color in enumerate(graphic.colors, 1):
        stem = f"{graphic.part}.color{number}"
        quantities[f"{stem}.mask_length_m"] = color.mask_length_m
        quantities[f"{stem}.area_m2"] = color.area_m2
        steps += _color_steps(graphic, color, stem)
        waits += _color_waits(graphic, stem, last)
        last = f"{stem}.unmask"
    waits.append(RoutingWait(kind="sequence", before=last, after=graphic.before))
    waits.append(
        RoutingWait(
            kind="bond",
            before=f"{graphic.part}.color1.spray",
            before_of="start",
            after=graphic.before,
            max_hours=graphic.window_max_hours,
        )
    )
    return ColorChain(tuple(steps), tuple(waits), quantities)


def _ordered_chain(model: BoatModel, graphics: str | None) -> ColorChain | None:
    if graphics is None:
        return None
    return color_chain(next(one for one in model.graphics if one.id == graphics))


def _with_added_work(
    step: RoutingOperation, model: BoatModel, options: Collection[str]
) -> RoutingOperation:
    added = tuple(
        extra.line
        for option in model.options
        if option.id in options
        for extra in option.adds
        if extra.operation == step.code
    )
    return replace(step, work=step.work + added) if added else step


def _color_steps(
    graphic: Graphic, color: GraphicColor, stem: str
) -> Iterator[RoutingOperation]:
    length, area = f"{stem}.mask_length_m", f"{stem}.area_m2"
    mask = WorkLine(
        f"Mask {color.name}", "length", graphic.mask_hours_per_m, quantity=length
    )
    fixed = WorkLine(
        f"Mix, load and flush {color.name}", "fixed", graphic.spray_fixed_hours
    )
    spray = WorkLine(
        f"Spray {color.name}", "colors", graphic.spray_hours_per_m2, quantity=area
    )
    unmask = WorkLine(
        f"Unmask {color.name}", "length", graphic.unmask_hours_per_m, quantity=length
    )
    sprayed = (fixed, spray) if graphic.spray_fixed_hours > 0 else (spray,)
    for verb, work in (("mask", (mask,)), ("spray", sprayed), ("unmask", (unmask,))):
        yield RoutingOperation(
            code=f"{stem}.{verb}",
            name=f"{verb.capitalize()} {color.name}, {graphic.part}",
            parts=(graphic.part,),
            station=graphic.station,
            skill=graphic.skill,
            crew_min=graphic.crew_min,
            crew_max=graphic.crew_max,
            leads_min=graphic.leads_min,
            work=work,
            allowance=graphic.allowance,
            one_go=verb == "spray",
            exclusive_part=True,
            demands=graphic.demands,
            caution=graphic.caution,
            setup_family=color.setup_family if verb == "spray" else None,
        )


def _color_waits(graphic: Graphic, stem: str, last: str) -> Iterator[RoutingWait]:
    mask, spray, unmask = (f"{stem}.{verb}" for verb in ("mask", "spray", "unmask"))
    yield RoutingWait(kind="sequence", before=last, after=mask)
    yield RoutingWait(kind="sequence", before=mask, after=spray)
    yield RoutingWait(
        kind="tack",
        before=spray,
        after=unmask,
        min_hours=graphic.tack_min_hours,
        max_hours=graphic.tack_max_hours,
    )
