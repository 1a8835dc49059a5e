"""Other jobs are read whole, and refused where they cannot be done."""

from __future__ import annotations

from datetime import date

import pytest

from models.job_orders import job_model
from models.jobs import Job, JobStep
from models.loading import load_book
from tests.models.loading.conftest import TinyYard

HEAD = (
    "job,kind,step,station,skill,labor_hours,crew_min,crew_max,one_go,cure_hours,"
    "model,mold,place_kind,earliest,wanted,promised,weight,note\n"
)
REPAIR = (
    "J-1,repair,lay up,floor,laminate,4.5,1,2,yes,24,skiff-16,,bay,2027-03-08,"
    "2027-04-01,2027-04-02,3,hole in the bow\n"
    "J-1,,rig,bays,rig,2,1,1,,,,,,,,,,\n"
)
MOLD = "J-2,mold-repair,polish,floor,laminate,4,1,1,,,,H16-1,,,,,,\n"


def test_a_job_is_read(tiny: TinyYard) -> None:
    """Rows are steps in their order; the first row has what is of the whole job."""
    tiny.write("jobs.csv", HEAD + REPAIR)
    assert load_book(tiny.folder).jobs == (
        Job(
            "J-1",
            "repair",
            (
                JobStep("lay up", "floor", "laminate", 4.5, 1, 2, True, 24.0),
                JobStep("rig", "bays", "rig", 2.0, 1, 1),
            ),
            model="skiff-16",
            place_kind="bay",
            earliest=date(2027, 3, 8),
            wanted=date(2027, 4, 1),
            promised=date(2027, 4, 2),
            weight=3,
            note="hole in the bow",
        ),
    )


LEARNED = 'id = "LM-02", skills = ["laminate"]'


def test_apprentices_on_a_job(tiny: TinyYard) -> None:
    """How many of a step's crew must lead is read, and no more than there may be."""
    tiny.replace(
        "yard.toml", LEARNED, 'id = "LM-02", skills = [], apprentice_in = ["laminate"]'
    )
    tiny.replace("locks.csv", "LM-02", "LM-03")
    head, rows = HEAD.replace("one_go", "leads_min,one_go"), REPAIR.splitlines()
    led = [rows[0].replace("1,2,yes", "2,2,2,yes"), rows[1].replace("1,1,", "1,1,,")]
    tiny.write("jobs.csv", head + "\n".join(led) + "\n")
    book = load_book(tiny.folder)
    assert [one.leads_min for one in book.jobs[0].steps] == [2, 0]
    steps = job_model(book.jobs[0], book.yard).operations
    assert [one.leads_min for one in steps] == [2, 0]
    tiny.write("jobs.csv", head + "\n".join(led).replace("2,2,2", "2,2,3") + "\n")
    fault = tiny.fault()
    assert (fault.where, fault.found) == ("row 2, leads_min", "3")
    assert fault.expected == "at most 2, the smallest crew"


def test_facts_and_pins_name_a_job(tiny: TinyYard) -> None:
    """Work in hand and locks may be of a job, and are checked as those of a boat."""
    tiny.write("jobs.csv", HEAD + REPAIR)
    tiny.write(
        "in_hand.csv",
        "order,operation,state,started,finished,remaining_hours,mold,place,people\n"
        "J-1,lay up,started,2027-02-26T06:00,,2,,Bay 1,LM-01\n",
    )
    lock = "order,operation,start,mold,people\nJ-1,{},,,RG-01\n"
    tiny.write("locks.csv", lock.format("rig"))
    assert load_book(tiny.folder).in_hand[0].order == "J-1"
    tiny.write("locks.csv", lock.format("rigs"))
    assert "did you mean 'rig'?" in tiny.fault().expected


@pytest.mark.parametrize(
    ("rows", "old", "new", "where", "expected"),
    [
        (REPAIR, "skiff-16", "skif-16", "row 2, model", "did you mean 'skiff-16'"),
        (REPAIR, "repair", "rigging", "row 2, kind", "'repair', 'warranty'"),
        (REPAIR, "4.5", "0", "row 2, labor_hours", "more than 0"),
        (REPAIR, "1,2,yes", "2,1,yes", "row 2, crew_max", "at least 2"),
        (REPAIR, ",yes,", ",no,", "row 2, one_go", "'yes'"),
        (REPAIR, "4.5", "60", "row 2, step", "split it by ply"),
        (REPAIR, ",,bay", ",H16-1,bay", "row 2, mold", "the kind mold-repair"),
        (MOLD, "H16-1", "H16-2", "row 2, mold", "did you mean 'H16-1'"),
    ],
)
def test_a_wrong_cell_is_named(
    tiny: TinyYard, rows: str, old: str, new: str, where: str, expected: str
) -> None:
    """Each wrong cell has a fault of its own that says what was expected."""
    tiny.write("jobs.csv", HEAD + rows.replace(old, new, 1))
    fault = tiny.fault()
    assert (fault.file, fault.where) == ("jobs.csv", where)
    assert expected in fault.expected


def test_a_mold_with_a_service_interval_can_be_repaired(tiny: TinyYard) -> None:
    """It is no pull, so the count of its pulls stays."""
    tiny.write("jobs.csv", HEAD + MOLD)
    tiny.replace(
        "yard.toml",
        'models = ["skiff-16"] }',
        'models = ["skiff-16"], service_every = 20, service_hours = 8 }',
    )
    assert tiny.faults() == ()
    assert load_book(tiny.folder).jobs[0].mold == "H16-1"


def test_a_repair_is_in_its_own_mold(tiny: TinyYard) -> None:
    """No pin puts a mold repair into another mold than the one it names."""
    tiny.replace(
        "yard.toml",
        '{ id = "H16-1", part = "hull", models = ["skiff-16"] }',
        '{ id = "H16-1", part = "hull", models = ["skiff-16"] },\n'
        '  { id = "H16-2", part = "hull", models = ["skiff-16"] }',
    )
    tiny.write("jobs.csv", HEAD + MOLD)
    head = "order,operation,start,mold,people\n"
    tiny.write("locks.csv", f"{head}J-2,polish,,H16-2,\n")
    assert tiny.fault().expected == "H16-1"
