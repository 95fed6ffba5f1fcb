"""The rules a plan keeps, as things that can be named, and which of them a choice breaks.

A choice is one start, one pool of bays or one instructor for a squad's visit. The strict model
leaves out what breaks a rule; the guarded model, which explains why there is no plan, keeps it
and forbids it only while the rule is held.
"""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

from lessons.planner.problem import (
    LEFT_HANDED,
    Bay,
    Instructor,
    Problem,
    SlotOfSchool,
    Squad,
    Visit,
)


class Rule(NamedTuple):
    """One rule by kind and by the keys of what it is about."""

    kind: str
    keys: tuple[str, ...] = ()


def must_have(squad: Squad, visit: Visit) -> Rule:
    """The squad has the visit."""
    return Rule("visit", (visit.key, squad.key))


def walk_rule(here: str, there: str) -> Rule:
    """Nobody changes between the two places in adjacent slots."""
    return Rule("walk", (min(here, there), max(here, there)))


LUNCH = Rule("lunch")


@dataclass(frozen=True)
class Pool:
    """Bays at one place that no rule can tell apart; the model counts them, not names them."""

    place: str
    bays: tuple[Bay, ...]

    @property
    def closed(self) -> frozenset[SlotOfSchool]:
        """The slots in which no bay of the pool is open."""
        return self.bays[0].closed

    @property
    def closed_rule(self) -> Rule:
        """The rule that the closed slots stay free."""
        return Rule("closed", tuple(bay.key for bay in self.bays))


def pools(problem: Problem) -> list[Pool]:
    """Group the bays that serve the same visits at the same place and close together."""
    groups: dict[object, list[Bay]] = defaultdict(list)
    for bay in sorted(problem.bays, key=lambda bay: bay.key):
        serves = frozenset(v.key for v in problem.visits if v.features <= bay.features)
        groups[bay.place, serves, LEFT_HANDED in bay.features, bay.closed].append(bay)
    return [Pool(bays[0].place, tuple(bays)) for bays in groups.values()]


def all_rules(problem: Problem) -> list[Rule]:
    """Every rule that forbids something, in a fixed order."""
    grid = problem.grid
    left_handers = any(squad.left_handed for squad in problem.squads)
    rules = {LUNCH}
    for visit in problem.visits:
        rules |= {must_have(squad, visit) for squad in problem.squads}
        rules |= {Rule("order", (before, visit.key)) for before in visit.after}
        rules.add(Rule("qualification", (visit.station,)))
        for kind, asked in (
            ("days", visit.days is not None),
            ("features", visit.features),
            ("left-handed", visit.handed and left_handers),
        ):
            rules |= {Rule(kind, (visit.key,))} if asked else set()
    for person in problem.instructors:
        for kind, asked in (
            ("hours", len(person.available) < grid.slots),
            ("load", person.max_load < grid.slots_per_day),
            ("run", person.max_run < max(len(half) for half in grid.halves)),
        ):
            rules |= {Rule(kind, (person.key,))} if asked else set()
    rules |= {pool.closed_rule for pool in pools(problem) if pool.closed}
    rules |= {walk_rule(*pair) for pair in problem.too_far()}
    return sorted(rules)


def broken_by_time(problem: Problem, visit: Visit, day: int, slot: int) -> Iterator[Rule]:
    """Rules that a start at this slot breaks for every squad."""
    if not visit.allows(day):
        yield Rule("days", (visit.key,))
    if not problem.grid.fits_half(slot, visit.slots):
        yield LUNCH


def broken_by_bay(
    pool: Pool, squad: Squad, visit: Visit, span: frozenset[SlotOfSchool]
) -> Iterator[Rule]:
    """Rules that the squad's visit breaks in a bay of the pool."""
    missing = visit.missing(squad, pool.bays[0])
    if missing & visit.features:
        yield Rule("features", (visit.key,))
    if missing - visit.features:
        yield Rule("left-handed", (visit.key,))
    if span & pool.closed:
        yield pool.closed_rule


def broken_by_instructor(
    person: Instructor, visit: Visit, span: frozenset[SlotOfSchool]
) -> Iterator[Rule]:
    """Rules that the instructor breaks by taking the visit."""
    if visit.station not in person.skills:
        yield Rule("qualification", (visit.station,))
    if not span <= person.available:
        yield Rule("hours", (person.key,))
