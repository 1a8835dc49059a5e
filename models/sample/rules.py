"""Rules of the shop that a sample takes on: each a change of the tables of its files.

All figures are invented. A rule changes what `yard.toml` holds, or what each boat
model's file holds, in place.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

Table = dict[str, Any]
FULL_TIME = 3  # people of a skill who stay there every day
LETTERING = "final.lettering"


def mold_service(yard: Table, scale: float) -> None:
    """Every mold is serviced for two shifts after three pulls, each second by one.

    Who does it has the skill of most people.
    """
    del scale
    full = Counter(skill for person in yard["people"] for skill in person["skills"])
    (skill, _), *_ = full.most_common(1)
    for place, mold in enumerate(yard["molds"]):
        mold |= {"service_every": 3, "service_hours": 16.0, "pulls": place % 3}
        if place % 2:
            mold["service_skill"] = skill


def limits(yard: Table, scale: float) -> None:
    """Few boats at once between joining and delivery."""
    most = max(2, math.ceil(4 * scale))
    row = {"id": "finishing", "from_operation": "join.set"}
    yard["limits"] = [row | {"to_operation": "final.detail", "max": most}]


def overtime(yard: Table, scale: float) -> None:
    """Saturday mornings of a quarter year for every trade, at a price."""
    del scale
    first = date.fromisoformat(str(yard["as_of"]))
    last = first + timedelta(days=90)
    yard["overtime"] = [
        {
            "id": f"saturday-{name}", "calendar": name, "days": ["sat"],
            "start": "06:00", "end": "12:00", "first": first, "last": last,
            "price_per_hour": 48,
        }
        for name in sorted({skill["calendar"] for skill in yard["skills"]})
    ]  # fmt: skip
    yard["overtime_limits"] = {"hours_per_day": 6, "hours_per_week": 6}


def apprentices(yard: Table, scale: float) -> None:
    """One person in six learns a skill, where enough others have it in full."""
    del scale
    people = yard["people"]
    wanted = math.ceil(len(people) / 6)
    full = Counter(skill for person in people for skill in person["skills"])
    for person in people:
        *kept, learned = person["skills"]
        if wanted and full[learned] > FULL_TIME:
            person |= {"skills": kept, "apprentice_in": [learned]}
            full[learned] -= 1
            wanted -= 1


def part_time(yard: Table, scale: float) -> None:
    """One person in six works three days a week, where enough others have the skills.

    Long work needs somebody there every day.
    """
    del scale
    people = yard["people"]
    wanted = math.ceil(len(people) / 6)
    full = Counter(skill for person in people for skill in person["skills"])
    for person in reversed(people):
        if wanted and all(full[skill] > FULL_TIME for skill in person["skills"]):
            person["part_time"] = {"days": ["mon", "wed", "thu"]}
            full.subtract(person["skills"])
            wanted -= 1


def temperature(yard: Table, scale: float) -> None:
    """A shop that is cold in winter."""
    del scale
    months = [14, 14, 16, 18, 20, 22, 24, 24, 22, 19, 16, 14]
    yard["temperature"] = {"celsius_by_month": months}


def setups(yard: Table, scale: float) -> None:
    """An hour to clean the booth's guns between colors."""
    del scale
    colors = ("base", "light", "dark")
    pairs = [(one, other) for one in colors for other in colors if one != other]
    for station in yard["stations"]:
        if station["id"] == "booth":
            station["last_family"] = "base"
            station["setups"] = [
                {"before": one, "after": other, "minutes": 60} for one, other in pairs
            ]


def slots(yard: Table, scale: float) -> None:
    """The launch is to be had on three mornings a week, for few boats each."""
    shift = {"days": ["tue", "wed", "thu"], "start": "07:00", "end": "11:00"}
    room = max(1, math.ceil(scale))
    yard["calendars"].append(
        {"id": "launch-slots", "starts_per_slot": room, "shifts": [shift]}
    )


def colored(model: Table) -> None:
    """Gel coat is of the base family, each color of a graphic light or dark."""
    for step in model["operations"]:
        if step["station"] == "booth":
            step["setup_family"] = "base"
    for graphic in model.get("graphics", []):
        for place, color in enumerate(graphic["colors"]):
            color["setup_family"] = ("light", "dark")[place % 2]


def lettered(model: Table) -> None:
    """A sign maker letters the boat, two working days, before it is detailed."""
    parts = next(
        step["parts"] for step in model["operations"] if step["code"] == "final.detail"
    )
    station = next(
        step["station"]
        for step in model["operations"]
        if step["code"] == "final.detail"
    )
    model["operations"].append(
        {
            "code": LETTERING, "name": "Lettering by the sign maker", "parts": parts,
            "station": station, "lead_days": 2,
        }
    )  # fmt: skip
    model["waits"] += [
        {"kind": "sequence", "before": "final.systems_test", "after": LETTERING},
        {"kind": "sequence", "before": LETTERING, "after": "final.detail"},
    ]


def led(model: Table) -> None:
    """Two of every crew of three or more know the work."""
    for step in (*model["operations"], *model.get("graphics", [])):
        if step.get("crew", [0])[0] >= 3:
            step["leads_min"] = 2


def slotted(model: Table) -> None:
    """The water test begins in a slot of the launch."""
    for step in model["operations"]:
        if step["code"] == "final.water_test":
            step["slots"] = "launch-slots"


def cured_warm(model: Table) -> None:
    """Cures that a data sheet bounds last longer in a cold shop (Arrhenius)."""
    for wait in model["waits"]:
        if "data_sheet_min_hours" in wait:
            wait |= {"activation_kj_per_mol": 50, "reference_celsius": 20}


YARD_RULES: dict[str, Callable[[Table, float], None]] = {
    "apprentices": apprentices,
    "limits": limits,
    "mold-service": mold_service,
    "overtime": overtime,
    "part-time": part_time,
    "setups": setups,
    "slots": slots,
    "temperature": temperature,
}
MODEL_RULES: dict[str, Callable[[Table], None]] = {
    "apprentices": led,
    "outside": lettered,
    "setups": colored,
    "slots": slotted,
    "temperature": cured_warm,
}
RULES = tuple(sorted({*YARD_RULES, *MODEL_RULES}))


def possible_rules(yard: Table, rules: tuple[str, ...]) -> tuple[str, ...]:
    """The rules that a yard can have: set-ups need a booth for one work at a time."""
    booths = [one for one in yard["stations"] if one["id"] == "booth"]
    if all(one.get("capacity") == 1 for one in booths):
        return rules
    return tuple(name for name in rules if name != "setups")


def change_yard(yard: Table, rules: tuple[str, ...], scale: float) -> None:
    """Take rules on in the table of `yard.toml`."""
    for name in rules:
        if name in YARD_RULES:
            YARD_RULES[name](yard, scale)


def change_model(model: Table, rules: tuple[str, ...]) -> None:
    """Take rules on in the table of a boat model's file."""
    for name in rules:
        if name in MODEL_RULES:
            MODEL_RULES[name](model)
