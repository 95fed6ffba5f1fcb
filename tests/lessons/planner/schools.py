"""Invented schools for the planner: one like a working week's, and a tiny one to break."""

from collections.abc import Iterable
from dataclasses import replace
from itertools import combinations

from lessons.planner.problem import Bay, Grid, Instructor, Problem, Squad, Visit

F = frozenset


def every_slot(grid: Grid) -> frozenset[tuple[int, int]]:
    return F((day, slot) for day in range(grid.days) for slot in range(grid.slots_per_day))


def visit(
    key: str,
    *features: str,
    station: str = "swing",
    slots: int = 1,
    handed: bool = False,
    days: Iterable[int] | None = None,
    after: Iterable[str] = (),
) -> Visit:
    allowed = None if days is None else F(days)
    return Visit(
        key, key.title(), station, slots, F(features), handed, allowed, dict.fromkeys(after, 1)
    )


def squad(key: str, *, left_handed: bool = False, size: int = 4) -> Squad:
    return Squad(key, f"Squad {key}", size, left_handed)


def tiny(**changes: object) -> Problem:
    """One squad, one visit, one bay, one instructor, a day of four slots with lunch in it."""
    grid = Grid(days=1, slots_per_day=4, lunch_after=2, slot_min=60)
    problem = Problem(
        grid=grid,
        squads=(squad("A"),),
        visits=(visit("putting"),),
        bays=(Bay("b1", "Bay 1", "range", F()),),
        instructors=(Instructor("i1", "Ada", F({"swing"}), every_slot(grid), 4, 4),),
        walk_min={},
        changeover_min=5,
    )
    return replace(problem, **changes)  # type: ignore[arg-type]


WEEK = Grid(days=3, slots_per_day=8, lunch_after=4, slot_min=45)

PROGRAMME = (
    visit("intake", "face-on", station="capture", handed=True, days=[0]),
    visit("irons", "range", station="swing", after=["intake"]),
    visit("driver", "monitor", station="swing", handed=True, after=["intake"]),
    visit("putting", "green", station="putting", after=["intake"]),
    visit("chipping", "chip", station="short", after=["intake"]),
    visit("bunker", "sand", station="short", after=["chipping"]),
    visit("body", "room", station="body", days=[0, 1]),
    visit("practice-1", "range", station="swing", after=["irons"]),
    visit("practice-2", "range", station="swing", after=["irons"]),
    visit("course", "tee", station="swing", slots=3, days=[2]),
    visit("exit", "face-on", station="capture", handed=True, days=[2], after=["driver"]),
)

PLACES = {"house": (0, 0), "studio": (2, 0), "range": (4, 1), "green": (3, 3), "dunes": (9, 4)}


def walks() -> dict[tuple[str, str], int]:
    """Minutes on a grid of paths; the dunes lie more than a changeover from the studio."""
    return {
        (one, other): abs(PLACES[one][0] - PLACES[other][0])
        + abs(PLACES[one][1] - PLACES[other][1])
        for one, other in combinations(PLACES, 2)
    }


def bay(key: str, place: str, *features: str) -> Bay:
    return Bay(key, f"Bay {key}", place, F(features))


def week_bays(squads: int) -> tuple[Bay, ...]:
    """Six bays for the smallest school; a larger one has more of what runs short."""
    bays = [
        bay("C1", "studio", "face-on", "monitor", "left-handed"),
        bay("R1", "range", "range", "left-handed"),
        bay("G1", "green", "green"),
        bay("D1", "dunes", "chip", "sand", "tee"),
        bay("H1", "house", "room"),
        bay("T1", "dunes", "tee"),
    ]
    if squads > 3:
        bays += [
            bay("C2", "studio", "face-on"),
            bay("R2", "range", "range"),
            bay("R3", "range", "range", "monitor", "face-on", "left-handed"),
            bay("G2", "green", "green"),
            bay("D2", "dunes", "chip", "sand"),
            bay("T2", "dunes", "tee"),
            bay("T3", "dunes", "tee"),
        ]
    return tuple(bays)


def week_instructors(squads: int) -> tuple[Instructor, ...]:
    skills = [
        {"capture", "swing", "short"},
        {"capture", "swing", "putting", "body"},
        {"swing", "short", "putting"},
    ]
    if squads > 3:
        skills += [{"capture", "swing"}, {"swing", "short", "body"}, {"swing", "putting"}]
    slots = every_slot(WEEK)
    return tuple(
        Instructor(f"i{n}", f"Instructor {n}", F(stations), slots, 6, 3)
        for n, stations in enumerate(skills, 1)
    )


def week(squads: int) -> Problem:
    """A three-day school with every rule and goal of the planner in use."""
    return Problem(
        grid=WEEK,
        squads=tuple(squad(chr(65 + n), left_handed=n == 0) for n in range(squads)),
        visits=PROGRAMME,
        bays=week_bays(squads),
        instructors=week_instructors(squads),
        walk_min=walks(),
        changeover_min=10,
        lead="i1",
        same_instructor=("intake", "exit"),
        lead_visits=2,
    )
