"""Layouts that fit their windows, against a search through every start."""

from __future__ import annotations

from dataclasses import replace
from datetime import time

from hypothesis import given, settings
from hypothesis import strategies as st

from models.boat import BoatModel, Graphic, GraphicColor
from models.calendars import expand
from models.loading.checks.fit import FitChecks
from models.loading.checks.graphics import shortest_window
from models.loading.checks.scope import BoatScope, YardScope
from models.loading.faults import FaultLog
from models.yard import Shift, TradeCalendar, Yard
from tests.models.loading.conftest import TinyYard
from tests.models.tiny import skiff, tiny_yard

BOAT = "boats/skiff-16.toml"
REACH = 72  # ticks of an hour after the first spray within which is searched


def yard_of(shop: TradeCalendar, coat: TradeCalendar) -> Yard:
    """Give the tiny yard with ticks of an hour and two trades' calendars."""
    yard = tiny_yard()
    rig = replace(yard.skills[1], calendar=coat.id)
    return replace(
        yard, tick_minutes=60, calendars=(shop, coat), skills=(yard.skills[0], rig)
    )


@st.composite
def trades(draw: st.DrawFn, name: str) -> TradeCalendar:
    """Draw a calendar of one or two shifts a weekday, with a break."""
    start = draw(st.integers(5, 8))
    shift = Shift(
        (1, 2, 3, 4, 5), time(start), time(start + 8), ((time(11), time(12)),)
    )
    late = Shift((1, 2, 3, 4, 5), time(17), time(21))
    shifts = draw(st.sampled_from([(shift,), (shift, late)]))
    return TradeCalendar(name, shifts, frozenset(), draw(st.booleans()))


@st.composite
def layouts(draw: st.DrawFn) -> Graphic:
    """Draw a layout whose steps take a few hours each."""
    colors = tuple(
        GraphicColor(
            f"color {number}", draw(st.integers(1, 3)), draw(st.integers(1, 3))
        )
        for number in range(draw(st.integers(1, 2)))
    )
    least = draw(st.integers(0, 4))
    return replace(
        skiff().graphics[0],
        colors=colors,
        crew_min=1,
        crew_max=1,
        mask_hours_per_m=1.0,
        spray_hours_per_m2=draw(st.sampled_from([0.5, 1.0, 2.0])),
        spray_fixed_hours=0.0,
        unmask_hours_per_m=0.5,
        tack_min_hours=least,
        tack_max_hours=least + draw(st.integers(0, 12)),
        allowance=None,
    )


def boat_of(one_go: bool, hours: float) -> BoatModel:
    """Give the boat with a gel coat of some hours, by the other trade."""
    steps = tuple(
        replace(
            step,
            skill="rig",
            one_go=one_go,
            crew_min=1,
            crew_max=1,
            allowance=None,
            work=(replace(step.work[0], factor=hours / 14 / 0.08),),
        )
        if step.code == "hull.gel_coat"
        else step
        for step in skiff().operations
    )
    return replace(skiff(), operations=steps)


class SlowTrade:
    """One trade's ticks, looked at one by one."""

    def __init__(self, checks: FitChecks, calendar: TradeCalendar) -> None:
        opened, breaks = expand(calendar, checks.crews.axis)
        self.open = {t for start, end in opened for t in range(start, end)}
        rests = {t for start, end in breaks for t in range(start, end)}
        self.one_go = self.open | (rests if calendar.breaks_relieved else set())

    def may_spray(self, start: int, length: int) -> bool:
        """Whether every tick of a one-go step is open."""
        return all(tick in self.one_go for tick in range(start, start + length))

    def done(self, start: int, length: int) -> int:
        """End of a pausable step that begins at an open tick."""
        tick = start
        while length:
            length -= tick in self.open
            tick += 1
        return tick


def slow_window(graphic: Graphic, model: BoatModel, checks: FitChecks) -> int | None:
    """Try every start of every step within reach of every first spray."""
    trade, other = (
        SlowTrade(checks, calendar) for calendar in checks.scope.yard.calendars
    )
    coat = next(step for step in model.operations if step.code == "hull.gel_coat")
    coat_ticks = checks.ticks(coat, model.quantities)
    lengths = [
        (
            color.mask_length_m,
            -int(-color.area_m2 * graphic.spray_hours_per_m2 // 1),
            -int(-color.mask_length_m * 0.5 // 1),
        )
        for color in graphic.colors
    ]
    best: int | None = None
    for first in range(7 * 24):
        limit = first + REACH
        sprays = {first} if trade.may_spray(first, int(lengths[0][1])) else set()
        ready: set[int] = set()
        for number, (mask, spray, unmask) in enumerate(lengths):
            if number:
                masked = {
                    trade.done(start, int(mask))
                    for start in range(min(ready, default=limit), limit)
                    if start in trade.open
                }
                sprays = {
                    start
                    for start in range(min(masked, default=limit), limit)
                    if trade.may_spray(start, int(spray))
                }
            ready = {
                trade.done(start, int(unmask))
                for begun in sprays
                for start in range(
                    begun + int(spray) + int(graphic.tack_min_hours),
                    begun + int(spray) + int(graphic.tack_max_hours) + 1,
                )
                if start in trade.open
            }
        coats = (
            start
            for start in range(min(ready, default=limit), limit)
            if (
                other.may_spray(start, coat_ticks)
                if coat.one_go
                else start in other.open
            )
        )
        begun = next(coats, None)
        if begun is not None and (best is None or begun - first < best):
            best = begun - first
    return best


@settings(deadline=None, max_examples=60)
@given(
    shop=trades("shop"),
    coat=trades("coat"),
    graphic=layouts(),
    one_go=st.booleans(),
    hours=st.integers(1, 6),
)
def test_shortest_window(
    shop: TradeCalendar, coat: TradeCalendar, graphic: Graphic, one_go: bool, hours: int
) -> None:
    """The shortest possible window is what a search through every start finds."""
    log = FaultLog()
    checks = FitChecks(YardScope(yard_of(shop, coat), "yard.toml", log, {}))
    model = boat_of(one_go, hours)
    before = next(one for one in model.operations if one.code == "hull.gel_coat")
    found = shortest_window(graphic, before, BoatScope(model, BOAT, log, {}), checks)
    slow = slow_window(graphic, model, checks)
    if slow is None:
        assert found >= REACH  # the slow search tries starts before it
    else:
        assert found == slow


def test_window_to_the_tick(tiny: TinyYard) -> None:
    """A layout that fits its window by one tick loads; one that misses does not."""
    tiny.replace(BOAT, "window_max_hours = 30", "window_max_hours = 4.25")
    assert tiny.faults() == ()
    tiny.replace(BOAT, "window_max_hours = 4.25", "window_max_hours = 4.24")
    fault = tiny.fault()
    assert fault.where == "graphics.sweep"
    assert fault.found.startswith("4.25 h at best")


def test_a_step_that_cannot_be_done_is_told_once(tiny: TinyYard) -> None:
    """A color that fits no shift is a fault of its step, not of the window too."""
    tiny.replace(BOAT, "spray_fixed_hours = 0.5", "spray_fixed_hours = 30")
    assert {fault.where for fault in tiny.faults()} == {
        "graphics.sweep.color1.spray",
        "graphics.sweep.color2.spray",
    }


def test_unknown_names_are_told_once(tiny: TinyYard) -> None:
    """A layout with an unknown skill is not tried on the calendars."""
    tiny.replace(BOAT, 'skill = "laminate"\ncrew = [1, 2]\nmask', 'skill = "x"\nmask')
    tiny.replace(BOAT, 'skill = "x"\n', 'skill = "x"\ncrew = [1, 2]\n')
    assert [fault.where for fault in tiny.faults()] == ["graphics.sweep.skill"]
