"""What all instructors together can give: implied by the other rules, but the solver needs telling.

On each day they teach what is taught that day, in all what is to be taught, and in each slot no
more than are there.
"""

from collections import defaultdict
from math import ceil

from lessons.planner.choices import Choices, Literal, is_over, parted
from lessons.planner.problem import Instructor, SlotOfSchool, Visit
from lessons.planner.rules import Rule, must_have


def enough_hands(model: Choices) -> None:
    """Say that all that is to come is taught by somebody."""
    if model.guarded:
        return
    given = []
    taught = _taught_by_slot(model)
    for day in range(model.problem.grid.days):
        loads = []
        for person in model.instructors:
            free, most = _hands(model, person, day)
            loads.append(model.cp.new_int_var(0, most, ""))
            model.cp.add(loads[-1] == sum(free))
        given += loads
        today = [literal for (on, _), free in taught.items() if on == day for literal in free]
        model.cp.add(sum(loads) >= sum(today))
    model.cp.add(sum(given) >= sum(_to_teach(model, visit) for visit in model.visits))
    for (day, slot), free in taught.items():
        busy = [model.staff_busy.get((p.key, day, slot), []) for p in model.instructors]
        model.cp.add(sum(free) <= sum(any(not is_over(lit) for lit in row) for row in busy))


def _taught_by_slot(model: Choices) -> dict[SlotOfSchool, list[Literal]]:
    """The open literals that take one instructor each in a slot, whoever it is."""
    slots = {visit.key: visit.slots for visit in model.visits}
    taught: dict[SlotOfSchool, list[Literal]] = defaultdict(list)
    for squad, visit, (day, slot), _ in model.all(model.in_pool):
        start = model.starts[squad.key, visit.key][day, slot]
        if not visit.group and not is_over(start):
            for busy in range(slot, slot + visit.slots):
                taught[day, busy].append(start)
    for (visit_key, (day, slot), _), staff in model.groups.items():
        for busy in range(slot, slot + slots[visit_key]):
            taught[day, busy] += parted(staff.values())[0]
    return taught


def _hands(model: Choices, person: Instructor, day: int) -> tuple[list[Literal], int]:
    """What the instructor may yet teach on a day, and the most slots that load and runs leave."""
    grid = model.problem.grid
    open_slots: list[Literal] = []
    most = over = 0
    for half in grid.halves:
        run = 0
        for u in half:
            free, gone = parted(model.staff_busy.get((person.key, day, u), []))
            run = run + 1 if free and run < person.max_run else 0
            most += run > 0
            over += gone
            open_slots += free
    if Rule("run", (person.key,)) in model.let_go:
        most = grid.slots_per_day
    if Rule("load", (person.key,)) not in model.let_go:
        most = min(most, max(0, person.max_load - over))
    return open_slots, most


def _to_teach(model: Choices, visit: Visit) -> int:
    """The fewest instructor slots that a visit still needs; groups as large as can be."""
    due = [
        (squad.size, visit.times - parted(model.starts[squad.key, visit.key].values())[1])
        for squad in model.squads
        if must_have(squad, visit) not in model.let_go
    ]
    if not visit.group:
        return visit.slots * sum(max(0, times) for _, times in due)
    golfers = sum(size * max(0, times) for size, times in due)
    ratio_held = Rule("ratio", (visit.key,)) not in model.let_go
    return visit.slots * ceil(golfers / visit.ratio) if ratio_held else 0
