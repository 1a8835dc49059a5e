"""The problem as flat arrays: what the compiled decoder and search read.

Instants are reference ticks. The *work axis* lists only the reference ticks at which
some calendar is open; a *track* is one calendar as its list of open work-axis
positions (one-go operations on a calendar with relieved breaks have a track of their
own on which break ticks are open).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, ClassVar

import numpy as np
from numpy.typing import NDArray

from scheduler.decoding.bundle import Bundle

I32 = NDArray[np.int32]
I64 = NDArray[np.int64]
U64 = NDArray[np.uint64]
I8 = NDArray[np.int8]
TableI32 = Annotated[NDArray[np.int32], 2]
TableI64 = Annotated[NDArray[np.int64], 2]
TableU64 = Annotated[NDArray[np.uint64], 2]

FREE, DONE, STARTED, PINNED = 0, 1, 2, 3
"""How an operation is bound: free; a fact; begun with hours left; start and crew given.

A PINNED operation keeps its start (frozen or locked); its crew is fixed too.
"""

LANES, LANE_BITS = 8, 8
"""Counters packed in one 64-bit word, and their width; the top bit is a guard."""

LANE_MOST = 2 ** (LANE_BITS - 1) - 1
"""The most that a counter holds."""

BY_DUE_DATES, BY_LAST_FINISH = 0, 1
"""What a plan is measured by first: weighted tardy days, or the tick it ends at."""

PULL, REPAIR, SERVICED = 1, 0, -1
"""What a hold is to its mold: a pull, which counts; work that does not; a service by
people, from which on pulls are counted anew. Of a place always 0 or 1, never looked at.
"""

MISSABLE, AGAIN, CLASHING, ROOMY, BEGINNING, ENDING, SPECIAL = 1, 2, 4, 8, 16, 32, 64
PRECEDING, INSTANT, UNBROKEN, NARROW, SIZED = 128, 256, 512, 1024, 2048
"""Traits of an operation, so that most look-ups can be left out for most of them.

A wait may be missed with it; it may be placed again because one was; work that
excludes it; room at stations; holds that begin, that end with it; a set-up or a slot
to start in; work that may stand before it is placed and must wait for it; no length;
one go; a crew whose kinds share one word, none of them resting or an apprentice; a
crew that is given.
"""

FAR = np.int32(2**30)
"""Later than any tick."""


@dataclass(frozen=True, eq=False)
class Arrays(Bundle):
    """Flat arrays of one problem; `_at` arrays are offsets of variable-length lists."""

    constant: ClassVar[bool] = True  # written once, in Python
    ticks: int  # length of the reference axis
    now: int
    ticks_per_day: int
    goal: int  # BY_DUE_DATES or BY_LAST_FINISH
    leading: int  # open boats that hold a mold or place today
    boats: int  # boats and other jobs; services of molds by people come behind them
    complete: int  # 0: some plan may need more of those services
    # the work axis
    ref_of: I32  # [positions + 1] reference tick of each position; last is `ticks`
    position_at: I32  # [ticks + 1] first position at or after a reference tick
    # tracks
    track_at: I32  # [tracks + 1] offsets into open_position
    open_position: I32  # position of the i-th open tick of a track
    run_end: I32  # per entry: index (in the track) after its unbroken run
    open_index: (
        TableI32  # [tracks, positions + 1] first open index at or after a position
    )
    # segments: consecutive positions that no run of any track begins or ends inside
    segment_of: I32  # per position
    segment_in: I32  # per open entry of a track
    segment_at: I32  # offsets into positions
    # operations, contiguous by boat, in topological order
    boat_of: I32
    track: I32
    skill: I32  # -1: no crew
    crew_min: I32
    crew_max: I32
    leads: I32  # least of a crew who are no apprentices; 0: nobody is one in its skill
    length_at: I32  # offsets into `length`, one entry a crew size
    length_of: I32  # where `length` would have a crew of nobody
    length: I32  # worked ticks
    one_go: I8
    earliest: I32
    traits: I32  # what must be looked at: bits, see above
    binding: I8  # FREE, DONE, STARTED, PINNED
    fixed_start: I32
    fixed_finish: I32
    fixed_crew: I32  # 0: free choice
    # waits, listed by their later operation and by their earlier one
    wait_at: I32
    wait_list: I32
    plain_least: I32  # per entry: how long a wait of the common kind lasts, or -1
    plain_after: I32  # per entry: the earlier operation
    successor_at: I32
    successor_list: I32
    wait_before: I32
    wait_after: I32
    wait_before_end: I8  # 1: counted from the end of the earlier operation
    wait_after_end: I8  # 1: counted to the end of the later one
    wait_min: I32
    wait_max: I32  # -1: none
    wait_track: I32  # -1: wall clock, else the track whose open ticks count
    wait_cure: I32  # -1: as above, else the row of the cures below
    cure_end: TableI32  # [cures, ticks + 1] end of a cure by its start; FAR: never
    cure_begin: TableI32  # [cures, ticks + 1] last start by its end; -1: none
    # operations that must not overlap (one is exclusive in a shared part)
    clash_at: I32
    clash_list: I32
    # stations with a capacity
    demand_at: I32
    demand_station: I32
    demand_amount: I32
    station_capacity: I32
    # set-ups between families of color at a station, operations listed by station
    setup_row: I32  # per operation; -1: none
    setup_family: I32  # per operation
    setup_ticks: TableI32  # [families, families]
    setup_at: I32
    setup_list: I32
    # slots in which operations must start (openings, 0: none)
    opening_row: I32  # per operation; -1: any start
    opening_number: TableI32  # [rows, ticks + 1]
    opening_next: TableI32  # [rows, ticks + 1] first tick from here in one; FAR: none
    opening_end: I32
    opening_room: I32  # most starts
    opening_at: I32
    opening_list: I32  # operations of each row
    # boats
    boat_at: I32  # offsets into operations
    boat_due: I32  # index of the due working day; FAR: no due date
    boat_weight: I64
    boat_model: I32  # boats of one number are of one model
    boat_fixed: I8  # 1: nothing of it is left to decide
    day_index: I32  # [ticks + 1] working days whose open time ends before a tick
    # parts and the slots (one mold, or one unit of a place) that they occupy
    part_boat: I32
    hold_part: I32  # a hold is one occupation: (part, mold) or (part, place)
    hold_is_place: I8
    hold_is_limit: I8  # 1: a limit on work in process, which is no mold or place
    hold_rate: I64  # of level 4, per tick
    hold_from: I32  # operation whose start begins it
    hold_to: I32
    hold_to_end: I8  # 1: to the end of hold_to, 0: to its start
    hold_least: I32  # ticks that it lasts at least
    hold_open: I8  # 1: begun by a fact, its end undecided
    hold_active: I8  # 0: over already
    hold_pull: I8  # PULL, REPAIR or SERVICED
    candidate_at: I32
    candidate_slot: I32
    candidate_row: I8  # 1: they are neighbors by number, none with a service
    begin_at: I32  # holds that begin with an operation
    begin_list: I32
    end_at: I32  # holds that end with an operation
    end_list: I32
    slot_resource: I32
    slot_room: int  # most occupations that any one slot can have
    outage_at: I32
    outage_from: I32
    outage_to: I32
    # service of molds, by slot: after so many pulls (0: never), pulls so far
    slot_every: I32
    slot_pulls: I32
    slot_service: I32  # row of the tables below
    service_end: TableI32  # [rows, ticks + 1] end of a service from a tick on; FAR
    service_begin: TableI32  # [rows, ticks + 1] last tick from which one ends by it
    service_at: I32  # services by people (boats), listed by slot
    service_list: I32
    # people: a kind is everybody with the same skills, standing and hours
    able: (
        TableU64  # [skills, words] all ones in the lanes of the kinds that have a skill
    )
    leading_kinds: TableU64  # [skills, words] of them, those that are no apprentices
    kinds_free: TableU64  # [words, positions] people at work, by kind
    kinds_resting: TableU64  # of them, in a relieved break of their own
    kinds_least: TableU64  # [words, segments] the fewest at work over a segment
    some_rest: int  # 1: someone rests while other work could go on
    in_break: I8  # per open entry: 1 in a relieved break
    word_from: I32  # [skills] words that hold the kinds of a skill
    word_to: I32
    run_begin: I32  # per open entry: index (in the track) that begins its unbroken run
    share_at: I32  # per operation: offset into the stored crews of its stretches
    given_at: I32  # people whom facts give, listed by operation
    given_kind: I32
    given_from: I32
    given_to: I32
    # rates of level 4, per tick
    flow_rate: int
