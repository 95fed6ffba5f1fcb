"""The checker itself: it sees each rule broken, excuses what is over, and counts as others do."""

import json
from collections import defaultdict
from dataclasses import replace
from pathlib import Path
from random import Random
from typing import Any

import pytest

from lessons.planner.files.school_plan import read_instance, read_plan, write_plan
from lessons.planner.plan import Placement
from lessons.planner.problem import Problem
from tests.lessons.planner.independent_checker import Checker
from tests.lessons.planner.school_files import small_plan, small_school

F = frozenset
Rows = tuple[Placement, ...]
SCHOOL = read_instance(small_school())
ROWS = read_plan(small_plan(), SCHOOL)
TWO_DAYS = replace(SCHOOL.grid, days=2)
BENCH = Path(__file__).parents[2] / "bench" / "schools"


def row(squad: str, visit: str) -> Placement:
    return next(r for r in ROWS if (r.squad, r.visit) == (squad, visit))


def but(squad: str, visit: str, **changes: Any) -> Rows:
    """The plan with one session changed."""
    old = row(squad, visit)
    return tuple(replace(r, **changes) if r == old else r for r in ROWS)


def visits(key: str, **changes: Any) -> Problem:
    """The school with one visit changed."""
    new = (replace(v, **changes) if v.key == key else v for v in SCHOOL.visits)
    return replace(SCHOOL, visits=tuple(new))


def staff(**changes: Any) -> Problem:
    """The school with Ida changed."""
    new = (replace(p, **changes) if p.key == "Ida" else p for p in SCHOOL.instructors)
    return replace(SCHOOL, instructors=tuple(new))


def away() -> Problem:
    squads = tuple(replace(s, away=F({(0, 1)})) for s in SCHOOL.squads)
    return replace(visits("talk", everyone=True), squads=squads)


def two_days(**changes: Any) -> Problem:
    return replace(SCHOOL, grid=TWO_DAYS, **changes)


AGAIN_TOMORROW = but("red", "again", day=1)
MORE_TALK = (*ROWS, *(replace(row(squad, "talk"), slot=3) for squad in ("red", "blue")))
BOTH = ("Ida", "Jon")
TALK_BY_BOTH = tuple(replace(r, instructors=BOTH) if r.visit == "talk" else r for r in ROWS)

BROKEN = [
    ("red twice at", SCHOOL, but("red", "swing", slot=1)),
    ("over lunch", visits("again", slots=2), ROWS),
    ("on a wrong day", visits("swing", days=F()), ROWS),
    ("while somebody is away", away(), ROWS),
    ("talk too often on day 0", visits("talk", times=2), MORE_TALK),
    ("before enough of swing", SCHOOL, but("red", "swing", slot=3)),
    ("on different days", two_days(same_day=(("swing", "again"),)), AGAIN_TOMORROW),
    ("has swing and again on day 0", replace(SCHOOL, other_day=(("swing", "again"),)), ROWS),
    ("lacks a feature", SCHOOL, but("red", "swing", bay="R")),
    ("not for left-handers", SCHOOL, but("red", "swing", bay="M2")),
    ("while the bay is closed", SCHOOL, but("blue", "again", slot=4)),
    ("in the rain", SCHOOL, but("blue", "swing", slot=1)),
    ("in the dark", SCHOOL, but("blue", "again", slot=5)),
    ("M1 crowded", SCHOOL, but("blue", "swing", bay="M1")),
    ("R crowded or mixed", SCHOOL, but("blue", "swing", bay="R", slot=1)),
    ("blue cannot walk", replace(SCHOOL, changeover_min=3), ROWS),
    ("by someone not qualified", staff(skills=F()), ROWS),
    ("by someone not free", staff(available=F()), ROWS),
    ("without its one instructor", SCHOOL, but("red", "swing", instructors=BOTH)),
    ("too many golfers for one", visits("swing", ratio=1), ROWS),
    ("Ida twice at", SCHOOL, but("blue", "swing", instructors=("Ida",))),
    ("different instructors", SCHOOL, but("blue", "talk", instructors=("Jon",))),
    ("needs 1 instructors", SCHOOL, TALK_BY_BOTH),
    ("needs 2 instructors", visits("talk", ratio=2), ROWS),
    ("Ida overloaded", staff(max_load=2), ROWS),
    ("Ida without a break", staff(max_run=2), ROWS),
]
NEVER_EXCUSED = [
    ("('blue', 'again') 0 times", SCHOOL, ROWS[1:]),
    ("('red', 'talk') 2 times", SCHOOL, MORE_TALK),
    ("outside the day", SCHOOL, but("red", "again", slot=6)),
    ("is not where it was pinned", replace(SCHOOL, pinned=ROWS), but("red", "swing", slot=3)),
    ("of the past is gone", replace(SCHOOL, past=ROWS), but("red", "swing", slot=3)),
    ("begins in the past", replace(SCHOOL, now=(0, 1)), ROWS),
]


def faults(problem: Problem, rows: Rows) -> str:
    return "\n".join(Checker.of(problem, rows).check())


def test_a_good_plan_has_no_fault() -> None:
    assert faults(SCHOOL, ROWS) == ""


@pytest.mark.parametrize(("words", "problem", "rows"), [*BROKEN, *NEVER_EXCUSED])
def test_a_broken_rule_is_seen(words: str, problem: Problem, rows: Rows) -> None:
    assert words in faults(problem, rows)


@pytest.mark.parametrize(("words", "problem", "rows"), BROKEN)
def test_what_is_over_is_excused(words: str, problem: Problem, rows: Rows) -> None:
    assert faults(replace(problem, past=rows), rows) == ""


def test_the_bay_is_only_needed_for_its_slots_but_light_for_the_whole_visit() -> None:
    problem = replace(
        visits("again", slots=2, bay_slots=1),
        grid=replace(SCHOOL.grid, lunch_after=6),
        instructors=staff(max_run=6).instructors,
    )
    assert faults(problem, but("blue", "again", slot=3)) == ""
    dark = replace(problem, dark=F({(0, 4)}))
    assert "in the dark" in faults(dark, but("blue", "again", slot=3))


def test_golfers_moved_and_sessions_changed_are_counted() -> None:
    """Red (two golfers) has one session elsewhere; one of blue's has only another instructor."""
    new = but("red", "swing", slot=3)
    new = tuple(replace(r, instructors=("Ida",)) if r == row("blue", "again") else r for r in new)
    counted = Checker.of(replace(SCHOOL, published=ROWS), new).goals()
    assert (counted["moved"], counted["changed"]) == (2, 2)


# A second count, straight from the file


@pytest.mark.parametrize("golfers", [12, 24, 48, 96])
def test_goals_counted_straight_from_the_file_are_the_same(golfers: int) -> None:
    file = json.loads((BENCH / f"golfers_{golfers}.json").read_text())
    problem = read_instance(file)
    for seed in range(5):
        rows = anyhow(problem, Random(seed))
        assert Checker.of(problem, rows).goals() == counted(file, write_plan(rows)["plan"])


def anyhow(problem: Problem, random: Random) -> Rows:
    """Each squad's visits in free slots of its own, anywhere and by anybody."""
    rows = []
    bays, people = ([r.key for r in some] for some in (problem.bays, problem.instructors))
    grid = problem.grid
    for squad in problem.squads:
        free = {(day, slot) for day in range(grid.days) for slot in range(grid.slots_per_day)}
        for visit in [one for one in problem.visits for _ in range(one.times)]:
            spans = ([(d, s + n) for n in range(visit.slots)] for d, s in sorted(free))
            fitting = [span for span in spans if free.issuperset(span)]
            if fitting:
                span = random.choice(fitting)
                free -= {*span}
                team = (random.choice(people),)
                rows.append(Placement(squad.key, visit.key, *span[0], random.choice(bays), team))
    return tuple(rows)


def counted(file: dict[str, Any], plan: list[dict[str, Any]]) -> dict[str, int]:
    """The goals by their definitions, from plain JSON alone."""
    length = {visit["id"]: visit["slots"] for visit in file["activities"]}
    best = {visit["id"]: visit.get("prefer") for visit in file["activities"]}
    place = {bay["id"]: file["places"].index(bay["place"]) for bay in file["bays"]}
    noon = file["lunch_after"]
    where: dict[tuple[str, int], dict[int, int]] = defaultdict(dict)
    taught: dict[str, set[tuple[int, int]]] = {one["id"]: set() for one in file["instructors"]}
    by: dict[tuple[str, str], set[str]] = defaultdict(set)
    led: dict[str, int] = {squad["id"]: 0 for squad in file["squads"]}
    for row in plan:
        for slot in range(row["slot"], row["slot"] + length[row["activity"]]):
            where[row["squad"], row["day"]][slot] = place[row["bay"]]
            for one in row["instructors"]:
                taught[one].add((row["day"], slot))
        by[row["squad"], row["activity"]] |= {*row["instructors"]}
        led[row["squad"]] += file["lead"] in row["instructors"]
    loads = [len(taught[one["id"]]) * one["load_factor"] for one in file["instructors"]]
    first, last = file["continuity"]
    return {
        "idle": sum(max(day) - min(day) + 1 - len(day) for day in where.values()),
        "lead": sum(max(0, 2 - n) for n in led.values()),
        "same_instructor": sum(not by[s, first] & by[s, last] for s in led),
        "fairness": max(loads) - min(loads),
        "preference": sum(
            bool(best[r["activity"]]) and r["slot"] not in best[r["activity"]] for r in plan
        ),
        "walking": sum(
            walked(file, [day[u] for u in sorted(day) if (u < noon) == morning])
            for day in where.values()
            for morning in (True, False)
        ),
    }


def walked(file: dict[str, Any], stops: list[int]) -> int:
    base = file["places"].index(file["base"])
    here, minutes = base, 0
    for there in [*stops, base]:
        minutes += file["walk"][here][there]
        here = there
    return minutes
