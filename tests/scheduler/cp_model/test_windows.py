"""Windows of operations against decoded plans and waits read off tick by tick."""

from __future__ import annotations

from random import Random

import pytest

from scheduler.compiling.compile import compile_problem
from scheduler.cp_model.setting import make_setting
from scheduler.cp_model.windows import NoWay, WaitClock, find_windows
from tests.scheduler.random_facts import random_plan
from tests.scheduler.random_problems import random_problem


def test_no_start_of_a_decoded_plan_is_cut_off() -> None:
    """Every plan of a value lies in the windows for that value."""
    looked = 0
    for seed in range(60):
        problem = random_problem(seed, facts=seed % 3 == 0)
        compilation = compile_problem(problem)
        plan = random_plan(compilation, Random(seed))
        if plan is None:
            continue
        setting = make_setting(compilation, plan, None)
        windows = find_windows(setting, plan.values[0])
        for op, job in windows.jobs.items():
            start, finish = int(plan.start[op]), int(plan.finish[op])
            assert job.finish[0] <= finish <= job.finish[1]
            if job.begun is None:
                assert job.start[0] <= start <= job.start[1]
            if job.has_length:
                own = [m for m in job.modes if m.length == plan.length[op]]
                assert own
                assert plan.index[op] in own[0].starts
            looked += 1
    assert looked > 500


def test_less_than_each_boat_alone_is_refused() -> None:
    """No windows are given for a value below what boats alone cannot avoid."""
    refused = 0
    for seed in range(40):
        compilation = compile_problem(random_problem(seed, boats=2))
        setting = make_setting(compilation, None, None)
        a = compilation.arrays
        windows = find_windows(setting, None)
        least = sum(
            int(a.boat_weight[boat]) * days
            for boat, days in windows.least_tardy.items()
        )
        if least:
            with pytest.raises(NoWay):
                find_windows(setting, least - 1)
            find_windows(setting, least)
            refused += 1
    assert refused > 5


def test_wait_limits_are_the_first_and_last_ticks_that_keep_them() -> None:
    """Both limits of a wait, forward and backward, agree with counting ticks."""
    tried = 0
    for seed in range(60):
        compilation = compile_problem(random_problem(seed))
        setting = make_setting(compilation, None, None)
        a = compilation.arrays
        random = Random(seed)
        for wait in range(len(a.wait_min)):
            clock = WaitClock(setting, wait)

            def passed(begin: int, until: int, clock: WaitClock = clock) -> int:
                if until < begin or clock.axis is None:
                    return until - begin
                ticks = clock.axis.ticks
                return int(((ticks >= begin) & (ticks < until)).sum())

            at = random.randrange(300, 500)
            near = range(min(a.ticks, 2600))
            later = [t for t in near if passed(at, t) >= clock.least and t >= at]
            sooner = [t for t in near if passed(t, at) >= clock.least and t <= at]
            if later and sooner:
                assert clock.earliest(at) == later[0]
                assert clock.earliest_begin_ceiling(at) == sooner[-1]
                tried += 1
            if clock.most >= 0:
                kept = [t for t in near if t >= at and passed(at, t) <= clock.most]
                since = [t for t in near if t <= at and passed(t, at) <= clock.most]
                assert clock.latest(at) == kept[-1]
                assert clock.latest_begin_floor(at) == since[0]
    assert tried > 100
