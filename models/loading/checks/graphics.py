"""Check that a layout's colors fit between their tack waits inside the bond window.

The chain is mask, spray (one go), tack wait, unmask for each color, each at its
largest crew, begun at any open tick of a four-week axis. A later color's spray is put
where its unmasking then ends soonest, so a layout is refused only if no plan at all
could hold its windows on its own calendars.
"""

from __future__ import annotations

from bisect import bisect_left

from models.boat import Graphic, RoutingOperation
from models.calendars import expand
from models.loading.checks.boat import MOST_HOURS
from models.loading.checks.fit import FitChecks, calendar_of
from models.loading.checks.scope import BoatScope
from models.routing import color_chain

_NEVER = 10**9  # ticks


class Timeline:
    """When a step that begins at some tick is done, on one calendar."""

    def __init__(self, checks: FitChecks, calendar: str) -> None:
        axis = checks.crews.axis
        self.ticks = axis.ticks
        opened, _ = expand(checks.calendars[calendar], axis)
        self.open = [tick for start, end in opened for tick in range(start, end)]
        self.run_end = [0] * axis.ticks  # of the stretch that holds a tick
        for start, end in checks.crews.runs(calendar, True):
            self.run_end[start:end] = [end] * (end - start)

    def one_go_fits(self, start: int, length: int) -> bool:
        """Whether a one-go step may begin at a tick."""
        return start < self.ticks and start + length <= self.run_end[start]

    def pausable_end(self, earliest: int, length: int) -> int:
        """End of a pausable step begun as early as possible."""
        last = bisect_left(self.open, earliest) + length - 1
        return self.open[last] + 1 if last < len(self.open) else _NEVER

    def first_open(self, earliest: int) -> int:
        """First open tick from one on."""
        index = bisect_left(self.open, earliest)
        return self.open[index] if index < len(self.open) else _NEVER

    def first_starts(self, length: int, one_go: bool) -> list[int]:
        """For each tick, the first from it on at which a step may begin."""
        if not one_go:
            return [self.first_open(tick) for tick in range(self.ticks)]
        fits = (self.one_go_fits(tick, length) for tick in range(self.ticks))
        return _earliest_from([t if fit else _NEVER for t, fit in enumerate(fits)])


def check_graphics(boat: BoatScope, checks: FitChecks) -> None:
    """Check each layout of a model."""
    tables = ("calendars", "skills", "people", "allowances")
    if not checks.scope.whole(*tables) or not boat.whole("operations"):
        return
    for graphic in boat.model.graphics:
        before = {one.code: one for one in boat.model.operations}.get(graphic.before)
        if before is None or not _each_fits(graphic, before, boat, checks):
            continue
        need = shortest_window(graphic, before, boat, checks)
        tick = checks.scope.yard.tick_minutes
        if need <= round(graphic.window_max_hours * 60) // tick:
            continue
        first = f"first spray to the start of '{graphic.before}'"
        found = (
            f"no way through its {len(graphic.colors)} colors and tack waits"
            if need >= _NEVER
            else f"{need * tick / 60:g} h at best from the {first}"
        )
        expected = (
            f"a layout whose chain fits its windows ({graphic.window_max_hours:g} h "
            f"from the {first}, tack {graphic.tack_min_hours:g} to "
            f"{graphic.tack_max_hours:g} h)"
        )
        boat.fault(f"graphics.{graphic.id}", found, expected)


def _each_fits(
    graphic: Graphic, before: RoutingOperation, boat: BoatScope, checks: FitChecks
) -> bool:
    """Whether each step could be done by itself; if not, that is a fault already."""
    chain = color_chain(graphic)
    quantities = boat.model.quantities | chain.quantities
    return all(
        checks.usable(step)
        and checks.hours(step, quantities) <= MOST_HOURS
        and checks.fault(step, quantities) is None
        for step in (*chain.steps, before)
    )


def shortest_window(
    graphic: Graphic, before: RoutingOperation, boat: BoatScope, checks: FitChecks
) -> int:
    """Fewest ticks from the start of the first spray to the start of `before`."""
    chain = color_chain(graphic)
    lengths = [checks.ticks(step, chain.quantities) for step in chain.steps]
    shop = Timeline(checks, calendar_of(chain.steps[0], checks.scope.yard))
    after = Timeline(checks, calendar_of(before, checks.scope.yard))
    after_length = checks.ticks(before, boat.model.quantities)
    after_starts = after.first_starts(after_length, before.one_go)
    ready = [
        _unmasked(shop, graphic, checks, lengths[i + 1], lengths[i + 2])
        for i in range(0, len(lengths), 3)
    ]
    soonest = [_earliest_from(ends) for ends in ready]
    best = _NEVER
    for spray, unmasked in enumerate(ready[0]):
        at = unmasked
        for color in range(1, len(ready)):
            masked = shop.pausable_end(at, lengths[3 * color])
            at = soonest[color][masked] if masked < shop.ticks else _NEVER
        begun = after_starts[at] if at < after.ticks else _NEVER
        best = min(best, begun - spray if begun < _NEVER else _NEVER)
    return best


def _unmasked(
    shop: Timeline, graphic: Graphic, checks: FitChecks, spray: int, unmask: int
) -> list[int]:
    """For each start of the spray, the end of its unmasking, or never."""
    tick = checks.scope.yard.tick_minutes
    least = -(-round(graphic.tack_min_hours * 60) // tick)
    most = round(graphic.tack_max_hours * 60) // tick
    ends = [_NEVER] * shop.ticks
    for start in range(shop.ticks):
        if not shop.one_go_fits(start, spray):
            continue
        begun = shop.first_open(start + spray + least)
        if begun <= start + spray + most:
            ends[start] = shop.pausable_end(begun, unmask)
    return ends


def _earliest_from(ends: list[int]) -> list[int]:
    """For each tick, the least value from it on."""
    least = list(ends)
    for tick in range(len(ends) - 2, -1, -1):
        least[tick] = min(least[tick], least[tick + 1])
    return least
