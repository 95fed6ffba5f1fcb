"""What could give of bays: others opened, fitted out or found."""

from collections.abc import Iterator
from dataclasses import replace

from lessons.planner.problem import COVERED, LEFT_HANDED, LIT, Bay, Problem, SlotOfSchool, Visit
from lessons.planner.reasons.ease import MOST, Ease, Keys, altered, half_days, row_of
from lessons.planner.words import days_named, listed, slots_named


def _with_features(problem: Problem, bays: list[Bay], lacking: frozenset[str]) -> Iterator[Ease]:
    verb = {COVERED: "Cover", LIT: "Light"}
    for bay in bays:
        missing = lacking - bay.features
        frame = f"Fit out {{}} with {' and '.join(sorted(missing))}."
        if missing == {LEFT_HANDED}:
            frame = "Fit out {} for left-handers."
        elif len(missing) == 1 and {*missing} <= verb.keys():
            frame = f"{verb[min(missing)]} {{}}."
        eased = altered(problem, "bays", bay.key, features=bay.features | missing)
        about = bay.key, *sorted(missing)
        yield Ease(45 + len(missing), "features", frame, bay.name, about, eased)


def fit_out(problem: Problem, keys: Keys) -> Iterator[Ease]:
    """The bays that lack least for a visit have it."""
    visit = row_of(problem, "visits", keys[0])
    left = any(squad.left_handed for squad in problem.squads)
    needs = visit.features | ({LEFT_HANDED} if visit.handed and left else frozenset())
    lacking = [bay for bay in problem.bays if needs - bay.features]
    fewest = min((len(needs - bay.features) for bay in lacking), default=0)
    nearest = [bay for bay in lacking if len(needs - bay.features) == fewest]
    yield from _with_features(problem, nearest, needs)
    yield from more_bays(problem, visit)


def cover(problem: Problem, _keys: Keys) -> Iterator[Ease]:
    """A cover for a bay without one."""
    bays = [bay for bay in problem.bays if COVERED not in bay.features]
    yield from _with_features(problem, bays, frozenset({COVERED}))


def light(problem: Problem, _keys: Keys) -> Iterator[Ease]:
    """Lamps for a bay without."""
    bays = [bay for bay in problem.bays if LIT not in bay.features]
    yield from _with_features(problem, bays, frozenset({LIT}))


def open_bays(problem: Problem, keys: Keys) -> Iterator[Ease]:
    """One of the bays for half a day, or all of them together for a day."""
    for bay in (row_of(problem, "bays", key) for key in keys):
        for opened in half_days(problem, bay.closed):
            hours = problem.grid.hours(len(opened))
            frame = f"Open {{}} on {slots_named(problem.grid, opened)}, {hours}."
            about = bay.key, *(f"{day}:{slot}" for day, slot in sorted(opened))
            eased = altered(problem, "bays", bay.key, closed=bay.closed - opened)
            yield Ease(20 + len(opened), "closed", frame, bay.name, about, eased, len(opened))
    yield from _open_all_day(problem, keys)
    for visit in problem.visits:
        suited = {bay.key for bay in problem.bays if visit.features <= bay.features}
        if suited & {*keys}:
            yield from more_bays(problem, visit)


def _open_all_day(problem: Problem, keys: Keys) -> Iterator[Ease]:
    """All the bays together, for one day, unless that is one bay for half of it."""
    grid = problem.grid
    names = listed(row_of(problem, "bays", key).name for key in keys)
    for day in range(problem.opens[0], grid.days):
        whole = {(day, u) for u in range(grid.slots_per_day) if (day, u) >= problem.opens}
        eased, opened = problem, list[frozenset[SlotOfSchool]]()
        for key in keys:
            shut = row_of(problem, "bays", key).closed
            opened += half_days(problem, shut & whole)
            eased = altered(eased, "bays", key, closed=shut - whole)
        if len(opened) > 1:
            frame, amount = f"Open {{}} all of {days_named([day])}.", sum(map(len, opened))
            yield Ease(20 + amount, "closed", frame, names, (*keys, str(day)), eased, amount)


def more_room(problem: Problem, keys: Keys) -> Iterator[Ease]:
    """More squads in a bay at once."""
    bay = row_of(problem, "bays", keys[0])
    for more in range(1, MOST + 1):
        frame = f"Make room in {{}} for {bay.squads + more} squads instead of {bay.squads}."
        eased = altered(problem, "bays", bay.key, squads=bay.squads + more)
        yield Ease(35 + more, "capacity", frame, bay.name, keys, eased, more)


def more_bays(problem: Problem, visit: Visit) -> Iterator[Ease]:
    """One more of each bay that suits, of those for left-handers where some are."""
    suited = [bay for bay in problem.bays if visit.features <= bay.features]
    for bay in suited:
        left = LEFT_HANDED in bay.features
        if left or not any(LEFT_HANDED in other.features for other in suited):
            new = replace(bay, key=f"{bay.key}/one more", name=f"one more {bay.name}")
            eased = replace(problem, bays=(*problem.bays, new))
            yield Ease(70, "features", "Find one more bay like {}.", bay.name, (bay.key,), eased)
