"""What ties the choices of the model together: rules of place, of people and of the programme."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from functools import partial

from lessons.planner.choices import Choices, GroupKey, Literal, is_over, parted
from lessons.planner.hands import enough_hands
from lessons.planner.plan import Placement
from lessons.planner.problem import Instructor, SlotOfSchool, Squad, Visit
from lessons.planner.rules import Rule, stays, walk_rule


def add_constraints(model: Choices) -> None:
    """All that a plan must keep beyond what each choice keeps by itself."""
    for busy in (*model.squad_busy.values(), *model.staff_busy.values()):
        model.at_most(busy, 1)
    _bays(model)
    _groups(model)
    _loads_and_runs(model)
    enough_hands(model)
    for squad in model.squads:
        for visit in model.visits:
            _daily(model, squad, visit)
            for before in sorted(visit.after):
                _order(model, squad, visit, before)
        _days_together(model, squad)
    _walks(model)
    _pins(model)


# Bays


def _bays(model: Choices) -> None:
    in_use: dict[tuple[int, int, int], dict[str, list[Literal]]] = defaultdict(
        lambda: defaultdict(list)
    )
    for _, visit, (day, slot), by_pool in model.all(model.in_pool):
        for number, literal in by_pool.items():
            for busy in range(slot, slot + visit.in_bay):
                in_use[number, day, busy][visit.key].append(literal)
    for (number, *_), by_visit in in_use.items():
        pool = model.pools[number]
        together = [literal for literals in by_visit.values() for literal in literals]
        if pool.bays[0].squads == 1:
            model.at_most(together, len(pool.bays))
            continue
        rule = Rule("capacity", (pool.bays[0].key,)) if len(pool.bays) == 1 else None
        model.at_most(together, pool.squads, rule)
        if len(by_visit) > 1:
            _one_visit_at_a_time(model, by_visit)


def _one_visit_at_a_time(model: Choices, by_visit: dict[str, list[Literal]]) -> None:
    """In one slot of a bay for several squads only one visit; the past has chosen for good."""
    over = {visit for visit, literals in by_visit.items() if parted(literals)[1]}
    chosen = []
    for visit, literals in by_visit.items():
        free, _ = parted(literals)
        if over and over != {visit}:
            model.at_most(free, 0)
        elif not over and free:
            this = model.cp.new_bool_var("")
            chosen.append(this)
            for literal in free:
                model.cp.add_implication(literal, this)
    model.at_most(chosen, 1)


def _groups(model: Choices) -> None:
    """A group has the instructors its golfers need; nobody joins one that is over."""
    ratios = {visit.key: visit.ratio for visit in model.visits}
    golfers: dict[GroupKey, list[tuple[int, Literal]]] = defaultdict(list)
    for squad, visit, when, by_pool in model.all(model.in_pool):
        if visit.group:
            for number, literal in by_pool.items():
                golfers[GroupKey(visit.key, when, number)].append((squad.size, literal))
    for key, staff in model.groups.items():
        if any(is_over(literal) for literal in staff.values()):
            model.at_most([lit for _, lit in golfers[key] if not is_over(lit)], 0)
            continue
        people = sum(size * literal for size, literal in golfers[key])
        given, ratio = sum(staff.values()), ratios[key.visit]
        rule = Rule("ratio", (key.visit,))
        model.hold_sum(rule, people - ratio * given, 0)
        model.hold_sum(rule, ratio * given - people, ratio - 1)
        for literal in staff.values():  # nobody teaches an empty room
            model.cp.add_bool_or([~literal, *(there for _, there in golfers[key])])
        for _, there in golfers[key]:  # and no room is without a teacher
            model.cp.add_bool_or([~there, *staff.values()])


# Instructors


def _loads_and_runs(model: Choices) -> None:
    for person in model.instructors:
        for day in range(model.problem.grid.days):
            _load_and_run(model, person, day)


def _load_and_run(model: Choices, person: Instructor, day: int) -> None:
    grid = model.problem.grid
    by_slot = [model.staff_busy.get((person.key, day, u), []) for u in range(grid.slots_per_day)]
    if person.max_load < grid.slots_per_day:
        load = [literal for literals in by_slot for literal in literals]
        model.at_most(load, person.max_load, Rule("load", (person.key,)))
    for half in grid.halves:
        for first in half[: max(0, len(half) - person.max_run)]:
            window = range(first, first + person.max_run + 1)
            run = [literal for u in window for literal in by_slot[u]]
            model.at_most(run, person.max_run, Rule("run", (person.key,)))


# The programme


def _on_day(model: Choices, squad: str, visit: str, day: int) -> list[Literal]:
    return [start for (on, _), start in model.starts[squad, visit].items() if on == day]


def _daily(model: Choices, squad: Squad, visit: Visit) -> None:
    if visit.most_a_day < visit.times:
        for day in range(model.problem.grid.days):
            starts = _on_day(model, squad.key, visit.key, day)
            model.at_most(starts, visit.most_a_day, Rule("daily", (visit.key,)))


def _order(model: Choices, squad: Squad, visit: Visit, before: str) -> None:
    """When a session starts, enough of the earlier visit's are over."""
    slots = {row.key: row.slots for row in model.visits}
    index = model.problem.grid.index
    ends = [
        (index(*when) + slots[before], start)
        for when, start in model.starts[squad.key, before].items()
    ]
    rule, count = Rule("order", (before, visit.key)), visit.after[before]
    for moment, begun in _begun(model, squad.key, visit):
        ended = sum(start for end, start in ends if end <= moment)
        model.hold_sum(rule, count * begun - ended, 0)


def _begun(model: Choices, squad: str, visit: Visit) -> Iterator[tuple[int, Literal]]:
    """At each slot of the school a sum that is 1 from the first open start on, else 0.

    Of a visit had more than once it covers as many starts as cannot be together.
    """
    index = model.problem.grid.index
    starts = [
        (index(*when), when[0], start)
        for when, start in sorted(model.starts[squad, visit.key].items())
        if not is_over(start)
    ]
    daily = not model.guarded and Rule("daily", (visit.key,)) not in model.let_go
    for moment, day, _ in starts:
        from_day, from_moment = day, moment - visit.slots + 1
        if visit.times == 1:
            from_day, from_moment = 0, 0
        elif visit.most_a_day == 1 and daily:
            from_moment = 0
        apart = (
            start
            for begin, on, start in starts
            if from_day <= on and from_moment <= begin <= moment
        )
        yield moment, sum(apart)


def _days_together(model: Choices, squad: Squad) -> None:
    for one, other in model.problem.same_day:
        _same_days(model, squad, one, other)
    for one, other in model.problem.other_day:
        for day in range(model.problem.grid.days):
            _not_both(model, squad, (one, other), day)


def _same_days(model: Choices, squad: Squad, one: str, other: str) -> None:
    """As many of each on every day to come, less what days that are over have left behind."""
    first = model.problem.opens[0]
    rule = Rule("same-day", (one, other))
    counts = [
        [sum(_on_day(model, squad.key, visit, day)) for visit in (one, other)]
        for day in range(model.problem.grid.days)
    ]
    ahead = sum(a - b for a, b in counts[:first])
    for a, b in counts[first:]:
        if ahead >= 0:
            model.hold_sum(rule, a - b, 0)
        if ahead <= 0:
            model.hold_sum(rule, b - a, 0)


def _not_both(model: Choices, squad: Squad, pair: tuple[str, str], day: int) -> None:
    rule = Rule("other-day", pair)
    (one, one_over), (other, other_over) = (
        parted(_on_day(model, squad.key, visit, day)) for visit in pair
    )
    if one_over:
        model.hold_sum(rule, sum(other), 0)
    if other_over:
        model.hold_sum(rule, sum(one), 0)
    if one_over or other_over or not one or not other:
        return
    times = {visit.key: visit.times for visit in model.visits}
    if times[pair[0]] == times[pair[1]] == 1:
        model.hold_sum(rule, sum(one) + sum(other), 1)
        return
    first = model.cp.new_bool_var("")
    model.hold_sum(rule, sum(one) - times[pair[0]] * first, 0)
    model.hold_sum(rule, sum(other) + times[pair[1]] * first, times[pair[1]])


# Walks


def _walks(model: Choices) -> None:
    far = model.problem.too_far()
    if not far:
        return
    leave: dict[tuple[str, str, int, int], list[Literal]] = defaultdict(list)
    arrive: dict[tuple[str, str, int, int], list[Literal]] = defaultdict(list)
    people: set[str] = set()
    for who, place, literal, day, first, last in _stays(model, {p for p, _ in far}):
        people.add(who)
        arrive[who, place, day, first].append(literal)
        leave[who, place, day, last].append(literal)
    for who in sorted(people):
        for here, there in far:
            for day, slot in _changes(model):
                going = leave.get((who, here, day, slot), [])
                coming = arrive.get((who, there, day, slot + 1), [])
                if going and coming:
                    model.at_most([*going, *coming], 1, walk_rule(here, there))


def _changes(model: Choices) -> Iterator[SlotOfSchool]:
    grid = model.problem.grid
    for day in range(grid.days):
        for half in grid.halves:
            yield from ((day, slot) for slot in half[:-1])


def _stays(model: Choices, places: set[str]) -> Iterator[tuple[str, str, Literal, int, int, int]]:
    """Who is at one of the places, from which slot to which, and the literal that says so.

    A squad's and an instructor's key may be the same, so each gets a prefix.
    """
    for squad, visit, (day, slot), by_pool in model.all(model.in_pool):
        span = day, slot, slot + visit.slots - 1
        by_place: dict[str, list[Literal]] = defaultdict(list)
        for number, literal in by_pool.items():
            by_place[model.pools[number].place].append(literal)
        taught = model.taught[squad.key, visit.key][day, slot]
        for place in sorted(by_place.keys() & places):
            there = by_place[place]
            for literal in there:
                yield f"squad {squad.key}", place, literal, *span
            for key, teaches in taught.items():
                both = teaches if len(by_place) == 1 else _both(model, teaches, there)
                yield f"instructor {key}", place, both, *span
    slots = {visit.key: visit.slots for visit in model.visits}
    for (visit_key, (day, slot), number), staff in model.groups.items():
        place = model.pools[number].place
        for key, teaches in staff.items():
            yield f"instructor {key}", place, teaches, day, slot, slot + slots[visit_key] - 1


def _both(model: Choices, teaches: Literal, there: Sequence[Literal]) -> Literal:
    both = model.cp.new_bool_var("")
    model.cp.add(both >= teaches + sum(there) - 1)
    return both


# What must stay


def _pins(model: Choices) -> None:
    for row in sorted(model.problem.pinned):
        for literal in [] if row in model.problem.past else _wanted(model, row):
            at_hand = [] if literal is None else [literal]
            model.hold(stays(row), partial(model.cp.add_bool_or, at_hand))


def _wanted(model: Choices, row: Placement) -> Iterator[Literal | None]:
    """What is true when the session stays; None for what the other rules leave no room for."""
    pair, when = (row.squad, row.visit), (row.day, row.slot)
    pool = model.pool_of(row.bay)
    start = model.starts[pair].get(when)
    yield start
    if start is None or is_over(start):
        return
    yield model.in_pool[pair][when].get(pool)
    staff = model.groups.get(GroupKey(row.visit, when, pool), model.taught[pair][when])
    for key in row.instructors:
        yield staff.get(key)
    for key in sorted(staff.keys() - {*row.instructors}):
        yield ~staff[key]
