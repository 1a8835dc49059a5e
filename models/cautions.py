"""The usual cautions, shown beside work that can hurt someone.

The tool plans work and does not judge safety. Numbers of rules name where to look;
which of them applies is the yard's own question.
"""

from __future__ import annotations

DEFER = "Follow local codes, the material's data sheets and licensed practice."

CAUTIONS = {
    "lay_up": "Styrene vapor: ventilate, measure, wear respirators under a program "
    "(29 CFR 1910.1000 Table Z-2, 1910.134, 1910.94). Small batches, a limited count "
    "of plies a wet stack, cooling time between thick layers.",
    "gel_coat": "Styrene vapor and spray: ventilate, measure, wear respirators under a "
    "program (29 CFR 1910.1000 Table Z-2, 1910.134, 1910.94). No source of ignition.",
    "catalyst": "Peroxide catalyst: keep it cool and apart from heat, sun and other "
    "materials, only the day's need at the station, never mixed directly with "
    "accelerator; eye protection; take up spills at once (29 CFR 1910.1200).",
    "exotherm": "Heat of cure: small batches, cooling time between thick layers, no "
    "catalyzed waste in a closed bin, resin rags in covered metal cans (29 CFR "
    "1910.106, 1910.107).",
    "grinding": "Dust of grinding and trimming: capture it at the tool, cover eyes and "
    "skin, wear respirators (29 CFR 1910.1000 Table Z-1, 1910.132 to 134).",
    "lifting": "Lifting, demolding and turning: rated and marked gear, inspected "
    "slings, known weight and center, nobody under a load (29 CFR 1910.179, 1910.184).",
    "confined_space": "Hull interior, tank space or bilge as a confined space: test "
    "oxygen, flammability and toxicity in that order; ventilate; an attendant and a "
    "way to rescue (29 CFR 1915 subpart B, 1910.146).",
    "fuel": "Fuel system: test under pressure before release, with air or inert gas "
    "only, check every joint for leaks, no source of ignition (33 CFR 183.542, "
    "183.582).",
}

OVERTIME = (
    "Overtime tires people. In job records of 1987 to 2000 the hazard of injury was 61 "
    "% higher in jobs with overtime, 37 % at 12 hours a day or more and 23 % at 60 "
    "hours a week or more (Occup Environ Med 2005;62:588-597). How soon weeks of it "
    "yield less than regular ones is disputed: one trade journal says after 10 working "
    "days of six 8-hour days a week. A proposal, not an order: mind 29 U.S.C. 207 and "
    "29 CFR 778, follow local codes and licensed practice, and ask the people."
)

ALSO = {
    "lay_up": ("catalyst", "exotherm"),
    "gel_coat": ("catalyst",),
    "exotherm": ("lay_up", "catalyst"),
    "confined_space": ("lay_up", "catalyst"),
}
"""Further cautions of the same work: who lays up or sprays handles catalyst, too.

Vapor gathers inside a hull, so that work in there has the caution of lay-up as well.
"""


def cautions_with(key: str) -> tuple[str, ...]:
    """A caution and those that go with the same work."""
    return (key, *ALSO.get(key, ()))


def caution_text(key: str | None) -> str | None:
    """The caution of a key with whom to follow, or None."""
    if key is None or key not in CAUTIONS:
        return None
    return f"{CAUTIONS[key]} {DEFER}"
