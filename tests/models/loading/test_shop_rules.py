"""Rules of the shop in the files: what is read, and what is refused."""

from __future__ import annotations

from datetime import date, time

import pytest

from models.cures import DatedTemperature, ShopTemperature
from models.loading import load_book
from models.routing import color_chain
from models.yard import PartTime, Setup, WorkLimit
from tests.models.loading.conftest import TinyYard

BOAT = "boats/skiff-16.toml"
CURE = "min_hours = 48, data_sheet_min_hours = 48"
ARRHENIUS = "activation_kj_per_mol = 50, reference_celsius = 20"
MONTHS = "celsius_by_month = [14, 14, 15, 17, 19, 21, 23, 23, 21, 18, 16, 14]"


def warm(tiny: TinyYard, more: str = "") -> None:
    """Give the yard a temperature."""
    tiny.replace("yard.toml", "[objective]", f"[temperature]\n{MONTHS}\n[objective]")
    if more:
        tiny.replace("yard.toml", MONTHS, f"{MONTHS}\n{more}")


def test_a_cure_that_a_cold_shop_lengthens(tiny: TinyYard) -> None:
    """Temperature by month and date, and the figures of the cure, are read."""
    cold = "dates = [{ first = 2027-03-08, last = 2027-03-09, celsius = 9.5 }]"
    warm(tiny, cold)
    tiny.replace(BOAT, CURE, f"{CURE}, {ARRHENIUS}")
    book = load_book(tiny.folder)
    assert book.yard.temperature == ShopTemperature(
        (14, 14, 15, 17, 19, 21, 23, 23, 21, 18, 16, 14),
        (DatedTemperature(date(2027, 3, 8), date(2027, 3, 9), 9.5),),
    )
    wait = book.models["skiff-16"].waits[2]
    assert (wait.activation_kj_per_mol, wait.reference_celsius) == (50, 20)


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        (CURE, f"{CURE}, reference_celsius = 0", "and reference_celsius together"),
        (CURE, f"min_hours = 48, {ARRHENIUS}", "data_sheet_min_hours, the minimum"),
        (CURE, f"{CURE}, max_hours = 96, {ARRHENIUS}", "no max_hours on a cure"),
        ("max_hours = 96", f"max_hours = 96, {ARRHENIUS}", "it on a cure only"),
        (CURE, f"{CURE}, {ARRHENIUS.replace('50', '0')}", "more than 0"),
        (CURE, f"{CURE}, {ARRHENIUS.replace('50', '300')}", "a warmer shop"),
    ],
)
def test_a_cure_that_cannot_be_meant(
    tiny: TinyYard, old: str, new: str, expected: str
) -> None:
    """Figures that do not go together are one fault, on the wait."""
    warm(tiny, "dates = [{ first = 2027-03-08, last = 2027-03-08, celsius = -25 }]")
    tiny.replace(BOAT, old, new)
    fault = tiny.fault()
    assert (fault.file, fault.where.split(".")[0]) == (BOAT, "waits")
    assert expected in fault.expected


@pytest.mark.parametrize(
    ("dates", "expected"),
    [
        ("{ first = 2027-03-09, last = 2027-03-08, celsius = 9 }", "not after the"),
        (
            "{ first = 2027-03-08, last = 2027-03-09, celsius = 9 }, "
            "{ first = 2027-03-09, last = 2027-03-11, celsius = 8 }",
            "days that do not overlap",
        ),
        ("{ first = 2027-03-08, last = 2027-03-09, celsius = 200 }", "at most 120"),
    ],
)
def test_days_that_cannot_be_meant(tiny: TinyYard, dates: str, expected: str) -> None:
    """Dated temperatures lie in order, apart, and are those of a shop."""
    warm(tiny, f"dates = [{dates}]")
    fault = tiny.fault()
    assert fault.where.startswith("temperature.dates")
    assert expected in fault.expected


SERVICE = "service_every = 40, service_hours = 16"


def test_a_mold_that_is_serviced(tiny: TinyYard) -> None:
    """Interval, hours and calendar are read; the calendar may be left out."""
    tiny.replace(
        "yard.toml", 'models = ["skiff-16"]', f'models = ["skiff-16"], {SERVICE}'
    )
    mold = load_book(tiny.folder).yard.molds[0]
    assert (mold.service_every, mold.service_hours) == (40, 16)
    assert mold.service_calendar is None
    tiny.replace("yard.toml", SERVICE, f'{SERVICE}, service_calendar = "late"')
    assert load_book(tiny.folder).yard.molds[0].service_calendar == "late"


def test_a_mold_that_people_service(tiny: TinyYard) -> None:
    """Skill and crew are read; one person is on it where no crew is given."""
    old, people = 'models = ["skiff-16"]', 'service_skill = "laminate"'
    tiny.replace("yard.toml", old, f"{old}, {SERVICE}, {people}")
    mold = load_book(tiny.folder).yard.molds[0]
    assert (mold.service_skill, mold.service_crew) == ("laminate", 1)
    tiny.replace("yard.toml", people, f"{people}, service_crew = 2")
    assert load_book(tiny.folder).yard.molds[0].service_crew == 2


@pytest.mark.parametrize(
    ("service", "expected"),
    [
        ("service_every = 40", "service_every and service_hours together"),
        ("service_hours = 16", "service_every and service_hours together"),
        ('service_calendar = "shop"', "service_every and service_hours"),
        (f"pulls = 41, {SERVICE}", "pulls since its last service, at most 40"),
        (f'{SERVICE}, service_calendar = "shp"', "did you mean 'shop'"),
        ("service_every = 0, service_hours = 16", "at least 1"),
        ("service_every = 40, service_hours = 0", "more than 0"),
        (f"{SERVICE}, service_crew = 2", "service_skill as well"),
        (f'{SERVICE}, service_skill = "laminat"', "did you mean 'laminate'?"),
        (f'{SERVICE}, service_skill = "laminate", service_crew = 9', "at most 3"),
        ('service_skill = "laminate"', "service_every and service_hours"),
    ],
)
def test_a_service_that_cannot_be_meant(
    tiny: TinyYard, service: str, expected: str
) -> None:
    """An interval that cannot be kept, or half of one, is one fault on the mold."""
    old = 'models = ["skiff-16"]'
    tiny.replace("yard.toml", old, f"{old}, {service}")
    fault = tiny.fault()
    assert fault.where.startswith("molds.H16-1")
    assert expected in fault.expected


LIMIT = 'id = "hulls", from_operation = "hull.gel_coat", to_operation = "hull.demold"'


def limit(tiny: TinyYard, text: str) -> None:
    """Give the yard a limit on work in process."""
    tiny.replace(
        "yard.toml", "calendars = [", f"limits = [{{ {text} }}]\ncalendars = ["
    )


def test_a_limit_on_work_in_process(tiny: TinyYard) -> None:
    """A limit names two steps and how many boats may be between them."""
    limit(tiny, f"{LIMIT}, max = 3")
    assert load_book(tiny.folder).yard.limits == (
        WorkLimit("hulls", "hull.gel_coat", "hull.demold", 3),
    )


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (f"{LIMIT}, max = 0", "at least 1"),
        (LIMIT, "this key is required"),
        (f"{LIMIT.replace('hull.demold', 'hull.demould')}, max = 3", "did you mean"),
        (
            'id = "x", from_operation = "final.rig", '
            'to_operation = "hull.prep", max = 1',
            "a step that the routing of skiff-16 puts after 'final.rig'",
        ),
    ],
)
def test_a_limit_that_cannot_be_meant(tiny: TinyYard, text: str, expected: str) -> None:
    """A limit that no boat can leave, or between unknown steps, is one fault."""
    limit(tiny, text)
    fault = tiny.fault()
    assert fault.where.startswith("limits.")
    assert expected in fault.expected


def test_a_limit_between_steps_on_other_options(tiny: TinyYard) -> None:
    """A boat that enters must leave: both steps are there on the same options."""
    limit(tiny, LIMIT.replace("hull.demold", "final.detail") + ", max = 1")
    old = 'code = "final.detail"'
    tiny.replace(BOAT, old, f'{old}\nwhen = "hard-top"')
    assert any("on the same options" in one.expected for one in tiny.faults())


SETUPS = (
    '{ before = "white", after = "red", minutes = 30 }, '
    '{ before = "red", after = "white", minutes = 45 }'
)


def booth(tiny: TinyYard, more: str) -> None:
    """Give the booth set-ups between colors."""
    tiny.replace("yard.toml", "capacity = 1", f"capacity = 1, {more}")


def test_a_booth_that_is_set_up_by_color(tiny: TinyYard) -> None:
    """Set-ups, the last color, and the colors of steps and graphics are read."""
    booth(tiny, f'setups = [{SETUPS}], last_family = "red"')
    coat = 'code = "hull.gel_coat"'
    tiny.replace(BOAT, coat, f'{coat}\nsetup_family = "white"')
    color = 'name = "signal red"'
    tiny.replace(BOAT, color, f'{color}, setup_family = "red"')
    book = load_book(tiny.folder)
    station = book.yard.stations[0]
    assert station.setups == (Setup("white", "red", 30), Setup("red", "white", 45))
    assert station.last_family == "red"
    model = book.models["skiff-16"]
    assert model.operations[1].setup_family == "white"
    families = [one.setup_family for one in color_chain(model.graphics[0]).steps]
    assert families == [None, "red", None, None, None, None]


@pytest.mark.parametrize(
    ("more", "expected"),
    [
        (f"setups = [{SETUPS}, {SETUPS}]", "each once"),
        ('setups = [{ before = "red", after = "red", minutes = 5 }]', "two different"),
        ('setups = [{ before = "red", after = "white", minutes = 0 }]', "at least 1"),
        (
            f'setups = [{SETUPS}, {{ before = "red", after = "navy", minutes = 9 }}]',
            "at most the 9 by way of navy",
        ),
        ('last_family = "red"', "setups, too"),
        (f'setups = [{SETUPS}], last_family = "rde"', "did you mean 'red'"),
    ],
)
def test_set_ups_that_cannot_be_meant(tiny: TinyYard, more: str, expected: str) -> None:
    """Set-ups that contradict each other are faults of the station."""
    booth(tiny, more)
    faults = tiny.faults()
    assert all(one.where.startswith("stations.booth") for one in faults)
    assert any(expected in one.expected for one in faults), faults


def test_set_ups_need_one_at_a_time(tiny: TinyYard) -> None:
    """Where two work side by side, no one comes after the other."""
    tiny.replace("yard.toml", "capacity = 1", f"capacity = 2, setups = [{SETUPS}]")
    assert "a capacity of 1" in tiny.fault().expected


@pytest.mark.parametrize(
    ("setups", "expected"),
    [("", "setups of booth in yard.toml"), (f"setups = [{SETUPS}]", "'red'")],
)
def test_a_color_that_the_station_does_not_know(
    tiny: TinyYard, setups: str, expected: str
) -> None:
    """A family at a station without set-ups, or one that they do not name."""
    if setups:
        booth(tiny, setups)
    coat = 'code = "hull.gel_coat"'
    tiny.replace(BOAT, coat, f'{coat}\nsetup_family = "rde"')
    fault = tiny.fault()
    assert (fault.file, fault.where) == (BOAT, "operations.hull.gel_coat.setup_family")
    assert expected in fault.expected


RIG = 'skill = "rig"\ncrew = [1, 1]\nallowance = "shop"\nwork = ['
SENT = 'lead_days = 5\ncalendar = "late"\n'


def test_a_step_done_outside(tiny: TinyYard) -> None:
    """A supplier's lead in working days, on a calendar of its own."""
    tiny.replace(
        BOAT, 'operation = "final.rig", text', 'operation = "final.detail", text'
    )
    text = (tiny.folder / BOAT).read_text(encoding="utf-8")
    head, tail = text.split(RIG)
    tiny.write(BOAT, head + SENT + tail.split("\n]\n", 1)[1])
    step = load_book(tiny.folder).models["skiff-16"].operations[4]
    assert (step.code, step.lead_days, step.calendar) == ("final.rig", 5, "late")
    assert (step.skill, step.crew_max, step.work) == (None, 0, ())
    lock = "order,operation,start,mold,people\nB-2,final.rig,{},,\n"
    tiny.write("locks.csv", lock.format("2027-04-12T22:15"))
    assert tiny.faults() == ()
    tiny.write("locks.csv", lock.format("2027-04-12T22:00"))
    assert "the last tick of a working day" in tiny.fault().expected


@pytest.mark.parametrize("more", ["one_go = true", "duration_hours = 3"])
def test_outside_work_that_cannot_be_meant(tiny: TinyYard, more: str) -> None:
    """A lead is alone: it is no time of the shop, and never in one go."""
    tiny.replace(BOAT, "one_go = true\nexclusive", f"{more}\nlead_days = 2\nexclusive")
    assert "lead_days alone" in tiny.faults()[0].expected


def test_slots_of_launches(tiny: TinyYard) -> None:
    """A step starts in a slot of a calendar, which may be for a few boats only."""
    late = 'start = "14:30", end = "22:30" },\n  ] },\n'
    tide = '{ days = ["tue"], start = "08:00", end = "10:00" }'
    slots = f'{{ id = "tide", starts_per_slot = 2, shifts = [{tide}] }},\n'
    tiny.replace("yard.toml", late, late + slots)
    code = 'code = "final.detail"'
    tiny.replace(BOAT, code, f'{code}\nslots = "tide"')
    book = load_book(tiny.folder)
    assert book.models["skiff-16"].operations[-1].slots == "tide"
    assert [one.starts_per_slot for one in book.yard.calendars] == [None, None, 2]
    tiny.replace("yard.toml", "starts_per_slot = 2", "starts_per_slot = 0")
    assert "at least 1" in tiny.faults()[0].expected


PERSON = 'id = "LM-02", skills = ["laminate"], calendar = "shop"'


def test_part_time(tiny: TinyYard) -> None:
    """Fewer days and shorter hours than the calendar's are read."""
    hours = 'days = ["wed", "mon"], start = "08:00", end = "12:15"'
    tiny.replace("yard.toml", PERSON, f"{PERSON}, part_time = {{ {hours} }}")
    person = load_book(tiny.folder).yard.people[1]
    assert person.part_time == PartTime((1, 3), time(8), time(12, 15))


@pytest.mark.parametrize(
    ("hours", "expected"),
    [
        ("", "days, start or end"),
        ('end = "12:10"', "on a tick of 15 minutes"),
        ('start = "14:30"', "hours of the calendar 'shop'"),
        ('days = ["sat", "sun"]', "hours of the calendar 'shop'"),
        ("days = []", "at least one entry"),
        ('start = "12:00", end = "12:00"', "end after they start"),
    ],
)
def test_part_time_that_cannot_be_meant(
    tiny: TinyYard, hours: str, expected: str
) -> None:
    """Hours that are none, or none of the calendar's, are one fault."""
    tiny.replace("yard.toml", PERSON, f"{PERSON}, part_time = {{ {hours} }}")
    fault = tiny.faults()[0]
    assert fault.where.startswith("people.LM-02")
    assert expected in fault.expected


def test_a_crew_that_part_time_keeps_apart(tiny: TinyYard) -> None:
    """Three who are never there together cannot lift a hull that needs three."""
    mornings = '{ end = "10:00" }'
    tiny.replace("yard.toml", PERSON, f"{PERSON}, part_time = {mornings}")
    other = 'id = "LM-03", skills = ["laminate"], calendar = "shop"'
    tiny.replace("yard.toml", other, f'{other}, part_time = {{ start = "10:00" }}')
    found = [one for one in tiny.faults() if "hull.demold" in one.where]
    assert "so many who are there together" in found[0].expected


def test_apprentices(tiny: TinyYard) -> None:
    """Who learns which skill, and how many must lead in a step, are read."""
    learning = PERSON.replace("skills =", "skills = [], apprentice_in =")
    tiny.replace("yard.toml", PERSON, learning)
    tiny.replace("locks.csv", "LM-02", "LM-03")
    tiny.replace(BOAT, "crew = [3, 3]", "crew = [3, 3]\nleads_min = 2")
    book = load_book(tiny.folder)
    person = book.yard.people[1]
    assert (person.skills, person.apprentice_in) == ((), ("laminate",))
    steps = {one.code: one for one in book.models["skiff-16"].operations}
    assert steps["hull.demold"].leads_min == 2
    assert steps["hull.laminate"].leads_min == 0
    assert book.yard.least_leads("laminate", 0) == 1
    assert book.yard.least_leads("rig", 2) == 0, "nobody learns to rig"


def test_who_leads_in_a_layout(tiny: TinyYard) -> None:
    """A layout's `leads_min` is that of each of its steps, and of no others."""
    learning = PERSON.replace("skills =", "skills = [], apprentice_in =")
    tiny.replace("yard.toml", PERSON, learning)
    tiny.replace("locks.csv", "LM-02", "LM-03")
    tiny.replace(BOAT, "mask_hours_per_m", "leads_min = 1\nmask_hours_per_m")
    model = load_book(tiny.folder).models["skiff-16"]
    steps = color_chain(model.graphics[0]).steps
    assert {one.leads_min for one in steps} == {1}
    assert {one.leads_min for one in model.operations} == {0}
    tiny.replace(BOAT, "leads_min = 1", "leads_min = 9")
    fault = tiny.fault()
    assert fault.where.startswith("graphics")
    assert "the smallest crew" in fault.expected
