"""Tiny problems solved by trying everything: slow, obvious, and free of the model.

Times are bits of whole numbers over the reference axis. Starts and crews of one
operation after the other are tried; a branch ends where a rule is broken or where the
late days reach the value that must be beaten.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from itertools import combinations
from math import exp

from models.calendars import relieved, working_days
from models.spans import Span
from scheduler.problem import Operation, Part, Person, Problem, Wait
from tests.scheduler.services_by_trial import Serviced, serviced
from tests.scheduler.slots_by_trial import Slots, Stay, count_open, named, pack


class TooLarge(Exception):
    """There is too much to try."""


@dataclass(frozen=True)
class Placed:
    """One operation somewhere."""

    start: int
    finish: int
    crew: int
    worked: int  # bits


Wanted = tuple[str, bool]  # a skill, and whether in full


def standing(person: Person) -> set[Wanted]:
    """What a person can be asked for: a skill in full is the skill as well."""
    full = {(skill, whole) for skill in person.skills for whole in (False, True)}
    return full | {(skill, False) for skill in person.apprentice_in}


def bits(spans: tuple[Span, ...]) -> int:
    """Ticks of spans as bits."""
    return sum((1 << end) - (1 << start) for start, end in spans)


class Exhaustive:
    """A search for a plan with fewer weighted late days than a value.

    Work that is done stands; other facts are not known here.
    """

    def __init__(self, problem: Problem, value: int, most_nodes: int) -> None:
        self.problem = problem
        self.value = value
        self.most_nodes = most_nodes
        self.nodes = 0
        self.calendars = {one.id: one for one in problem.calendars}
        self.waits: dict[str, list[Wait]] = {}
        for wait in problem.waits:
            self.waits.setdefault(wait.after, []).append(wait)
        self.orders = {one.order: one for one in problem.orders}
        delivery = self.calendars[problem.delivery_calendar]
        self.days = working_days(delivery.open, problem.axis)
        self.given = {one.operation: one for one in problem.committed}
        self.options = {one.id: self._options(one) for one in problem.operations}
        self.relief = {one.id: self._relief(one) for one in problem.operations}
        self.learned = {skill for one in problem.people for skill in one.apprentice_in}
        self.present = [
            (standing(one), bits(one.available), self._relieved(one.available))
            for one in problem.people
        ]
        asked = {one.skill for one in problem.operations if one.skill}
        asked |= {one.service_skill for one in problem.molds if one.service_skill}
        skills = sorted(
            {(one, full) for one in asked for full in (False, one in self.learned)}
        )
        self.subsets = [
            set(chosen)
            for size in range(1, len(skills) + 1)
            for chosen in combinations(skills, size)
        ]

    def beaten(self) -> bool:
        """Whether there is a plan of less than the value."""
        return self._place(0, {})

    def tardiness(self, placed: dict[str, Placed]) -> int:
        """Weighted late days of the orders as far as they are placed."""
        last: dict[str, int] = {}
        for name, one in placed.items():
            order = name.split("/")[0]
            last[order] = max(last.get(order, 0), one.finish)
        return sum(
            self.orders[order].weight * self._late(order, finish)
            for order, finish in last.items()
        )

    def _late(self, order: str, finish: int) -> int:
        """Working days from the last one up to the due date to that of the finish."""
        text = self.orders[order].promised or self.orders[order].wanted
        if text is None:
            return 0
        due = date.fromisoformat(text)
        last = max(
            n for n, (day, _) in enumerate([(date.min, 0), *self.days]) if day <= due
        )
        done = next(n for n, (_, end) in enumerate(self.days) if end >= finish)
        return max(0, done - (last - 1))

    def _place(self, place: int, placed: dict[str, Placed]) -> bool:
        self.nodes += 1
        if self.nodes > self.most_nodes:
            raise TooLarge
        if place == len(self.problem.operations):
            return True
        operation = self.problem.operations[place]
        for option in self.options[operation.id]:  # earliest finish first
            placed[operation.id] = option
            if self.tardiness(placed) >= self.value:
                break
            if (
                self._waits_hold(operation.id, placed)
                and self._is_alone(operation, placed)
                and self._has_people(option, placed)
                and self._slots_suffice(placed)
                and self._has_slots(placed)
                and self._is_within_limits(placed)
                and self._is_set_up(operation, placed)
                and self._place(place + 1, placed)
            ):
                return True
        placed.pop(operation.id, None)
        return False

    def _slot(self, name: str, start: int) -> Span | None:
        """The slot in which a tick lies."""
        slots = self.calendars[name].open
        return next((one for one in slots if one[0] <= start < one[1]), None)

    def _slots_suffice(self, placed: dict[str, Placed]) -> bool:
        """Whether no slot has more starts than it may."""
        taken: dict[tuple[str, Span | None], int] = {}
        for one in self.problem.operations:
            if one.slots and one.id in placed:
                key = one.slots, self._slot(one.slots, placed[one.id].start)
                taken[key] = taken.get(key, 0) + 1
        return all(
            count <= (self.calendars[name].starts_per_slot or count)
            for (name, _), count in taken.items()
        )

    def _options(self, operation: Operation) -> list[Placed]:
        given = self.given.get(operation.id)
        if given is not None:  # done: it stands, and nobody is on it any more
            return [Placed(given.start or 0, given.finish or 0, 0, 0)]
        calendar = self.calendars[operation.calendar]
        spans = calendar.open
        if operation.one_go and calendar.breaks_relieved:
            spans = relieved(calendar.open, calendar.breaks)
        ticks = [tick for start, end in spans for tick in range(start, end)]
        out = []
        for crew in range(operation.crew_min, operation.crew_max + 1):
            labor = operation.labor_hours * 60 - 1e-6
            tick = self.problem.axis.tick_minutes
            length = int(-(-labor // (max(crew, 1) * tick)))
            if operation.duration_minutes is not None:
                length = -(-operation.duration_minutes // tick)
            for first in range(len(ticks) - length + 1):
                own = ticks[first : first + length]
                if operation.one_go and own[-1] - own[0] != length - 1:
                    continue
                if own[0] < operation.earliest:
                    continue
                if operation.slots and not self._slot(operation.slots, own[0]):
                    continue
                worked = sum(1 << tick for tick in own)
                out.append(Placed(own[0], own[-1] + 1, crew, worked))
        return sorted(out, key=lambda one: one.finish)

    def _relief(self, operation: Operation) -> int:
        """Breaks through which an operation goes on."""
        calendar = self.calendars[operation.calendar]
        goes_on = operation.one_go and calendar.breaks_relieved
        return bits(calendar.breaks) if goes_on else 0

    def _relieved(self, available: tuple[Span, ...]) -> int:
        """When a person is at work, relieved breaks inside a shift included."""
        own = bits(available)
        for calendar in self.calendars.values():
            for start, end in calendar.breaks if calendar.breaks_relieved else ():
                if own >> (start - 1) & 1 and own >> end & 1:
                    own |= (1 << end) - (1 << start)
        return own

    def _waits_hold(self, name: str, placed: dict[str, Placed]) -> bool:
        tick = self.problem.axis.tick_minutes
        for wait in self.waits.get(name, ()):
            before, after = placed[wait.before], placed[wait.after]
            begin = before.finish if wait.before_of == "end" else before.start
            until = after.finish if wait.after_of == "end" else after.start
            if until < begin:
                return False
            passed = until - begin
            if wait.clock == "work":
                calendar = self.calendars[wait.calendar or ""]
                passed = count_open(calendar, begin, until)
            if passed * tick < wait.min_minutes:
                return False
            if not self._is_cured(wait, begin, until):
                return False
            most = wait.kept_maximum_minutes
            if most is not None and passed * tick > most:
                return False
        return True

    def _is_cured(self, wait: Wait, begin: int, until: int) -> bool:
        """Arrhenius, tick by tick; never more than a minute's cure in a minute."""
        if wait.activation_kj_per_mol is None or wait.reference_celsius is None:
            return True
        minutes = 0.0
        for tick in range(begin, until):
            day = self.problem.axis.local(tick).date().isoformat()
            at = [one.celsius for one in self.problem.temperature if one.date <= day]
            scale = wait.activation_kj_per_mol / 8.314462618e-3
            warmer = 1 / (wait.reference_celsius + 273.15) - 1 / (at[-1] + 273.15)
            minutes += self.problem.axis.tick_minutes * min(1.0, exp(scale * warmer))
        return minutes * (1 + 1e-5) >= (wait.data_sheet_min_minutes or 0)

    def _is_alone(self, operation: Operation, placed: dict[str, Placed]) -> bool:
        own = placed[operation.id]
        for other in self.problem.operations:
            if other.id == operation.id or other.id not in placed:
                continue
            alone = operation.exclusive_part or other.exclusive_part
            same = other.order == operation.order
            if alone and same and set(other.parts) & set(operation.parts):
                there = placed[other.id]
                if max(own.start, there.start) < min(own.finish, there.finish):
                    return False
        return True

    def _has_people(self, option: Placed, placed: dict[str, Placed]) -> bool:
        """Whether there are people enough at every tick of an operation."""
        return all(
            self._suffice(tick, placed, [])
            for tick in range(option.start, option.finish)
            if option.worked >> tick & 1
        )

    def _suffice(
        self, tick: int, placed: dict[str, Placed], at: list[Serviced]
    ) -> bool:
        """Hall's condition for every set of skills at a tick, services included.

        People on a break count only where a one-go operation is relieved in it.
        """
        known = {one.id: one for one in self.problem.operations}
        crews = [
            (known[name].skill or "", known[name].leads_min, one.crew)
            for name, one in placed.items()
            if one.worked >> tick & 1
        ]
        crews += [(skill, 0, crew) for skill, crew, work in at if work >> tick & 1]
        wanted: dict[Wanted, int] = {}
        for skill, leads_min, crew in crews:
            leads = max(1, leads_min) if skill in self.learned else 0
            for whole, count in ((True, leads), (False, crew - leads)):
                wanted[skill, whole] = wanted.get((skill, whole), 0) + count
        relief = any(
            one.worked >> tick & self.relief[name] >> tick & 1
            for name, one in placed.items()
        )
        for subset in self.subsets:
            demand = sum(wanted.get(skill, 0) for skill in subset)
            supply = sum(
                bool(own & subset) and bool((other if relief else there) >> tick & 1)
                for own, there, other in self.present
            )
            if demand > supply:
                return False
        return True

    def _has_slots(self, placed: dict[str, Placed]) -> bool:
        stays: list[Stay] = []
        for part in self.problem.parts:
            stays += self._stays(part, placed)
        room = {one.id: 1 for one in self.problem.molds}
        room |= {one.id: one.capacity for one in self.problem.places}
        slots: Slots = {
            (name, n): [] for name, many in room.items() for n in range(many)
        }

        def is_free(work: int, at: list[Serviced]) -> bool:
            ticks = range(work.bit_length())
            return all(
                self._suffice(tick, placed, at) for tick in ticks if work >> tick & 1
            )

        return pack(stays, slots, lambda taken: serviced(self.problem, taken, is_free))

    def _is_within_limits(self, placed: dict[str, Placed]) -> bool:
        """Whether at no tick too many boats are between the ends of a limit."""
        for limit in self.problem.limits:
            inside = []
            for order in self.orders:
                first = placed.get(f"{order}/{limit.from_operation_code}")
                last = placed.get(f"{order}/{limit.to_operation_code}")
                if first is not None and last is not None:
                    inside.append((first.start, last.finish))
            for tick, _ in inside:
                if sum(a <= tick < b for a, b in inside) > limit.max:
                    return False
        return True

    def _is_set_up(self, operation: Operation, placed: dict[str, Placed]) -> bool:
        """Whether an operation is apart from all others in the booth, set-ups too."""
        family, tick = operation.setup_family, self.problem.axis.tick_minutes
        if family is None:
            return True
        station = next(
            one for one in self.problem.stations if one.id == operation.station
        )
        minutes = {(one.before, one.after): one.minutes for one in station.setups}
        own = placed[operation.id]
        first = minutes.get((station.last_family or "", family), 0)
        if (own.start - self.problem.now) * tick < first:
            return False
        for other in self.problem.operations:
            color = other.setup_family
            there = placed.get(other.id)
            if other is operation or color is None or there is None:
                continue
            after = minutes.get((color, family), 0) <= (own.start - there.finish) * tick
            ahead = minutes.get((family, color), 0) <= (there.start - own.finish) * tick
            if not (after or ahead):
                return False
        return True

    def _stays(self, part: Part, placed: dict[str, Placed]) -> list[Stay]:
        order = self.orders[part.order]
        model = order.model
        out: list[Stay] = []
        if part.mold_from in placed and part.mold_to in placed:
            span = placed[part.mold_from].start, placed[part.mold_to].finish
            fitting = [
                one.id
                for one in self.problem.molds
                if one.part == part.part and model in one.models
            ]
            fitting = named(self.given.get(part.mold_from), "mold") or fitting
            out.append((span, fitting, order.kind != "other"))
        if part.place_from in placed and part.place_to in placed:
            last = placed[part.place_to]
            until = last.finish if part.place_to_of == "end" else last.start
            fitting = [
                one.id
                for one in self.problem.places
                if one.kind == part.place_kind
                and (not one.models or model in one.models)
            ]
            fitting = named(self.given.get(part.place_from), "place") or fitting
            out.append(((placed[part.place_from].start, until), fitting, False))
        return out
