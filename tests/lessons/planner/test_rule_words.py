"""A small clash for each kind of rule that is not part of every school, word by word."""

from dataclasses import replace

from lessons.planner.plan import Placement
from lessons.planner.problem import Bay, Grid, Problem, Squad, Visit
from lessons.planner.reasons.why_not import explain
from tests.lessons.planner.schools import every_slot, squad, tiny, visit

F = frozenset


def told(problem: Problem) -> list[str]:
    conflicts, minimal = explain(problem, seconds=60)
    assert minimal
    return sorted(conflict.words for conflict in conflicts)


def two_days(**changes: object) -> Problem:
    grid = replace(tiny().grid, days=2)
    ada = replace(tiny().instructors[0], available=every_slot(grid))
    return tiny(grid=grid, instructors=(ada,), **changes)


def test_same_day() -> None:
    visits = (visit("intake", days=[0]), visit("putting", days=[1]))
    assert told(two_days(visits=visits, same_day=(("intake", "putting"),))) == [
        "Intake and Putting fall on the same days.",
        "Intake is allowed on day 1 only.",
        "Putting is allowed on day 2 only.",
        "Squad A must have Putting, 1 slot (1 h).",
    ]


def test_other_day() -> None:
    visits = (visit("intake", days=[1]), visit("putting", days=[1]))
    assert told(two_days(visits=visits, other_day=(("intake", "putting"),))) == [
        "Intake and Putting never fall on the same day.",
        "Intake is allowed on day 2 only.",
        "Putting is allowed on day 2 only.",
        "Squad A must have Intake, 1 slot (1 h).",
        "Squad A must have Putting, 1 slot (1 h).",
    ]


def test_away() -> None:
    exit_ = replace(visit("exit"), everyone=True)
    away = replace(squad("A"), away=F({(0, 0), (0, 1)}))
    ada = replace(tiny().instructors[0], available=F({(0, 0), (0, 1)}))
    assert told(tiny(squads=(away,), visits=(exit_,), instructors=(ada,))) == [
        "Ada is free on day 1 slots 1–2 only.",
        "Somebody of Squad A is away on day 1 slots 1–2, and everyone should have Exit.",
        "Squad A must have Exit, 1 slot (1 h).",
    ]


def test_dark() -> None:
    bays = (
        Bay("b1", "Bay 1", "range", F()),
        Bay("b2", "Bay 2", "range", F({"lit"}), F({(0, 3)})),
    )
    ada = replace(tiny().instructors[0], available=F({(0, 3)}))
    assert told(tiny(bays=bays, instructors=(ada,), dark=F({(0, 2), (0, 3)}))) == [
        "Ada is free on day 1 slot 4 only.",
        "Bay 2 is closed or taken on day 1 slot 4.",
        "It is dark on day 1 slots 3–4: of 2 bays Bay 2 can then be used.",
        "Squad A must have Putting, 1 slot (1 h).",
    ]


def talk(ratio: int) -> Visit:
    return replace(visit("talk"), group=True, ratio=ratio)


def test_capacity() -> None:
    room = Bay("r1", "Room", "house", F(), squads=2)
    ada = replace(tiny().instructors[0], available=F({(0, 0)}))
    squads = tuple(squad(letter) for letter in "ABC")
    assert told(tiny(squads=squads, visits=(talk(12),), bays=(room,), instructors=(ada,))) == [
        "Ada is free on day 1 slot 1 only.",
        "Each of the 3 squads must have Talk, 1 slot (1 h).",
        "Room has room for 2 squads at once.",
    ]


def test_ratio_of_a_group() -> None:
    room = Bay("r1", "Room", "house", F(), squads=2)
    ada = replace(tiny().instructors[0], available=F({(0, 0)}))
    squads = (squad("A"), squad("B"))
    assert told(tiny(squads=squads, visits=(talk(6),), bays=(room,), instructors=(ada,))) == [
        "Ada is free on day 1 slot 1 only.",
        "At Talk an instructor takes at most 6 golfers, and 8 golfers have it in groups.",
        "Each of the 2 squads must have Talk, 1 slot (1 h).",
    ]


def test_ratio_of_a_squad() -> None:
    clinic = replace(visit("clinic"), ratio=2)
    assert told(tiny(squads=(Squad("A", "Squad A", 3, False),), visits=(clinic,))) == [
        "At Clinic an instructor takes at most 2 golfers, and a squad has up to 3.",
        "Squad A must have Clinic, 1 slot (1 h).",
    ]


def test_pinned() -> None:
    grid = Grid(
        1, 4, 2, 60, (("9:00", "10:00"), ("10:00", "11:00"), ("12:00", "13:00"), ("13:00", "14:00"))
    )
    pin = Placement("A", "putting", 0, 1, "b1", ("i1",))
    bays = (replace(tiny().bays[0], closed=F({(0, 1)})),)
    assert told(tiny(grid=grid, bays=bays, pinned=(pin,))) == [
        "Bay 1 is closed or taken on day 1 from 10:00 to 11:00.",
        "Squad A's Putting is pinned to day 1 from 10:00 to 11:00, in Bay 1 with Ada.",
    ]


def test_daily() -> None:
    short = replace(visit("short", days=[0]), times=2)
    assert told(two_days(visits=(short,))) == [
        "Short is allowed on day 1 only.",
        "Short is had at most 1 a day, 2 times in all.",
        "Squad A must have Short 2 times, 1 slot (1 h).",
    ]
