"""The search: rule starts, scouts, then annealing chains in rounds.

A scout is a short chain. Where a chain ends depends far more on chance in its first few
hundred decodes than on how long it goes on; so the budget buys many scouts. The first
set out from the rules, the later ones from the best plans that earlier ones found.

A fixed number of logical chains runs whatever the number of workers; they meet only
at the ends of rounds. With a budget of decodes the result is therefore the same for a
seed, with one worker or several; with a budget of seconds it is not.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field

import numpy as np

from models.errors import NoPlan
from scheduler.bounds import alone_bound
from scheduler.compiling.arrays import I32, Arrays
from scheduler.decoding.decoder import (
    VALUES,
    decode,
    due_positions,
    facts_state,
    new_state,
)
from scheduler.decoding.failure import CLASH
from scheduler.decoding.placing import Choices, State
from scheduler.searching.alone import Alone, alone_figures
from scheduler.searching.chain import (
    Chain,
    copy_choices,
    new_chain,
    new_choices,
    new_shelf,
    run_chain,
)
from scheduler.searching.dispatch import (
    Dispatched,
    dispatch_all,
)
from scheduler.searching.starts import Ranked, rank_starts

CHAINS = 2
ROUNDS = 24  # of a budget of decodes
HEAT_FROM, HEAT_TO = 150.0, 2.0  # weighted open ticks
QUIET_SHARE = 0.15  # of the budget, at its end, spent on beginning work later
ROUND_SECONDS = 0.4
FIRST_ROUND = 60
RULE_SHARE = 0.3  # of the budget: scouts that set out from the rules
SCOUT_SHARE = 1.0 - QUIET_SHARE  # when the last scout is back
SCOUT_TURNS = 400
SEEDS = 4096  # of the chains of one search
EVENT_SHARE = 0.05  # of the budget, for plans of the event-driven decoder
EVENT_DECODES = 20  # of boats one after the other, in the time of one of those
LAG_SHARE = 0.3  # of the budget, after which chains must be ahead of those plans
NEVER = 2**60
FEWEST_SCOUTS = 4  # of each chain; where the budget holds fewer, there are none


@dataclass(frozen=True)
class Budget:
    """How long to search: seconds, or a number of decodes (which is repeatable)."""

    seconds: float | None = 20.0
    work: int | None = None


@dataclass(frozen=True)
class Progress:
    """What a search reports while it runs."""

    phase: str
    seconds: float
    share: float
    tardiness: int
    bound: int
    decodes: int


Report = Callable[[Progress], None]


@dataclass
class Found:
    """What a search brings back; best choices first."""

    choices: list[Choices]
    values: list[tuple[int, ...]]
    rules: dict[str, int]  # weighted tardy days by rule, each rule at its best crew
    due_date_value: int | None  # earliest due date, the crew that finishes first
    bound: int
    decodes: int = 0
    seconds: float = 0.0
    whole: list[Dispatched] = field(default_factory=list)  # best first, in no order


@dataclass
class _Run:
    a: Arrays
    facts: State
    due_position: I32
    budget: Budget
    report: Report | None
    should_stop: Callable[[], bool]
    bound: int
    whole: int  # value of the best plan of the event-driven decoder
    decodes: int = 0
    began: float = field(default_factory=time.monotonic)

    @property
    def seconds(self) -> float:
        return time.monotonic() - self.began


def search(
    a: Arrays,
    facts: State,
    budget: Budget,
    *,
    seed: int = 0,
    workers: int = 2,
    starts: list[Choices] | None = None,
    report: Report | None = None,
    should_stop: Callable[[], bool] = lambda: False,
) -> Found:
    """Search for choices that decode to a good plan.

    Parameters
    ----------
    a, facts : Arrays, State
        The problem, and the state with everything committed in it.
    starts : list of Choices, optional
        Further starting points, for example those of a plan without a change.

    Returns
    -------
    Found
        With no choices where not even one rule could be decoded to a plan. Plans of
        the event-driven decoder (`whole`) follow no order of boats: reinsertion goes on
        from them where they are better.
    """
    due, bound = due_positions(a), alone_bound(a)
    run = _Run(a, facts, due, budget, report, should_stop, bound, NEVER)
    alone = alone_figures(a, facts)
    whole = _event_driven(run, alone, workers)
    if whole:
        run.whole = whole[0].values[0]
    ranked, rules, tried = rank_starts(
        a, facts, due, alone, whole, starts or [], workers
    )
    run.decodes += tried
    due_value = next((v[0] for name, v, _ in ranked if name == "due/first"), None)
    if not ranked:
        return Found([], [], {}, None, run.bound, run.decodes, run.seconds, whole)
    chains = _new_chains(a, ranked, seed * SEEDS)
    chains = _scout(run, ranked, chains, seed, workers)
    _anneal(run, chains, workers)
    best = sorted(chains, key=lambda chain: tuple(chain.value[2]))
    return Found(
        choices=[chain.best for chain in best],
        values=[tuple(int(one) for one in chain.value[2]) for chain in best],
        rules=rules,
        due_date_value=due_value,
        bound=run.bound,
        decodes=run.decodes,
        seconds=run.seconds,
        whole=whole,
    )


def warm_up(a: Arrays, facts: State) -> None:
    """Have the search compiled (or loaded) before any clock runs."""
    state, value = new_state(a), np.zeros(VALUES, np.int64)
    nobody = new_choices(a, np.zeros(0, np.int32))
    decode(a, facts, state, nobody, due_positions(a), value)
    chain = new_chain(a, nobody, 1, 0)
    run_chain(a, facts, state, new_shelf(a), chain, due_positions(a), 0, 1.0, 1.0)


def _event_driven(run: _Run, alone: Alone, workers: int) -> list[Dispatched]:
    """Whole plans of the event-driven decoder; counted by the time that they take."""
    most = NEVER
    if run.budget.work is not None:
        most = int(run.budget.work * EVENT_SHARE / EVENT_DECODES)
    found, tried = dispatch_all(
        run.a,
        run.facts,
        alone,
        run.due_position,
        most,
        workers,
        lambda: run.budget.work is None and _share(run) >= EVENT_SHARE,
    )
    run.decodes += tried * EVENT_DECODES
    return found


def _new_chains(a: Arrays, ranked: list[Ranked], seed: int) -> list[Chain]:
    """One chain from each of the best starts."""
    chains = []
    for k in range(CHAINS):
        _, value, start = ranked[k % len(ranked)]
        chains.append(new_chain(a, start, seed + k + 1, a.leading))
        chains[-1].value[2] = value
    return chains


def _scout(
    run: _Run, ranked: list[Ranked], best: list[Chain], seed: int, workers: int
) -> list[Chain]:
    """Run short chains, and return the best as they were left."""
    a = run.a
    shelves = [(new_state(a), new_shelf(a)) for _ in range(CHAINS)]
    if len(best[0].current.order) == 0 or not _holds_scouts(run):
        return best
    scouts = 0
    with ThreadPoolExecutor(max_workers=workers) as pool:
        while _share(run) < SCOUT_SHARE and not _is_over(run, best):
            scouts += 1
            chains = _new_chains(a, ranked, seed * SEEDS + scouts * CHAINS)
            if _share(run) >= RULE_SHARE:
                _follow(chains, best)
            jobs = [
                pool.submit(
                    run_chain, a, run.facts, state, shelf, chain,
                    run.due_position, SCOUT_TURNS, HEAT_FROM, HEAT_TO,
                )
                for chain, (state, shelf) in zip(chains, shelves, strict=True)
            ]  # fmt: skip
            for job in jobs:
                job.result()
            run.decodes += SCOUT_TURNS * CHAINS
            both = best + chains
            best = sorted(both, key=lambda chain: tuple(chain.value[2]))[:CHAINS]
            _tell(run, best, "scout", _share(run))
    return best


def _follow(chains: list[Chain], best: list[Chain]) -> None:
    """Let chains set out from the best that others have found."""
    for chain, ahead in zip(chains, best, strict=True):
        copy_choices(ahead.best, chain.current)
        copy_choices(ahead.best, chain.best)
        chain.value[2] = ahead.value[2]


def _holds_scouts(run: _Run) -> bool:
    """Whether the budget holds enough scouts to choose from."""
    turns = SCOUT_TURNS * FEWEST_SCOUTS * CHAINS
    if run.budget.work is not None:
        return turns <= run.budget.work * SCOUT_SHARE
    seconds = run.seconds / max(1, run.decodes) * turns / CHAINS
    return seconds <= (run.budget.seconds or 0.0) * SCOUT_SHARE


def _anneal(run: _Run, chains: list[Chain], workers: int) -> None:
    a = run.a
    shelves = [(new_state(a), new_shelf(a)) for _ in chains]
    turns, share = _first_turns(run), _share(run)
    reheats = [at for at in (0.4, 0.7) if at > share]
    if len(chains[0].current.order) == 0:
        return
    with ThreadPoolExecutor(max_workers=workers) as pool:
        while share < 1.0 and not _is_over(run, chains):
            began = run.seconds
            ahead = min(1.0, share + turns / max(1, _total_turns(run, turns, share)))
            quiet = share >= 1.0 - QUIET_SHARE
            jobs = []
            for chain, (state, shelf) in zip(chains, shelves, strict=True):
                chain.quiet[0] = 85 if quiet else 4
                hot, cool = _heat(share), _heat(ahead)
                jobs.append(
                    pool.submit(
                        run_chain, a, run.facts, state, shelf, chain,
                        run.due_position, turns, hot, cool,
                    )
                )  # fmt: skip
            for job in jobs:
                job.result()
            run.decodes += turns * len(chains)
            share = _share(run)
            if quiet or (reheats and share >= reheats[0]):
                reheats = reheats if quiet else reheats[1:]
                _share_best(chains)
            _tell(run, chains, "quiet" if quiet else "search", share)
            turns = _next_turns(run, turns, run.seconds - began)


def _is_over(run: _Run, chains: list[Chain]) -> bool:
    """Whether to stop: asked to, or orders of boats lag behind a plan without one.

    Then reinsertion on that plan makes more of the time.
    """
    best = min(int(chain.value[2][0]) for chain in chains)
    lags = _share(run) >= LAG_SHARE and best > run.whole
    return lags or run.should_stop()


def _heat(share: float) -> float:
    """Annealing temperature at a share of the budget: three coolings, each cooler."""
    quiet = 1.0 - QUIET_SHARE
    if share >= quiet:
        return HEAT_TO
    for begin, end, factor in ((0.0, 0.4, 1.0), (0.4, 0.7, 0.4), (0.7, quiet, 0.15)):
        if share < end:
            inside = (share - begin) / (end - begin)
            hot = max(HEAT_TO, HEAT_FROM * factor)
            return float(hot * (HEAT_TO / hot) ** inside)
    return HEAT_TO


def _first_turns(run: _Run) -> int:
    if run.budget.work is not None:
        return max(1, run.budget.work // (ROUNDS * CHAINS))
    return FIRST_ROUND


def _total_turns(run: _Run, turns: int, share: float) -> float:
    """Turns of one chain that the whole budget holds, as far as can be told."""
    if run.budget.work is not None:
        return run.budget.work / CHAINS
    seconds = max(run.budget.seconds or 0.0, 0.1)
    return turns * max(1.0, seconds / ROUND_SECONDS)


def _share(run: _Run) -> float:
    if run.budget.work is not None:
        return run.decodes / max(1, run.budget.work)
    return run.seconds / max(run.budget.seconds or 0.0, 1e-9)


def _next_turns(run: _Run, turns: int, seconds: float) -> int:
    if run.budget.work is not None:
        left = run.budget.work - run.decodes
        return max(1, min(turns, left // CHAINS))
    return max(10, int(turns * min(4.0, ROUND_SECONDS / max(seconds, 1e-3))))


def _share_best(chains: list[Chain]) -> None:
    """Let every chain go on from the best choices that any of them has."""
    best = min(chains, key=lambda chain: tuple(chain.value[2]))
    for chain in chains:
        copy_choices(best.best, chain.current)
        chain.value[0] = best.value[2]


def _tell(run: _Run, chains: list[Chain], phase: str, share: float) -> None:
    if run.report is not None:
        best = min(int(chain.value[2][0]) for chain in chains)
        run.report(
            Progress(phase, run.seconds, min(1.0, share), best, run.bound, run.decodes)
        )


def facts_of(a: Arrays) -> State:
    """The committed state of a problem.

    Raises
    ------
    NoPlan
        If facts clash: the compiled loops must not run on such a state.
    """
    state, sound = facts_state(a)
    if not sound:
        raise NoPlan(CLASH)
    return state
