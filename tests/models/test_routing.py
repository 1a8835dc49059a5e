"""An order's routing: options bring, replace and lengthen steps, graphics add some."""

from __future__ import annotations

from dataclasses import replace

from models.boat import RoutingWait
from models.routing import color_chain, route, takes_part
from tests.models.tiny import order_of, skiff


def test_plain_order_has_the_models_routing() -> None:
    """Without options and graphics the routing is the model's own."""
    model = skiff()
    routing = route(model, order_of())
    assert tuple(one.step for one in routing.operations) == model.operations
    assert routing.waits == model.waits
    assert routing.quantities == model.quantities


def test_option_adds_work() -> None:
    """An option's lines follow the step's own, on that step only."""
    routing = route(skiff(), order_of("hard-top"))
    work = {one.code: one.work for one in routing.operations}
    texts = [line.text for line in work["final.rig"]]
    assert texts == ["Hang the engine", "Pull the harness", "Fit the hard top"]
    assert all(one.step.work == one.work for one in routing.operations)
    others = work.keys() - {"final.rig"}
    own = {one.code: one.work for one in skiff().operations}
    assert all(work[code] == own[code] for code in others)


def test_option_brings_and_replaces_steps() -> None:
    """A step with `when` needs its option; one with `unless` yields to it."""
    polish, wrap = skiff().operations[-1], skiff().operations[-1]
    polish = replace(polish, unless="hard-top")
    wrap = replace(wrap, code="final.wrap", when="hard-top")
    model = replace(
        skiff(),
        operations=(*skiff().operations[:-1], polish, wrap),
        waits=(
            *skiff().waits,
            RoutingWait("sequence", "final.rig", "final.wrap"),
        ),
    )
    plain, topped = route(model, order_of()), route(model, order_of("hard-top"))
    assert [one.code for one in plain.operations][-2:] == ["final.rig", "final.detail"]
    assert [one.code for one in topped.operations][-2:] == ["final.rig", "final.wrap"]
    assert plain.waits[-1].after == "final.detail"
    assert topped.waits[-1].after == "final.wrap"
    assert takes_part(polish, ())
    assert not takes_part(wrap, ())


def test_waits_without_an_end_are_dropped() -> None:
    """No wait names a step that the boat does not have."""
    model = replace(
        skiff(),
        operations=tuple(
            replace(one, when="canvas-top") if one.code == "final.rig" else one
            for one in skiff().operations
        ),
    )
    routing = route(model, order_of())
    codes = {one.code for one in routing.operations}
    assert "final.rig" not in codes
    assert all({wait.before, wait.after} <= codes for wait in routing.waits)


def test_colors_come_in_order_before_the_gel_coat() -> None:
    """Each color is masked, sprayed and unmasked, in the order of the layout."""
    routing = route(skiff(), order_of(graphics="sweep"))
    codes = [one.code for one in routing.operations]
    assert codes[:8] == [
        "hull.prep",
        "hull.color1.mask",
        "hull.color1.spray",
        "hull.color1.unmask",
        "hull.color2.mask",
        "hull.color2.spray",
        "hull.color2.unmask",
        "hull.gel_coat",
    ]


def test_steps_of_a_color() -> None:
    """Only the spray is one-go; every step of a color has its part to itself."""
    chain = color_chain(skiff().graphics[0])
    assert [one.one_go for one in chain.steps] == [False, True, False] * 2
    assert all(one.exclusive_part and one.parts == ("hull",) for one in chain.steps)
    assert {(one.station, one.skill) for one in chain.steps} == {("booth", "laminate")}
    assert {(one.crew_min, one.crew_max) for one in chain.steps} == {(1, 2)}


def test_waits_of_a_layout() -> None:
    """Tack waits have both bounds; the bond window runs from the first spray."""
    chain = color_chain(skiff().graphics[0])
    tacks = [wait for wait in chain.waits if wait.kind == "tack"]
    assert [(one.before, one.after) for one in tacks] == [
        ("hull.color1.spray", "hull.color1.unmask"),
        ("hull.color2.spray", "hull.color2.unmask"),
    ]
    assert {(one.min_hours, one.max_hours, one.clock) for one in tacks} == {
        (1.0, 12.0, "wall")
    }
    (window,) = (wait for wait in chain.waits if wait.kind == "bond")
    assert (window.before, window.before_of) == ("hull.color1.spray", "start")
    assert (window.after, window.after_of) == ("hull.gel_coat", "start")
    assert (window.min_hours, window.max_hours) == (0.0, 30.0)
    order = [(one.before, one.after) for one in chain.waits if one.kind == "sequence"]
    assert order == [
        ("hull.prep", "hull.color1.mask"),
        ("hull.color1.mask", "hull.color1.spray"),
        ("hull.color1.unmask", "hull.color2.mask"),
        ("hull.color2.mask", "hull.color2.spray"),
        ("hull.color2.unmask", "hull.gel_coat"),
    ]


def test_spray_without_fixed_hours() -> None:
    """A layout without fixed hours has no line of nothing."""
    graphic = replace(skiff().graphics[0], spray_fixed_hours=0.0)
    spray = color_chain(graphic).steps[1]
    assert [line.text for line in spray.work] == ["Spray signal red"]
