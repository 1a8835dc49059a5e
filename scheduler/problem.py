"""The problem block of a plan file, as frozen data.

Instants are ticks of the reference axis (`models.axis`), durations are minutes, as in
the file; `scheduler.plan_file` writes instants as ISO 8601 with offset. Every rule
that a plan must keep is in here, so that a checker needs nothing else.
"""

from __future__ import annotations

from dataclasses import dataclass

from models.axis import Axis

Span = tuple[int, int]  # [from, to) in ticks


@dataclass(frozen=True, slots=True)
class Calendar:
    """Regular open time of a trade, breaks taken out, and the breaks themselves."""

    id: str
    open: tuple[Span, ...]
    breaks: tuple[Span, ...]
    breaks_relieved: bool
    starts_per_slot: int | None = None  # most operations that start in one open span


@dataclass(frozen=True, slots=True)
class OvertimeWindow:
    """Time outside the regular time of a calendar that a plan may open.

    Where it is open, work with a crew on `calendar` goes on in it, by `people` (of this
    calendar, not on leave). Waits, services, slots, work without people and working
    days count regular time alone. `price_per_hour` is that of one person.
    `standing` says what there is no choice about: opened, as a committed plan or a pin
    has work in it, or closed, as work pauses over it or nobody wants it.
    """

    id: str
    calendar: str
    window: Span
    price_per_hour: float
    people: tuple[str, ...]
    standing: str | None = None  # opened | closed


@dataclass(frozen=True, slots=True)
class OvertimeLimit:
    """Most hours that one person works in windows on a local day and in a week."""

    person: str
    hours_per_day: float
    hours_per_week: float


@dataclass(frozen=True, slots=True)
class Person:
    """One person and when they are at work, breaks and leave taken out.

    An apprentice counts in a crew of the skills in `apprentice_in`, beside people who
    have the skill in full (`Operation.leads_min`). `lead_for` says who those are: the
    `skills` of a person in which somebody is an apprentice, and no others.
    """

    id: str
    skills: tuple[str, ...]
    available: tuple[Span, ...]
    lead_for: tuple[str, ...] = ()
    apprentice_in: tuple[str, ...] = ()

    @property
    def counts_for(self) -> tuple[str, ...]:
        """The skills in whose crews this person counts, as an apprentice or in full."""
        return (*self.skills, *self.apprentice_in)


@dataclass(frozen=True, slots=True)
class Mold:
    """One mold; `models` are those whose `part` it makes.

    After `service_every` pulls, `pulls` of them before now, it is out of use for
    `service_hours` open hours of `service_calendar` (`scheduler.servicing`). Where
    they are given, `service_crew` people with `service_skill` work on it meanwhile.
    """

    id: str
    part: str
    models: tuple[str, ...]
    unavailable: tuple[Span, ...] = ()
    pulls: int = 0
    service_every: int | None = None
    service_hours: float | None = None
    service_calendar: str | None = None
    service_skill: str | None = None
    service_crew: int | None = None


@dataclass(frozen=True, slots=True)
class Place:
    """A bay, stand or rack; `models` empty means any model."""

    id: str
    kind: str
    models: tuple[str, ...]
    capacity: int
    unavailable: tuple[Span, ...] = ()


@dataclass(frozen=True, slots=True)
class Setup:
    """Minutes on the wall clock from work in one family to work in another."""

    before: str
    after: str
    minutes: int


@dataclass(frozen=True, slots=True)
class Station:
    """A station; `capacity` None means that only people limit it.

    Between the end of an operation with a `setup_family` and the start of the next
    with another, at least the minutes of `setups` pass (none where the pair is not
    listed), whatever else is done there meanwhile. They keep the triangle inequality.
    `last_family` is the one that it is set up for now.
    """

    id: str
    capacity: int | None
    setups: tuple[Setup, ...] = ()
    last_family: str | None = None


@dataclass(frozen=True, slots=True)
class Temperature:
    """Degrees Celsius in the shop from the start of a local ISO date on."""

    date: str
    celsius: float


@dataclass(frozen=True, slots=True)
class Limit:
    """At most `max` orders from the start of one operation to the end of another.

    Orders that have not both operations are not counted.
    """

    id: str
    from_operation_code: str
    to_operation_code: str
    max: int


@dataclass(frozen=True, slots=True)
class Order:
    """One boat; `promised` and `wanted` are local ISO dates, `weight` the effective."""

    order: str
    kind: str  # boat | reservation | other
    model: str
    release: int
    promised: str | None
    wanted: str | None
    weight: int
    reserved_until: str | None = None


@dataclass(frozen=True, slots=True)
class Part:
    """What one part of one order occupies, between which operations."""

    order: str
    part: str
    mold_from: str | None
    mold_to: str | None
    place_kind: str | None
    place_from: str | None
    place_to: str | None
    place_to_of: str  # start | end


@dataclass(frozen=True, slots=True)
class Operation:
    """One operation of one order; `id` is "ORDER/code".

    Elapsed ticks with a crew of c are ceil(hours x 60 / (c x tick)), where hours is
    `remaining_hours` if started and else `labor_hours`; without a crew they are
    ceil(`duration_minutes` / tick) on the operation's calendar, zero allowed. Work done
    outside is of that kind, on a calendar of ends of days (`models.outside`).
    `demands` lists every station with a capacity that it takes, its own included,
    from its start to its finish. At every worked tick at least `leads_min` of its crew
    have the skill in full, and at least one if the others are apprentices.
    """

    id: str
    order: str
    parts: tuple[str, ...]
    code: str
    station: str
    calendar: str
    skill: str | None
    crew_min: int
    crew_max: int
    labor_hours: float
    remaining_hours: float | None
    duration_minutes: int | None
    one_go: bool
    exclusive_part: bool
    demands: tuple[tuple[str, int], ...]
    earliest: int
    leads_min: int = 0
    setup_family: str | None = None
    slots: str | None = None
    only_if: str | None = None


@dataclass(frozen=True, slots=True)
class Wait:
    """Time that must (minimum) or may (maximum) pass between two operations.

    Wall-clock minutes, rounded up to ticks for the minimum and down for the maximum.
    On the work clock, the open ticks of `calendar` between the two instants count. A
    cure with `activation_kj_per_mol` also lasts until the minutes that its temperature
    makes of it (`models.cures`) come to `data_sheet_min_minutes`. `reprep` is the
    operation that has been put in because facts broke the maximum, which then does not
    count; that operation names the wait in `only_if`.
    """

    id: str
    kind: str  # cure | tack | bond | sequence | transport
    before: str
    after: str
    before_of: str  # start | end
    after_of: str  # start | end
    min_minutes: int
    data_sheet_min_minutes: int | None
    max_minutes: int | None
    clock: str  # wall | work
    calendar: str | None = None
    activation_kj_per_mol: float | None = None
    reference_celsius: float | None = None
    reprep: str | None = None

    @property
    def kept_maximum_minutes(self) -> int | None:
        """The maximum to be kept; None if there is none, or a re-preparation is."""
        return None if self.reprep is not None else self.max_minutes


@dataclass(frozen=True, slots=True)
class Stint:
    """One person on one operation from one break, stop or end to another."""

    person: str
    start: int
    finish: int


@dataclass(frozen=True, slots=True)
class Service:
    """A mold out of use for its service; `people` work on it, if it needs a crew."""

    mold: str
    start: int
    finish: int
    people: tuple[Stint, ...] = ()


@dataclass(frozen=True, slots=True)
class Committed:
    """What a plan must take as given.

    done: `start` and `finish` are facts. started: `start` is a fact, the remaining
    hours follow from `earliest` on. frozen: start, finish, mold, place, crew and
    `stints` are those of a committed plan (`people` lists each person of the stints
    once). locked: whatever is given was pinned by the planner; people named there
    stay from start to finish.
    """

    operation: str
    start: int | None
    finish: int | None
    mold: str | None
    place: str | None
    people: tuple[str, ...]
    why: str  # done | started | frozen | locked
    crew: int | None = None
    stints: tuple[Stint, ...] = ()


@dataclass(frozen=True, slots=True)
class Published:
    """Where a published plan had an operation; level 3 counts changes from it."""

    operation: str
    start: int
    people: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Objective:
    """Levels in order, what each may be exceeded by, and the rates of level 4."""

    levels: tuple[str, ...]
    tolerances: tuple[int, ...]
    mold_day_rate: int
    place_day_rate: int
    flow_day_rate: int


@dataclass(frozen=True)
class Problem:
    """Everything a plan must respect and is measured by.

    `services` are those of a committed plan that stand, where people do them.
    """

    axis: Axis
    now: int  # first tick that may still be planned
    week_start: int  # ISO weekday, 1 for Monday
    delivery_calendar: str
    frozen_until: int
    buffer_days: int
    calendars: tuple[Calendar, ...]
    people: tuple[Person, ...]
    molds: tuple[Mold, ...]
    places: tuple[Place, ...]
    stations: tuple[Station, ...]
    orders: tuple[Order, ...]
    parts: tuple[Part, ...]
    operations: tuple[Operation, ...]
    waits: tuple[Wait, ...]
    objective: Objective
    committed: tuple[Committed, ...] = ()
    published: tuple[Published, ...] = ()
    overtime: tuple[OvertimeWindow, ...] = ()
    overtime_limits: tuple[OvertimeLimit, ...] = ()
    temperature: tuple[Temperature, ...] = ()
    limits: tuple[Limit, ...] = ()
    services: tuple[Service, ...] = ()
