"""The drawing of crews against time."""

from __future__ import annotations

from datetime import date

from dashboard.figures.crews import crews_figure, people_of, shifts
from tests.dashboard.small_view import WINDOW, small_view, traces

FIRST, AFTER = date(2027, 3, 8), date(2027, 4, 5)


def test_everybody_has_a_row_beside_those_of_the_same_skill() -> None:
    """People are together by their first skill, each once."""
    people = people_of(small_view())
    assert len(people) == len({person for _, person in people}) == 6
    skills = [skill for skill, _ in people]
    assert skills == sorted(skills, key=skills.index)


def test_every_stint_in_the_window_is_drawn() -> None:
    """Each time that somebody is on an operation is one bar."""
    view = small_view()
    worked = shifts(view, WINDOW, FIRST, AFTER)
    stints = sum(len(one.people) for one in view.plan.answer.operations)
    assert len(worked) == stints
    found = traces(crews_figure(view, worked, FIRST, AFTER))
    assert sum(len(found[name].x) for name in view.groups if name in found) == stints


def test_a_change_of_people_shows() -> None:
    """The long rigging job changes hands: each of the two has a bar of their own."""
    worked = shifts(small_view(), WINDOW, FIRST, AFTER)
    rig = {one.person: one for one in worked if one.row.id == "B101/final.rig"}
    assert set(rig) == {"RG-01", "RG-02"}
    assert rig["RG-01"].ends <= rig["RG-02"].begins


def test_bars_carry_code_or_nothing() -> None:
    """Lettering is left out where it would not fit."""
    view = small_view()
    near = date(2027, 3, 15), date(2027, 3, 29)  # two weeks: a day has room for a word
    worked = shifts(view, WINDOW, *near)
    found = traces(crews_figure(view, worked, *near))["Rigging"]
    assert any(text.startswith("R B10") for text in found.text)
