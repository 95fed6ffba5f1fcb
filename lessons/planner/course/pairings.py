"""Who plays with whom on the course, over several rounds, and no two twice.

``groups`` of ``size`` golfers play each round: the social golfer problem (W. Harvey, problem 010 of
CSPLib). Golfers are numbered from 0. What is known is tried first, the most rounds winning:

- one round, which needs no thought, and is all there is when a group outnumbers the groups;
- pairs: a round robin by the circle method (E. Lucas, *Récréations mathématiques* II, 1883);
- lines over a ring (R. C. Bose, "On the application of the properties of Galois fields to the
  problem of construction of hyper-Graeco-Latin squares", Sankhya 3 (1938) 323-338, and MacNeish
  1922): golfer (x, y) is in line b of slope m when y = mx + b. Golfers with the same x never meet
  in it and have rounds among themselves, if the groups can be made up of them;
- a starter: one round, or a few, turned step by step (`lessons.planner.course.starters`).

When these give too few rounds, CP-SAT looks for more, and may prove that there are none.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise
from typing import Any

from ortools.sat.python import cp_model

from lessons.planner.course.fields import Ring
from lessons.planner.course.starters import STARTERS
from lessons.planner.plan import OutOfTime

Group = tuple[int, ...]
Round = tuple[Group, ...]
Literals = Sequence[Sequence[Any]]


class NoPairings(ValueError):
    """So many rounds cannot be played without two golfers meeting twice."""


@dataclass(frozen=True)
class Pairings:
    """Groups by round, and the construction they come from."""

    rounds: tuple[Round, ...]
    source: str


def most_rounds(groups: int, size: int) -> int:
    """Rounds that no pairings exceed, counted by whom one golfer can meet.

    Raises
    ------
    NoPairings
        If there is no group, or nobody to play with.
    """
    if groups < 1 or size < 2:
        raise NoPairings("Pairings need at least one group of two golfers.")
    return 1 if size > groups else (groups * size - 1) // (size - 1)


def pair_up(
    groups: int, size: int, rounds: int | None = None, *, seconds: float = 20, seed: int = 1
) -> Pairings:
    """Pairings for so many rounds, or for as many as a construction gives when not said.

    Raises
    ------
    NoPairings
        If it is proven that there are not so many rounds.
    OutOfTime
        If no pairings were found in the time given, and none ruled out.
    """
    most = most_rounds(groups, size)
    if rounds is not None and not 1 <= rounds <= most:
        raise NoPairings(f"{groups} groups of {size} have 1 to {most} rounds, not {rounds}.")
    known = max(_constructions(groups, size), key=lambda found: len(found.rounds))
    if rounds is None or rounds <= len(known.rounds):
        found = Pairings(known.rounds[:rounds], known.source)
    else:
        found = Pairings(_searched(groups, size, rounds, seconds, seed), "search")
    assert not repeated(found.rounds), found
    return found


def repeated(rounds: Iterable[Round]) -> list[tuple[int, int]]:
    """Pairs of golfers who are in one group more than once."""
    met: set[tuple[int, int]] = set()
    again = set()
    for played in rounds:
        for group in played:
            pairs = {*combinations(sorted(group), 2)}
            again |= met & pairs
            met |= pairs
    return sorted(again)


def _constructions(groups: int, size: int) -> list[Pairings]:
    found = [Pairings((_in_order(groups, size),), "one round")]
    if size == 2:
        found.append(Pairings(_circle(groups), "circle method"))
    elif size <= groups:
        found.append(Pairings(_lines(groups, size), "lines over a ring"))
    if (groups, size) in STARTERS:
        found.append(Pairings(STARTERS[groups, size].rounds(), "starter"))
    return found


def _in_order(groups: int, size: int) -> Round:
    return tuple(tuple(range(first, first + size)) for first in range(0, groups * size, size))


def _circle(groups: int) -> tuple[Round, ...]:
    """The last golfer sits in the middle, the others round them and move on one seat a round."""
    ring = 2 * groups - 1
    return tuple(
        (
            (turn, ring),
            *(((turn + step) % ring, (turn - step) % ring) for step in range(1, groups)),
        )
        for turn in range(ring)
    )


def _lines(groups: int, size: int) -> tuple[Round, ...]:
    """Golfer (x, y) has number ``x * groups + y``; x is one of the first ``size`` elements."""
    ring = Ring(groups)
    rounds = [
        tuple(
            tuple(x * groups + ring.line(slope, offset, x) for x in range(size))
            for offset in range(groups)
        )
        for slope in ring.apart
    ]
    if groups % size == 0:
        inside = max(_constructions(groups // size, size), key=lambda found: len(found.rounds))
        rounds += [
            tuple(
                tuple(x * groups + golfer for golfer in group)
                for x in range(size)
                for group in played
            )
            for played in inside.rounds
        ]
    return tuple(rounds)


def _searched(groups: int, size: int, rounds: int, seconds: float, seed: int) -> tuple[Round, ...]:
    model = cp_model.CpModel()
    places = _places(model, groups, size, rounds)
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = 2
    solver.parameters.random_seed = seed
    status = solver.solve(model)
    if status == cp_model.INFEASIBLE:
        raise NoPairings(f"{groups} groups of {size} have fewer than {rounds} rounds.")
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        raise OutOfTime(f"No {rounds} rounds were found in {seconds:g} s, and none ruled out.")
    return tuple(
        tuple(
            tuple(golfer for golfer, literal in enumerate(row) if solver.boolean_value(literal))
            for row in group_rows
        )
        for group_rows in places
    )


def _places(model: cp_model.CpModel, groups: int, size: int, rounds: int) -> list[Literals]:
    """Literals by round, group and golfer that keep every two from meeting twice.

    The first round may be any, so it goes in order; its first group is then spread over the first
    groups of every later round; and of two later rounds the one with the lower partner for golfer
    0 comes first.
    """
    golfers = range(groups * size)
    places = [_round(model, groups, size) for _ in range(rounds)]
    for group, members in enumerate(_in_order(groups, size)):
        for golfer in members:
            model.add(places[0][group][golfer] == 1)
    for later in places[1:]:
        for golfer in range(size):
            model.add(later[golfer][golfer] == 1)
    for pair in combinations(golfers, 2):
        model.add_at_most_one(_meets(model, played, *pair) for played in places)
    lowest = [_lowest_partner(model, played[0], size) for played in places[1:]]
    for one, other in pairwise(lowest):
        model.add(one < other)
    return places


def _round(model: cp_model.CpModel, groups: int, size: int) -> Literals:
    rows = [[model.new_bool_var("") for _ in range(groups * size)] for _ in range(groups)]
    for row in rows:
        model.add(sum(row) == size)
    for golfer in zip(*rows, strict=True):
        model.add_exactly_one(golfer)
    return rows


def _meets(model: cp_model.CpModel, played: Literals, one: int, other: int) -> Any:
    met = model.new_bool_var("")
    for row in played:
        model.add_bool_or(met, ~row[one], ~row[other])
    return met


def _lowest_partner(model: cp_model.CpModel, row: Sequence[Any], size: int) -> Any:
    """The lowest golfer of the first round's other groups who plays with golfer 0."""
    lowest = model.new_int_var(size, len(row) - 1, "")
    for golfer in range(size, len(row)):
        model.add(lowest <= golfer).only_enforce_if(row[golfer])
        model.add(lowest != golfer).only_enforce_if(~row[golfer])
    return lowest
