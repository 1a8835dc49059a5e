"""Networks of activities: earliest and latest times without resources.

Arrow networks are written as activities; three-point times as sixths of a mean
(a + 4m + b), so that whole units are exact. The product computes no variances, so only
means, paths and slack are compared.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from scheduler.bounds import earliest_finishes
from scheduler.classical.bounds import heads_and_tails, makespan_bound
from scheduler.classical.instance import Activity, Instance, Project
from scheduler.classical.problem_of import problem_of
from scheduler.compiling.compile import compile_problem

Network = dict[str, tuple[int, str]]  # duration and what it follows
Times = dict[str, tuple[int, int, int, str]]


def project(network: Network) -> Project:
    """Activities in the order given, with their followers."""
    names = list(network)
    return Project(
        "P",
        tuple(
            Activity(
                duration,
                (),
                tuple(k for k, one in enumerate(names) if name in network[one][1]),
            )
            for name, (duration, _) in network.items()
        ),
    )


def finish_and_slack(network: Network) -> tuple[int, dict[str, int]]:
    """When all of it can be finished, and by how much each activity may slip.

    The finish is also that of the bound which every plan of a yard states.
    """
    one = project(network)
    instance = Instance((), (one,))
    finish = makespan_bound(instance)
    compilation = compile_problem(problem_of(instance))
    assert int(earliest_finishes(compilation.arrays).max()) == finish
    spans = heads_and_tails(one)
    slack = {
        name: finish - head - network[name][0] - tail
        for name, (head, tail) in zip(network, spans, strict=True)
    }
    return finish, slack


def test_arrow_network() -> None:
    """CV-50 (management-science text, ch. 8, problem 1): 20; slack 2, 2, 4, else 0.

    a is 1-2, b 1-3, c 2-4, d 3-4, e 3-5, f 4-5, g 5-6.
    """
    network: Network = {
        "a": (7, ""), "b": (10, ""), "c": (6, "a"), "d": (5, "b"), "e": (4, "b"),
        "f": (3, "cd"), "g": (2, "ef"),
    }  # fmt: skip
    finish, slack = finish_and_slack(network)
    assert finish == 20
    assert slack == {"a": 2, "b": 0, "c": 2, "d": 0, "e": 4, "f": 0, "g": 0}
    head, tail = heads_and_tails(project(network))[4]
    assert (head, head + 4, finish - tail - 4, finish - tail) == (10, 14, 14, 18)


EIGHT: Times = {
    "A": (1, 2, 3, ""), "B": (2, 3, 4, ""), "C": (1, 2, 3, "A"), "D": (2, 4, 6, "AB"),
    "E": (1, 4, 7, "C"), "F": (1, 2, 9, "C"), "G": (3, 4, 11, "DE"),
    "H": (1, 2, 3, "FG"),
}  # fmt: skip
SEVEN: Times = {
    "1": (5, 8, 17, ""), "2": (7, 10, 13, ""), "3": (3, 5, 7, "1"), "4": (1, 3, 5, "1"),
    "5": (4, 6, 8, "23"), "6": (3, 3, 3, "4"), "7": (3, 4, 5, "56"),
}  # fmt: skip
FOURTEEN: Times = {
    "A": (5, 5, 7, ""), "B": (1, 2, 5, ""), "C": (5, 5, 5, "A"), "D": (4, 8, 13, "A"),
    "E": (1, 10, 17, "BC"), "F": (1, 5, 7, "D"), "G": (2, 6, 9, "D"),
    "H": (4, 4, 6, "EF"), "I": (2, 7, 10, "GH"), "J": (2, 4, 7, "I"),
    "K": (6, 10, 13, "I"), "L": (2, 6, 6, "J"), "M": (2, 2, 3, "K"),
    "N": (7, 7, 12, "LM"),
}  # fmt: skip
ELEVEN: Times = {
    "A": (8, 10, 15, ""), "B": (7, 8, 9, ""), "C": (5, 6, 10, "A"), "D": (3, 3, 3, "A"),
    "E": (1, 5, 9, "BD"), "F": (4, 7, 10, "BD"), "G": (3, 8, 10, "C"),
    "H": (5, 7, 9, "E"), "I": (4, 5, 8, "E"), "J": (2, 5, 8, "F"), "K": (1, 3, 6, "HI"),
}  # fmt: skip


@pytest.mark.parametrize(
    ("times", "finish", "path", "slack"),
    [
        (EIGHT, 15, "ACEGH", {"B": 1, "D": 1, "F": 6}),  # CV-51
        (SEVEN, 24, "1357", {}),  # CV-53
        (
            FOURTEEN,  # CV-54
            50.8333,
            "ACEHIKMN",
            {"B": 8, "D": 1.8333, "G": 5, "J": 2.5},
        ),
        (ELEVEN, 28.6667, "ADEHK", {"I": 1.6667}),  # CV-55
    ],
)
def test_three_point_networks(
    times: Times, finish: float, path: str, slack: dict[str, float]
) -> None:
    """CV-51 (from memory), CV-53 to CV-55 (inputs published): means and paths."""
    sixths = {name: (a + 4 * m + b, after) for name, (a, m, b, after) in times.items()}
    found, slipped = finish_and_slack(sixths)
    assert found / 6 == pytest.approx(finish, abs=1e-4)
    assert "".join(name for name in times if slipped[name] == 0) == path
    for name, given in slack.items():
        assert slipped[name] / 6 == pytest.approx(given, abs=1e-4), name


def test_a_release_moves_the_whole_network() -> None:
    """CV-242 (definition): a later origin shifts every time and nothing else."""
    network: Network = {"a": (7, ""), "b": (3, "a")}
    one = replace(project(network), release=5)
    assert makespan_bound(Instance((), (one,))) == 15
    assert heads_and_tails(one) == [(5, 3), (12, 0)]
