"""Rules in the words of the front desk, with the numbers that help to choose what gives way."""

from collections.abc import Callable, Collection, Iterable, Sequence

from lessons.planner.problem import (
    COVERED,
    LEFT_HANDED,
    LIT,
    Bay,
    Grid,
    Problem,
    SlotOfSchool,
    Visit,
)


def listed(names: Iterable[str]) -> str:
    """Names as a sentence has them: ``A, B and C``."""
    names = list(names)
    return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)


def days_named(days: Iterable[int]) -> str:
    """Days as people count them, from 1: ``day 1 and day 3``."""
    return listed(f"day {day + 1}" for day in sorted(days))


def squads_named(problem: Problem, keys: Collection[str], everyone: str) -> str:
    """Squads by name, or in one phrase when it is all of several."""
    if len(keys) == len(problem.squads) > 1:
        return everyone
    return listed(squad.name for squad in problem.squads if squad.key in keys)


def in_words(problem: Problem, kind: str, keys: Sequence[str]) -> str:
    """One sentence for a rule of a problem."""
    return _WORDS[kind](problem, keys)


def _visit(problem: Problem, key: str) -> Visit:
    return next(visit for visit in problem.visits if visit.key == key)


def _names(rows: Iterable[object], keys: Sequence[str]) -> str:
    return listed(row.name for row in rows if row.key in keys)  # type: ignore[attr-defined]


def _must_have(problem: Problem, keys: Sequence[str]) -> str:
    visit, squads = _visit(problem, keys[0]), keys[1:]
    who = squads_named(problem, squads, f"Each of the {len(squads)} squads")
    often = "" if visit.times == 1 else f" {visit.times} times"
    return f"{who} must have {visit.name}{often}, {problem.grid.hours(visit.slots)}."


def _features(problem: Problem, keys: Sequence[str]) -> str:
    visit = _visit(problem, keys[0])
    if not problem.bays:
        return f"{visit.name} needs a bay, and there is none."
    suited = [bay for bay in problem.bays if visit.features <= bay.features]
    having = f"{_open_bays(problem, visit, suited)}" if suited else "no bay has all of it"
    return f"{visit.name} needs {listed(sorted(visit.features))}: {having}."


def _left_handed(problem: Problem, keys: Sequence[str]) -> str:
    visit = _visit(problem, keys[0])
    squads = [squad.name for squad in problem.squads if squad.left_handed]
    who = f"{len(squads)} squad{' needs' if len(squads) == 1 else 's need'}"
    needs = visit.features | {LEFT_HANDED}
    suited = [bay for bay in problem.bays if needs <= bay.features]
    having = f"{_open_bays(problem, visit, suited)}" if suited else "no bay suits"
    return f"{who} a left-handed bay for {visit.name} ({listed(squads)}): {having}."


def _open_bays(problem: Problem, visit: Visit, bays: Sequence[Bay]) -> str:
    """``Bay 1 only; open on day 1: 1 before lunch, 0 after`` where it is not all of them."""
    shut = {bay.key: bay.closed | _unusable(problem, bay) for bay in bays}
    counts = _by_half_day(problem, visit, lambda when: sum(when not in shut[b.key] for b in bays))
    named = f"{listed(bay.name for bay in bays)} only"
    return f"{named}; open {counts}" if any(shut.values()) else named


def _unusable(problem: Problem, bay: Bay) -> frozenset[SlotOfSchool]:
    wet = frozenset() if COVERED in bay.features else problem.rain
    return wet | (frozenset() if LIT in bay.features else problem.dark)


def _by_half_day(problem: Problem, visit: Visit, free: Callable[[SlotOfSchool], int]) -> str:
    """The most that are free at once in each half of the days that the visit may fall on."""
    grid = problem.grid
    told = []
    for day in (day for day in range(grid.days) if visit.allows(day)):
        before, after = (max((free((day, u)) for u in half), default=0) for half in grid.halves)
        told.append(f"on day {day + 1}: {before} before lunch, {after} after")
    return "; ".join(told)


def _closed(problem: Problem, keys: Sequence[str]) -> str:
    bays = [bay for bay in problem.bays if bay.key in keys]
    verb = "are" if len(bays) > 1 else "is"
    when = slots_named(problem.grid, bays[0].closed)
    return f"{_names(bays, keys)} {verb} closed or taken on {when}."


def slots_named(grid: Grid, slots: Iterable[SlotOfSchool]) -> str:
    """``day 1 from 10:30 to 12:00 and day 2 from …``, or by numbers: ``day 1 slots 3–5 and …``."""
    by_day: dict[int, list[int]] = {}
    for day, slot in sorted(slots):
        by_day.setdefault(day, []).append(slot)
    return " and ".join(f"day {day + 1} {_within(grid, found)}" for day, found in by_day.items())


def _within(grid: Grid, slots: Sequence[int]) -> str:
    """``from 10:30 to 12:00, 14:00 to 14:45``; without times ``slot 1``, or ``slots 1–3, 5``."""
    runs = _runs(slots)
    if grid.slot_times:
        times = [f"{grid.slot_times[run[0]][0]} to {grid.slot_times[run[-1]][1]}" for run in runs]
        return f"from {', '.join(times)}"
    shown = [f"{run[0] + 1}–{run[-1] + 1}" if len(run) > 1 else str(run[0] + 1) for run in runs]
    return f"slot{'s' if len(slots) > 1 else ''} {', '.join(shown)}"


def _runs(slots: Sequence[int]) -> list[list[int]]:
    """Slots that follow each other put together."""
    runs: list[list[int]] = []
    for slot in slots:
        if runs and runs[-1][-1] == slot - 1:
            runs[-1].append(slot)
        else:
            runs.append([slot])
    return runs


def _qualification(problem: Problem, keys: Sequence[str]) -> str:
    taught = listed(visit.name for visit in problem.visits if visit.station == keys[0])
    able = [person.name for person in problem.instructors if keys[0] in person.skills]
    verb = "are" if len(able) > 1 else "is"
    return (
        f"Only {listed(able)} {verb} qualified for {taught}."
        if able
        else (f"No instructor is qualified for {taught}.")
    )


def _hours(problem: Problem, keys: Sequence[str]) -> str:
    person = next(person for person in problem.instructors if person.key == keys[0])
    free = slots_named(problem.grid, person.available)
    return f"{person.name} is free on {free} only." if free else f"{person.name} is never free."


def _load(problem: Problem, keys: Sequence[str]) -> str:
    person = next(person for person in problem.instructors if person.key == keys[0])
    return f"{person.name} teaches at most {problem.grid.hours(person.max_load)} a day."


def _run(problem: Problem, keys: Sequence[str]) -> str:
    person = next(person for person in problem.instructors if person.key == keys[0])
    return f"{person.name} teaches at most {problem.grid.hours(person.max_run)} without a break."


def _lunch(problem: Problem, _keys: Sequence[str]) -> str:
    before, after = problem.grid.halves
    return (
        f"No visit runs over lunch: there are {len(before)} slots before it and {len(after)} after."
    )


def _daily(problem: Problem, keys: Sequence[str]) -> str:
    visit = _visit(problem, keys[0])
    return f"{visit.name} is had at most {visit.most_a_day} a day, {visit.times} times in all."


def _same_day(problem: Problem, keys: Sequence[str]) -> str:
    one, other = (_visit(problem, key).name for key in keys)
    return f"{one} and {other} fall on the same days."


def _other_day(problem: Problem, keys: Sequence[str]) -> str:
    one, other = (_visit(problem, key).name for key in keys)
    return f"{one} and {other} never fall on the same day."


def _away(problem: Problem, keys: Sequence[str]) -> str:
    squad = next(squad for squad in problem.squads if squad.key == keys[0])
    visits = listed(visit.name for visit in problem.visits if visit.everyone)
    return (
        f"Somebody of {squad.name} is away on {slots_named(problem.grid, squad.away)}, and"
        f" everyone should have {visits}."
    )


def _rain(problem: Problem, _keys: Sequence[str]) -> str:
    return _only_with(problem, COVERED, f"It rains on {slots_named(problem.grid, problem.rain)}")


def _dark(problem: Problem, _keys: Sequence[str]) -> str:
    return _only_with(problem, LIT, f"It is dark on {slots_named(problem.grid, problem.dark)}")


def _only_with(problem: Problem, feature: str, why: str) -> str:
    usable = [bay.name for bay in problem.bays if feature in bay.features]
    return f"{why}: of {len(problem.bays)} bays {listed(usable) or 'none'} can then be used."


def _capacity(problem: Problem, keys: Sequence[str]) -> str:
    bay = next(bay for bay in problem.bays if bay.key == keys[0])
    return f"{bay.name} has room for {bay.squads} squads at once."


def _ratio(problem: Problem, keys: Sequence[str]) -> str:
    visit = _visit(problem, keys[0])
    golfers = sum(squad.size for squad in problem.squads)
    largest = max((squad.size for squad in problem.squads), default=0)
    who = f"{golfers} golfers have it in groups" if visit.group else f"a squad has up to {largest}"
    return f"At {visit.name} an instructor takes at most {visit.ratio} golfers, and {who}."


def _pinned(problem: Problem, keys: Sequence[str]) -> str:
    squad, visit, day, slot = keys
    row = next(
        row
        for row in problem.pinned
        if (row.squad, row.visit, str(row.day), str(row.slot)) == (squad, visit, day, slot)
    )
    bay = _names(problem.bays, [row.bay])
    staff = _names(problem.instructors, row.instructors)
    return (
        f"{_names(problem.squads, [squad])}'s {_visit(problem, visit).name} is pinned to"
        f" {slots_named(problem.grid, [(row.day, row.slot)])}, in {bay} with {staff}."
    )


def _days(problem: Problem, keys: Sequence[str]) -> str:
    visit = _visit(problem, keys[0])
    return f"{visit.name} is allowed on {days_named(visit.days or ())} only."


def _order(problem: Problem, keys: Sequence[str]) -> str:
    before, after = (_visit(problem, key).name for key in keys)
    return f"{before} must be finished before {after} starts."


def _walk(problem: Problem, keys: Sequence[str]) -> str:
    here, there = keys
    minutes = max(problem.walk(here, there), problem.walk(there, here))
    return (
        f"The walk between {here} and {there} takes {minutes} min, and only"
        f" {problem.changeover_min} min are allowed between adjacent slots."
    )


_WORDS: dict[str, Callable[[Problem, Sequence[str]], str]] = {
    "visit": _must_have,
    "features": _features,
    "left-handed": _left_handed,
    "closed": _closed,
    "qualification": _qualification,
    "hours": _hours,
    "load": _load,
    "run": _run,
    "lunch": _lunch,
    "days": _days,
    "daily": _daily,
    "same-day": _same_day,
    "other-day": _other_day,
    "away": _away,
    "rain": _rain,
    "dark": _dark,
    "capacity": _capacity,
    "ratio": _ratio,
    "pinned": _pinned,
    "order": _order,
    "walk": _walk,
}
