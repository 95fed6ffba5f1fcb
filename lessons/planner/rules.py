"""The rules a plan keeps, as things that can be named, and which of them a choice breaks.

A choice is one start, one pool of bays or one instructor for a squad's visit. The strict model
leaves out what breaks a rule; the guarded model, which explains why there is no plan, keeps it
and forbids it only while the rule is held.

The kinds of rule, and the keys of what each is about:

=============== ============================== ==================================================
kind            keys                           says
=============== ============================== ==================================================
visit           visit, squad                   the squad has the visit as often as asked
daily           visit                          at most ``most_a_day`` of it on one day
days            visit                          only on the days it is allowed
lunch                                          no visit runs over lunch
order           earlier visit, later visit     so many of the earlier are over before the later
same-day        visit, visit                   both on the same days
other-day       visit, visit                   never both on one day
away            squad                          while somebody is away nothing for everyone
features        visit                          the bay has what the visit needs
left-handed     visit                          and suits the left-handers
closed          bays that are alike            closed or taken by others
rain                                           only covered bays
dark                                           only lit bays
capacity        bay                            at most ``squads`` squads at once, when above 1
qualification   station                        the instructor is qualified
hours           instructor                     and free
load            instructor                     slots a day
run             instructor                     slots without a break
ratio           visit                          golfers to an instructor, and nobody to spare
walk            place, place                   too far to change between adjacent slots
pinned          squad, visit, day, slot        the session stays (day and slot as they are counted)
=============== ============================== ==================================================

Never in question is that a squad, an instructor and a bay have one visit at a time, that what is
over stands, and that nothing new begins before it.
"""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

from lessons.planner.plan import Placement
from lessons.planner.problem import (
    COVERED,
    LEFT_HANDED,
    LIT,
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


def stays(pinned: Placement) -> Rule:
    """The pinned session is where it was, with whom it was."""
    return Rule("pinned", (pinned.squad, pinned.visit, str(pinned.day), str(pinned.slot)))


LUNCH = Rule("lunch")
RAIN = Rule("rain")
DARK = Rule("dark")


@dataclass(frozen=True)
class Pool:
    """Bays at one place that no rule can tell apart; the model counts them, not names them.

    ``named`` are the keys by which the bays' closed hours are one rule.
    """

    place: str
    bays: tuple[Bay, ...]
    named: tuple[str, ...]

    @property
    def closed(self) -> frozenset[SlotOfSchool]:
        """The slots in which no bay of the pool is open."""
        return self.bays[0].closed

    @property
    def closed_rule(self) -> Rule:
        """The rule that the closed slots stay free."""
        return Rule("closed", self.named)

    @property
    def squads(self) -> int:
        """How many squads all its bays hold."""
        return sum(bay.squads for bay in self.bays)


def pools(problem: Problem) -> list[Pool]:
    """Group the bays that serve the same visits at the same place and close together.

    A bay that a session of the past, a pinned or a published one names stands alone; so does
    one for groups, and one that holds several squads and serves several visits.
    """
    rows = (*problem.past, *problem.pinned, *problem.published)
    alone = {row.bay for row in rows}
    groups: dict[object, list[Bay]] = defaultdict(list)
    for bay in sorted(problem.bays, key=lambda bay: bay.key):
        serves = [visit for visit in problem.visits if visit.features <= bay.features]
        together = len(serves) < 2 if bay.squads > 1 else True
        named = bay.key in alone or not together or any(visit.group for visit in serves)
        matters = {LEFT_HANDED}
        matters |= {COVERED} if problem.rain else set()
        matters |= {LIT} if problem.dark else set()
        kind = frozenset(visit.key for visit in serves), bay.features & matters, bay.squads
        groups[bay.place, kind, bay.closed, bay.key if named else ""].append(bay)
    return [
        Pool(bays[0].place, tuple(bays), tuple(bay.key for bay in bays)) for bays in groups.values()
    ]


def single(pooled: list[Pool]) -> list[Pool]:
    """Each bay by itself: what is let go of may tell bays of a pool apart."""
    return [Pool(pool.place, (bay,), pool.named) for pool in pooled for bay in pool.bays]


def all_rules(problem: Problem) -> list[Rule]:
    """Every rule that forbids something, in a fixed order."""
    rules = {LUNCH}
    for visit in problem.visits:
        rules |= {must_have(squad, visit) for squad in problem.squads}
        rules |= {*_rules_of_visit(problem, visit)}
    for person in problem.instructors:
        rules |= {*_rules_of_instructor(problem, person)}
    everyone = any(visit.everyone for visit in problem.visits)
    rules |= {Rule("away", (s.key,)) for s in problem.squads if s.away and everyone}
    rules |= {pool.closed_rule for pool in pools(problem) if pool.closed}
    rules |= {Rule("capacity", (bay.key,)) for bay in problem.bays if bay.squads > 1}
    rules |= {RAIN} if problem.rain else set()
    rules |= {DARK} if problem.dark else set()
    rules |= {Rule("same-day", pair) for pair in problem.same_day}
    rules |= {Rule("other-day", pair) for pair in problem.other_day}
    rules |= {stays(row) for row in problem.pinned}
    rules |= {walk_rule(*pair) for pair in problem.too_far()}
    return sorted(rules)


def _rules_of_visit(problem: Problem, visit: Visit) -> Iterator[Rule]:
    yield from (Rule("order", (before, visit.key)) for before in visit.after)
    yield Rule("qualification", (visit.station,))
    left_handers = any(squad.left_handed for squad in problem.squads)
    largest = max((squad.size for squad in problem.squads), default=0)
    for kind, asked in (
        ("daily", visit.most_a_day < visit.times),
        ("days", visit.days is not None),
        ("features", visit.features),
        ("left-handed", visit.handed and left_handers),
        ("ratio", visit.group or visit.ratio < largest),
    ):
        if asked:
            yield Rule(kind, (visit.key,))


def _rules_of_instructor(problem: Problem, person: Instructor) -> Iterator[Rule]:
    grid = problem.grid
    for kind, asked in (
        ("hours", len(person.available) < grid.slots),
        ("load", person.max_load < grid.slots_per_day),
        ("run", person.max_run < max(len(half) for half in grid.halves)),
    ):
        if asked:
            yield Rule(kind, (person.key,))


def span_of(day: int, slot: int, slots: int) -> frozenset[SlotOfSchool]:
    """The slots from one on."""
    return frozenset((day, slot + more) for more in range(slots))


def broken_by_time(
    problem: Problem, squad: Squad, visit: Visit, day: int, slot: int
) -> Iterator[Rule]:
    """Rules that the squad breaks by starting the visit at this slot."""
    if not visit.allows(day):
        yield Rule("days", (visit.key,))
    if not problem.grid.fits_half(slot, visit.slots):
        yield LUNCH
    if visit.everyone and squad.away & span_of(day, slot, visit.slots):
        yield Rule("away", (squad.key,))
    if not visit.group and squad.size > visit.ratio:
        yield Rule("ratio", (visit.key,))


def broken_by_bay(
    problem: Problem, pool: Pool, squad: Squad, visit: Visit, when: SlotOfSchool
) -> Iterator[Rule]:
    """Rules that the squad's visit breaks in a bay of the pool.

    Closed hours concern the slots for which the bay is taken, rain and dark the whole visit.
    """
    features = pool.bays[0].features
    missing = visit.missing(squad, pool.bays[0])
    if missing & visit.features:
        yield Rule("features", (visit.key,))
    if missing - visit.features:
        yield Rule("left-handed", (visit.key,))
    if pool.closed and pool.closed & span_of(*when, visit.in_bay):
        yield pool.closed_rule
    if COVERED not in features and problem.rain & span_of(*when, visit.slots):
        yield RAIN
    if LIT not in features and problem.dark & span_of(*when, visit.slots):
        yield DARK


def broken_by_instructor(person: Instructor, visit: Visit, when: SlotOfSchool) -> Iterator[Rule]:
    """Rules that the instructor breaks by taking the visit."""
    if visit.station not in person.skills:
        yield Rule("qualification", (visit.station,))
    if not span_of(*when, visit.slots) <= person.available:
        yield Rule("hours", (person.key,))
