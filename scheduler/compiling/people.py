"""People by kind, as packed counters; who is given by facts; room for crews."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from scheduler.compiling.arrays import LANE_BITS, LANE_MOST, LANES
from scheduler.compiling.standing import lead_of

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from scheduler.compiling.time_tables import Tracks
    from scheduler.problem import Committed, Operation

LANE_ONES = 2**LANE_BITS - 1


@dataclass(frozen=True)
class Kinds:
    """Everybody with the same skills, standing and hours, kinds of few skills first.

    `skills` are those that a kind counts for (`scheduler.compiling.standing`).
    """

    members: tuple[tuple[str, ...], ...]
    skills: tuple[frozenset[str], ...]
    of_person: dict[str, int]


def sort_kinds(
    counted: Mapping[str, frozenset[str]],
    present: Mapping[str, np.ndarray],
    ref_of: np.ndarray,
    alone: frozenset[str] = frozenset(),
) -> Kinds:
    """Group people whose absence never cuts a stretch in which the others work.

    Two people are of one kind if they count for the same skills (`counted` has those
    of each person, leads among them) and, in every unbroken stretch of ticks in which
    either is there, each is there from end to end or not at all. Leave of whole days
    keeps people together; those `alone` (whom facts have put somewhere by name) are
    kinds of their own. Kinds that share skills, directly or by way of others, stand
    together and begin a word of counters.
    """
    gaps = np.diff(ref_of[:-1], prepend=-2, append=ref_of[-1] + 2) != 1
    changes = _Changes()
    groups: list[tuple[frozenset[str], np.ndarray, list[str]]] = []
    for person in sorted(counted):
        own, here = counted[person], present[person]
        for place, (skills, union, members) in enumerate(groups):
            apart = person in alone or members[0] in alone
            apart = apart or len(members) == LANE_MOST
            if apart or skills != own:
                continue
            joined = union | here
            masks = [here, *(present[name] for name in members)]
            if changes.only_at(changed(joined) | gaps, masks):
                members.append(person)
                groups[place] = (skills, joined, members)
                break
        else:
            groups.append((own, here.copy(), [person]))
    groups = [one for one in groups if one[0]]
    groups.sort(key=lambda one: (len(one[0]), sorted(one[0]), one[2]))
    lanes: list[tuple[frozenset[str], tuple[str, ...]]] = []
    for family in _families([one[0] for one in groups]):
        lanes += [(own, tuple(names)) for own, _, names in groups if own <= family]
        while len(lanes) % LANES:  # lanes that nobody counts in
            lanes.append((frozenset(), ()))
    return Kinds(
        members=tuple(names for _, names in lanes),
        skills=tuple(own for own, _ in lanes),
        of_person={name: k for k, (_, names) in enumerate(lanes) for name in names},
    )


def _families(sets: Sequence[frozenset[str]]) -> list[frozenset[str]]:
    """Skills joined by people who have several of them."""
    families: list[frozenset[str]] = []
    for one in sets:
        touching = [family for family in families if family & one]
        families = [family for family in families if not family & one]
        families.append(one.union(*touching))
    return sorted(families, key=sorted)


def changed(here: np.ndarray) -> np.ndarray:
    """Before which positions, and at the end, a mask begins or ends."""
    out = np.empty(len(here) + 1, np.bool_)
    out[0], out[-1] = here[0], here[-1]
    np.not_equal(here[1:], here[:-1], out=out[1:-1])
    return out


class _Changes:
    """Where masks change, worked out once: people with the same hours share one."""

    def __init__(self) -> None:
        self._at: dict[int, np.ndarray] = {}

    def only_at(self, edges: np.ndarray, masks: Sequence[np.ndarray]) -> bool:
        """Whether masks change nowhere but at edges."""
        different = {id(one): one for one in masks}
        return all(edges[self._of(one)].all() for one in different.values())

    def _of(self, one: np.ndarray) -> np.ndarray:
        key = id(one)  # whoever asks keeps the masks
        if key not in self._at:
            self._at[key] = np.flatnonzero(changed(one))
        return self._at[key]


def pack_people(
    skills: tuple[str, ...],
    kinds: Kinds,
    present: Mapping[str, np.ndarray],
    resting: Mapping[str, np.ndarray],
    tracks: Tracks,
) -> dict[str, Any]:
    """Lanes of people at work and at rest by kind, and which lanes have each skill."""
    words = max(1, -(-len(kinds.members) // LANES))
    able = np.zeros((len(skills), words), np.uint64)
    leading = np.zeros((len(skills), words), np.uint64)
    for kind, own in enumerate(kinds.skills):
        word, lane = divmod(kind, LANES)
        ones = np.uint64(LANE_ONES) << np.uint64(LANE_BITS * lane)
        for index, skill in enumerate(skills):
            if skill in own:
                able[index, word] |= ones
            if lead_of(skill) in own:
                leading[index, word] |= ones
    used = able != 0
    there = _lanes(kinds, present, tracks.positions, words)
    rest = _lanes(kinds, resting, tracks.positions, words)
    work = np.zeros(tracks.positions, np.bool_)
    work[tracks.open_position[tracks.in_break == 0]] = True
    return {
        "able": able,
        "leading_kinds": leading,
        "kinds_free": there,
        "kinds_least": _fewest(there, tracks),
        "kinds_resting": rest,
        "some_rest": int((rest[:, work] != 0).any()),
        "word_from": used.argmax(axis=1).astype(np.int32),
        "word_to": (words - used[:, ::-1].argmax(axis=1)).astype(np.int32),
    }


def _fewest(there: np.ndarray, tracks: Tracks) -> np.ndarray:
    """The least of every counter over each segment: [words, segments]."""
    words, segments = len(there), len(tracks.segment_at) - 1
    out = np.zeros((words, segments), np.uint64)
    for lane in range(LANES if segments else 0):
        shift = np.uint64(LANE_BITS * lane)
        counts = (there >> shift) & np.uint64(LANE_ONES)
        out |= np.minimum.reduceat(counts, tracks.segment_at[:-1], axis=1) << shift
    return out


def _lanes(
    kinds: Kinds, masks: Mapping[str, np.ndarray], positions: int, words: int
) -> np.ndarray:
    """How many of each kind a mask holds, packed: [words, positions]."""
    out = np.zeros((words, positions), np.uint64)
    for kind, members in enumerate(kinds.members):
        word, lane = divmod(kind, LANES)
        count = np.zeros(positions, np.uint64)
        for name in members:
            count += masks[name].astype(np.uint64)
        out[word] |= count << np.uint64(LANE_BITS * lane)
    return out


def named_people(committed: Mapping[str, Committed]) -> frozenset[str]:
    """Everybody whom frozen, locked or begun work names."""
    return frozenset(
        name
        for fact in committed.values()
        if fact.why != "done"
        for name in (*fact.people, *(stint.person for stint in fact.stints))
    )


def given_people(
    operations: Sequence[Operation],
    committed: Mapping[str, Committed],
    kinds: Kinds,
    ticks: int,
) -> dict[str, Any]:
    """People whom frozen, locked or begun work names, with the ticks that count."""
    offsets, kind, begin, until = [0], [], [], []
    for one in operations:
        fact = committed.get(one.id)
        if fact is not None and fact.why != "done":
            spans = [(stint.person, stint.start, stint.finish) for stint in fact.stints]
            spans = spans or [(name, 0, ticks) for name in fact.people]
            for name, start, finish in spans:
                if name in kinds.of_person:
                    kind.append(kinds.of_person[name])
                    begin.append(start)
                    until.append(finish)
        offsets.append(len(kind))
    return {
        "given_at": np.array(offsets, np.int32),
        "given_kind": np.array(kind, np.int32),
        "given_from": np.array(begin, np.int32),
        "given_to": np.array(until, np.int32),
    }


def share_offsets(
    tracks: Tracks,
    track: np.ndarray,
    skill: np.ndarray,
    lengths: Sequence[Sequence[int]],
) -> np.ndarray:
    """Room for the crews of an operation's stretches, as offsets.

    As many as it can touch with its smallest crew, wherever it begins: what is close
    together in memory is read sooner.
    """
    pairs = [(int(track[op]), max(row)) for op, row in enumerate(lengths)]
    most = {pair: _most_stretches(tracks, *pair) for pair in set(pairs)}
    counts = np.where(skill >= 0, [most[pair] for pair in pairs], 0)
    return np.concatenate([[0], np.cumsum(counts)]).astype(np.int32)


def _most_stretches(tracks: Tracks, track: int, length: int) -> int:
    """The most runs of a track that so many ticks in succession can touch.

    All of them where the ticks are more than there are: a larger crew may need fewer.
    """
    part = slice(tracks.track_at[track], tracks.track_at[track + 1])
    begins = tracks.run_begin[part]
    run_of = np.cumsum(begins == np.arange(len(begins)))
    last = run_of[max(0, min(length, len(begins)) - 1) :]
    return int((last - run_of[: len(last)]).max(initial=0)) + 1
