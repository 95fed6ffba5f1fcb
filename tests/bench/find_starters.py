"""Find the starters of `lessons.planner.course.starters`, each with CP-SAT over groups of golfers.

Run with ``python -m tests.bench.find_starters``; it prints the table. A starter is a set of groups
that hold every golfer once and every distance at most once. Asking for more symmetry makes the
search far smaller and still finds most of them: ``half`` is for a ring that is turned by half its
places only, because a starter looks the same after that; ``shift`` and ``scale`` say that moving
every golfer to the ring ``shift`` further on and to ``scale`` times the place changes nothing.
"""

import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

from ortools.sat.python import cp_model

from lessons.planner.course.starters import Starter

Group = tuple[int, ...]
SECONDS = 120


@dataclass(frozen=True)
class Wanted:
    """One starter to look for."""

    groups: int
    size: int
    turn: int
    starters: int = 1
    half: bool = False
    shift: int = 0
    scale: int = 1

    @property
    def golfers(self) -> int:
        return self.groups * self.size

    @property
    def rings(self) -> int:
        return self.golfers // self.turn

    @property
    def times(self) -> int:
        return self.turn // 2 if self.half else self.turn

    def moved(self, golfer: int, by: int) -> int:
        ring, place = divmod(golfer, self.turn)
        return golfer if ring == self.rings else ring * self.turn + (place + by) % self.turn

    def mirrored(self, golfer: int) -> int:
        ring, place = divmod(golfer, self.turn)
        if ring < self.rings:
            ring = (ring + self.shift) % self.rings
            return ring * self.turn + place * self.scale % self.turn
        still = self.golfers % self.turn
        return ring * self.turn + ((place + self.shift) % still if still == self.rings else place)


WANTED = (
    Wanted(5, 3, 7),
    Wanted(6, 3, 4, starters=2),
    Wanted(7, 3, 5, starters=2),
    Wanted(8, 3, 11),
    Wanted(10, 3, 14),
    Wanted(11, 3, 32, half=True),
    Wanted(6, 4, 7),
    Wanted(7, 4, 9, shift=1, scale=4),
    Wanted(9, 4, 11, shift=1),
    Wanted(10, 4, 13, scale=3),
)


def find(wanted: Wanted) -> Starter | None:
    distance = _distances(wanted)
    bundles = [*_bundles(wanted, distance)]
    model = cp_model.CpModel()
    taken: dict[object, list[cp_model.IntVar]] = {}
    chosen = []
    for number in range(wanted.starters):
        for bundle in bundles:
            literal = model.new_bool_var("")
            chosen.append((number, bundle, literal))
            for golfer in {golfer for group in bundle for golfer in group}:
                taken.setdefault((number, golfer), []).append(literal)
            for apart in {distance[p] for group in bundle for p in combinations(group, 2)}:
                taken.setdefault(apart, []).append(literal)
    for key, literals in taken.items():
        (model.add_exactly_one if isinstance(key, tuple) else model.add_at_most_one)(literals)
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = SECONDS
    solver.parameters.num_workers = 2
    if solver.solve(model) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    first = tuple(
        tuple(
            group
            for at, bundle, literal in chosen
            if at == number and solver.boolean_value(literal)
            for group in bundle
        )
        for number in range(wanted.starters)
    )
    return Starter(wanted.turn, wanted.times, wanted.golfers, first)


def _distances(wanted: Wanted) -> dict[tuple[int, int], int]:
    """A number for each pair of golfers, the same for pairs that turn into each other."""
    found: dict[tuple[int, int], int] = {}
    for pair in combinations(range(wanted.golfers), 2):
        if pair not in found:
            number = len(found)
            for by in range(wanted.turn):
                one, other = sorted(wanted.moved(golfer, by) for golfer in pair)
                found[one, other] = number
    return found


def _bundles(wanted: Wanted, distance: dict[tuple[int, int], int]) -> Iterator[list[Group]]:
    """Groups that the symmetries asked for carry into each other, when they do not clash."""
    seen: set[Group] = set()
    for group in combinations(range(wanted.golfers), wanted.size):
        if group in seen:
            continue
        bundle = [group]
        for each in bundle:
            images = [tuple(sorted(wanted.mirrored(golfer) for golfer in each))]
            if wanted.half:
                images.append(tuple(sorted(wanted.moved(g, wanted.times) for g in each)))
            bundle += [image for image in images if image not in bundle]
        seen.update(bundle)
        if _clean(wanted, bundle):
            yield bundle


def _clean(wanted: Wanted, bundle: list[Group]) -> bool:
    """No golfer twice, and no pair that meets again as the bundle is turned."""
    golfers = [golfer for group in bundle for golfer in group]
    if len({*golfers}) < len(golfers):
        return False
    met = [
        (min(pair), max(pair))
        for group in bundle
        for by in range(wanted.times)
        for pair in combinations([wanted.moved(golfer, by) for golfer in group], 2)
    ]
    return len({*met}) == len(met)


def main() -> None:
    for wanted in WANTED:
        began = time.monotonic()
        starter = find(wanted)
        spent = time.monotonic() - began
        sys.stdout.write(f"    ({wanted.groups}, {wanted.size}): {starter},  # {spent:.1f} s\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main()
