"""Readers of two open text formats: job shops, and projects in the Patterson layout.

Job shop: a line with the number of jobs and of machines, then a line a job of pairs,
machine (from 0) and time. Lines that are empty or begin with # do not count.

Projects (`.rcp`): the number of activities (the first and the last are dummies) and of
resources; the capacities; then for each activity its duration, a demand of each
resource, the number of its followers and the followers (from 1). Line breaks mean
nothing.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

from models.loading.faults import FaultLog, quoted
from models.loading.files import SourceFiles
from scheduler.classical.instance import Activity, Instance, Project, flaws, job

MOST_DIGITS = 9


@dataclass
class _Numbers:
    """The whole numbers of a file, each with its line, taken one after the other."""

    file: str
    log: FaultLog
    values: list[tuple[int, int]] = field(default_factory=list)  # line, number
    taken: int = 0
    short: bool = False

    @property
    def line(self) -> int:
        """Where the next number stands, or the last one."""
        if not self.values:
            return 1
        return self.values[min(self.taken, len(self.values) - 1)][0]

    def take(self, what: str) -> int:
        """Take the next number; 0, with one fault, where there is none left."""
        if self.taken < len(self.values):
            self.taken += 1
            return self.values[self.taken - 1][1]
        if not self.short:
            self.log.add(self.file, f"line {self.line}", "the end of the file", what)
        self.short = True
        return 0


def read_instance(path: Path) -> Instance:
    """Read a file: projects where its name ends in `.rcp`, else a job shop.

    Raises
    ------
    DataFaults
        With every fault, its line, what was found and what was expected.
    """
    log = FaultLog()
    text = SourceFiles(path.parent, log).text(path)
    instance = None
    if text is not None:
        is_project = path.suffix.lower() == ".rcp"
        parse = parse_project if is_project else parse_job_shop
        instance = parse(text, path.name, log)
    log.raise_if_any()
    assert instance is not None
    return instance


def parse_job_shop(text: str, file: str, log: FaultLog) -> Instance | None:
    """Read jobs of machine and time pairs; None where numbers are missing or wrong."""
    rows = _rows(text, file, log)
    if rows is None:
        return None
    (first, head), *others = rows
    if len(head) != 2 or min(head) < 1:
        expected = "the number of jobs and the number of machines"
        log.add(file, f"line {first}", _shown(head), expected)
        return None
    count, machines = head
    if len(others) != count:
        log.add(file, f"line {first}", f"{len(others)} jobs below", f"{count}, as said")
    jobs = []
    for number, (line, row) in enumerate(others, start=1):
        if len(row) % 2:
            expected = "pairs of machine and time"
            log.add(file, f"line {line}", f"{len(row)} numbers", expected)
            continue
        steps = list(zip(row[::2], row[1::2], strict=True))
        for machine, time in steps:
            if not 0 <= machine < machines:
                expected = f"0 to {machines - 1}"
                log.add(file, f"line {line}", f"machine {machine}", expected)
            if time < 0:
                log.add(file, f"line {line}", f"a time of {time}", "0 or more")
        jobs.append(job(f"J{number}", [(f"M{m}", time) for m, time in steps]))
    capacities = tuple((f"M{machine}", 1) for machine in range(machines))
    return Instance(capacities, tuple(jobs))


def parse_project(text: str, file: str, log: FaultLog) -> Instance | None:
    """Read one project in the Patterson layout; None where numbers are missing."""
    rows = _rows(text, file, log)
    if rows is None:
        return None
    numbers = _Numbers(file, log, [(n, value) for n, row in rows for value in row])
    count = numbers.take("the number of activities")
    resources = numbers.take("the number of resources")
    if count < 1 or resources < 0 or count + resources > len(numbers.values):
        found = f"{count} activities and {resources} resources"
        expected = "as many activities as are listed, at least one"
        log.add(file, f"line {rows[0][0]}", found, expected)
        return None
    names = [f"R{number}" for number in range(1, resources + 1)]
    capacities = tuple((name, numbers.take("a capacity")) for name in names)
    lines, activities = [], []
    for number in range(1, count + 1):
        lines.append(numbers.line)
        activities.append(_activity(numbers, number, names))
        if numbers.short:
            return None
    if numbers.taken < len(numbers.values):
        found = f"{len(numbers.values) - numbers.taken} numbers more"
        log.add(file, f"line {numbers.line}", found, f"{count} activities, as said")
    instance = Instance(capacities, (Project(Path(file).stem, tuple(activities)),))
    for flaw in flaws(instance):
        place = lines[flaw.activity or 0]
        where = f"line {place}, activity {(flaw.activity or 0) + 1}"
        log.add(file, where, flaw.found, flaw.expected)
    return instance


def _activity(numbers: _Numbers, number: int, names: list[str]) -> Activity:
    what = f"activity {number}: duration, demands, number of followers, followers"
    duration = numbers.take(what)
    amounts = [(name, numbers.take(what)) for name in names]
    line, many = numbers.line, numbers.take(what)
    if many < 0:
        found = f"{many} followers of activity {number}"
        numbers.log.add(numbers.file, f"line {line}", found, "0 or more")
    followers = tuple(numbers.take(what) - 1 for _ in range(many))
    demands = tuple((name, amount) for name, amount in amounts if amount)
    return Activity(duration, demands, followers)


def _rows(text: str, file: str, log: FaultLog) -> list[tuple[int, list[int]]] | None:
    """Whole numbers of each line that has any; None, with faults, for anything else."""
    rows, sound = [], True
    for number, line in enumerate(text.splitlines(), start=1):
        if not line.strip() or line.lstrip().startswith("#"):
            continue
        row = []
        for word in line.split():
            digits = word.removeprefix("-")
            if digits.isdecimal() and digits.isascii() and len(digits) <= MOST_DIGITS:
                row.append(int(word))
            else:
                sound = False
                expected = f"a whole number of at most {MOST_DIGITS} digits"
                log.add(file, f"line {number}", quoted(word), expected)
        rows.append((number, row))
    if not rows:
        log.add(file, "file", "no numbers", "an instance")
    return rows if rows and sound else None


def _shown(row: list[int]) -> str:
    return quoted(" ".join(map(str, row)))
