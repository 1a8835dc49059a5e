"""Routings drawn at random: what a model's parts go through, as templates.

Ids are codes without an order; `tests.scheduler.random_problems` puts the order before.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from random import Random

from scheduler.problem import Operation, Part, Station, Wait
from tests.scheduler.random_yards import FLOOR_SKILLS, MOLD_SKILLS, RandomYard


@dataclass
class Routing:
    """Operations in a topological order, waits and parts of one model."""

    operations: list[Operation] = field(default_factory=list)
    waits: list[Wait] = field(default_factory=list)
    parts: list[Part] = field(default_factory=list)


def draw_routing(
    random: Random, steps: int, yard: RandomYard, stations: tuple[Station, ...]
) -> Routing:
    """Draw a hull, perhaps a deck and upholstery beside it, and work on the whole."""
    routing = Routing()
    pen = _Pen(random, yard, stations, routing)
    deck = steps // 3 if steps >= 5 and random.random() < 0.6 else 0
    side = 1 if steps >= 6 and random.random() < 0.4 else 0
    final = max(1, (steps - deck - side) // 3)
    hull = max(1, steps - deck - side - final)
    last = [pen.stream("hull", hull, "bay")]
    if deck:
        last.append(pen.stream("deck", deck, "stand"))
    if side:
        last.append(pen.operation("cushions", ("cushions",), FLOOR_SKILLS))
    for number in range(final):
        touched = ("hull", "deck") if deck and number == 0 else ("hull",)
        code = pen.operation(f"final.{number + 1}", touched, FLOOR_SKILLS)
        for before in last:
            pen.link(before, code)
        last = [code]
    pen.finish_parts()
    return routing


@dataclass
class _Pen:
    random: Random
    yard: RandomYard
    stations: tuple[Station, ...]
    routing: Routing

    def stream(self, part: str, steps: int, place_kind: str) -> str:
        """A part from its mold to its place; returns its last operation."""
        codes: list[str] = []
        leaves = self.random.randint((steps + 1) // 2, steps) - 1
        for number in range(steps):
            in_mold = number <= leaves
            skills = MOLD_SKILLS if in_mold else FLOOR_SKILLS
            code = self.operation(f"{part}.{number + 1}", (part,), skills)
            if codes:
                self.link(codes[-1], code)
            codes.append(code)
        if steps >= 3 and self.random.random() < 0.3:
            self.window(codes[0], codes[2])
        self.let_leave_after(codes[0], codes[leaves], "end")
        placed = self.random.random() < 0.85
        self.routing.parts.append(
            Part(
                order="",
                part=part,
                mold_from=codes[0],
                mold_to=codes[leaves],
                place_kind=place_kind if placed else None,
                place_from=codes[leaves] if placed else None,
                place_to=codes[-1] if placed else None,
                place_to_of="end",
            )
        )
        return codes[-1]

    def finish_parts(self) -> None:
        """Keep each part in its place into the work on the whole boat."""
        final = [one.code for one in self.routing.operations if one.code[0] == "f"]
        for index, part in enumerate(self.routing.parts):
            if part.place_kind is None:
                continue
            side = self.random.choice(("start", "end"))
            target = self.random.choice(final) if part.part == "hull" else final[0]
            self.let_leave_after(part.place_from or "", target, side)
            self.routing.parts[index] = Part(
                order="",
                part=part.part,
                mold_from=part.mold_from,
                mold_to=part.mold_to,
                place_kind=part.place_kind,
                place_from=part.place_from,
                place_to=target,
                place_to_of=side,
            )

    def let_leave_after(self, first: str, last: str, of: str) -> None:
        """Let a part leave at one operation's start or end, not before it has come."""
        seen = {(first, "start")}
        for one in self.routing.operations:  # waits lead forward in this list
            if (one.code, "start") in seen:
                seen.add((one.code, "end"))
            for wait in self.routing.waits:
                if wait.before == one.code and (one.code, wait.before_of) in seen:
                    seen.add((wait.after, wait.after_of))
        if (last, of) not in seen:
            self.wait("sequence", first, last, 0)

    def operation(
        self, code: str, parts: tuple[str, ...], skills: tuple[str, ...]
    ) -> str:
        """Add an operation; returns its code."""
        random, yard = self.random, self.yard
        skill: str | None = random.choice(skills)
        calendar = yard.calendar_of[skill or ""]
        one_go = random.random() < (0.5 if skills is MOLD_SKILLS else 0.2)
        duration = None
        crew_min = crew_max = 0
        hours = 0.0
        if yard.plain or random.random() < 0.9:
            crew_min = random.randint(1, min(2, yard.crew_of[skill or ""]))
            crew_max = random.randint(crew_min, min(4, yard.crew_of[skill or ""]))
            span = yard.run_of[calendar]
            most = min(span, 40) if one_go else min(span * 2, 60)
            ticks = random.randint(1, min(3, most) if yard.plain else most) * crew_max
            spare = random.choice((0.0, 0.0, 0.4))
            hours = (ticks - spare) * yard.axis.tick_minutes / 60
        else:
            skill, one_go = None, False
            calendar = yard.oven or calendar
            duration = random.choice((0, 3, 12)) * yard.axis.tick_minutes
        self.routing.operations.append(
            Operation(
                id=code,
                order="",
                parts=parts,
                code=code,
                station="floor",
                calendar=calendar,
                skill=skill,
                crew_min=crew_min,
                crew_max=crew_max,
                labor_hours=hours,
                remaining_hours=None,
                duration_minutes=duration,
                one_go=one_go,
                exclusive_part=random.random() < 0.3,
                demands=tuple(
                    (one.id, random.randint(1, one.capacity))
                    for one in self.stations
                    if one.capacity and random.random() < 0.2
                ),
                earliest=0,
            )
        )
        return code

    def link(self, before: str, after: str) -> None:
        """Let one operation follow another, now and then overlapping it."""
        kind = self.random.choices(
            ("sequence", "cure", "bond", "start", "end", "work"), (8, 4, 3, 1, 1, 1)
        )[0]
        tick = self.yard.axis.tick_minutes
        day = 24 * 60
        if self.yard.plain and kind in ("start", "end"):
            kind = "sequence"
        if kind == "sequence":
            self.wait(kind, before, after, 0)
        elif kind == "cure":
            self.wait(kind, before, after, self.random.randint(1, 60) * 60)
        elif kind == "bond":
            least = self.random.randint(0, 4) * 60
            most = day + self.random.randint(0, 3 * 24) * 60
            self.wait(kind, before, after, least, most=most)
        elif kind == "work":
            name = self._operation(after).calendar
            least = self.random.randint(0, 20) * tick
            self.wait("transport", before, after, least, calendar=name)
        else:
            self.wait("sequence", before, after, self.random.randint(0, 8) * tick, kind)

    def window(self, before: str, after: str) -> None:
        """Bound the time from one start to a later one."""
        days = self.random.randint(8, 20)
        self.wait("bond", before, after, 0, "start", most=days * 24 * 60)

    def wait(
        self,
        kind: str,
        before: str,
        after: str,
        least: int,
        between: str = "",
        *,
        most: int | None = None,
        calendar: str | None = None,
    ) -> None:
        """Add a wait; `between` is start or end for one between two of a kind."""
        self.routing.waits.append(
            Wait(
                id=f"{before}>{after}{between}",
                kind=kind,
                before=before,
                after=after,
                before_of=between or "end",
                after_of=between or "start",
                min_minutes=least,
                data_sheet_min_minutes=None,
                max_minutes=most,
                clock="wall" if calendar is None else "work",
                calendar=calendar,
            )
        )

    def _operation(self, code: str) -> Operation:
        return next(one for one in self.routing.operations if one.code == code)
