"""A school and its plan as plain JSON."""

import json
from pathlib import Path
from typing import Any

import pytest

from lessons.planner.files.reading import SchoolPlanError
from lessons.planner.files.school_plan import again_from, read_instance, read_plan, write_plan
from lessons.planner.plan import Placement
from lessons.planner.problem import COVERED, LEFT_HANDED, LIT
from tests.bench.doubled_school import doubled, written
from tests.lessons.planner.school_files import (
    activity,
    bay,
    instructor,
    session,
    small_plan,
    small_school,
)

SCHOOLS = sorted((Path(__file__).parents[2] / "bench" / "schools").glob("*.json"))


def test_bays_get_their_features_from_kind_attrs_cover_and_light() -> None:
    barn, field, room = read_instance(small_school()).bays
    assert barn.features == {"mat", LEFT_HANDED, COVERED, LIT}
    assert field.features == {"mat"}
    assert field.closed == {(0, 4)}
    assert (barn.squads, room.squads) == (1, 2)


def test_a_kind_and_an_attr_of_one_name_are_two_features() -> None:
    bays = [bay("M1", kinds=["mat"], attrs=[]), bay("M2", kinds=["rug"], attrs=["mat", "lit"])]
    visits = [activity("swing"), activity("aim", needs=["mat"])]
    problem = read_instance(small_school(bays=bays, activities=visits, rules=[], continuity=None))
    swing, aim = problem.visits
    mat, rug = problem.bays
    assert swing.features <= mat.features
    assert not swing.features <= rug.features
    assert not aim.features <= mat.features | swing.features
    assert "lit (attr)" in rug.features


def test_visits_say_when_how_often_and_after_what() -> None:
    practice = activity("practice", count=3, max_per_day=2, slots=2, bay_slots=1, days=[0])
    rules = [
        {"rule": "after", "activity": "swing", "needs": "practice", "count": 2},
        {"rule": "after", "activity": "swing", "needs": "practice", "count": 1},
        {"rule": "same_day", "activities": ["swing", "again"]},
        {"rule": "not_same_day", "activities": ["again", "practice"]},
    ]
    activities = [activity("swing"), activity("again", prefer=[1, 2]), practice]
    problem = read_instance(small_school(activities=activities, rules=rules))
    swing, again, practice_visit = problem.visits
    assert swing.after == {"practice": 2}
    assert again.preferred == frozenset({1, 2})
    assert (practice_visit.times, practice_visit.most_a_day) == (3, 2)
    assert (practice_visit.slots, practice_visit.in_bay) == (2, 1)
    assert practice_visit.days == frozenset({0})
    assert problem.same_day == (("swing", "again"),)
    assert problem.other_day == (("again", "practice"),)


def test_groups_people_dark_rain_and_walks_are_read() -> None:
    problem = read_instance(small_school())
    assert problem.visits[2].group
    assert problem.visits[2].ratio == 4
    assert [squad.left_handed for squad in problem.squads] == [True, False]
    assert problem.instructors[1].load_factor == 2
    assert problem.dark == {(0, 5)}
    assert problem.rain == {(0, 1)}
    assert (problem.walk("barn", "field"), problem.walk("field", "barn")) == (4, 5)
    assert (problem.lead, problem.lead_visits, problem.base) == ("Ida", 2, "barn")
    assert problem.same_instructor == ("swing", "again")


def test_a_school_needs_no_lead_and_no_light() -> None:
    problem = read_instance(small_school(lead=None, continuity=None, daylight=None, rain=None))
    assert (problem.lead, problem.same_instructor, problem.dark) == (None, None, frozenset())


@pytest.mark.parametrize("path", SCHOOLS, ids=lambda path: str(path.stem))
def test_the_schools_of_the_bench_can_be_read(path: Path) -> None:
    school = json.loads(path.read_text())
    problem = read_instance(school)
    assert sum(squad.size for squad in problem.squads) == len(school["attendees"])


def test_the_school_of_96_is_that_of_48_twice() -> None:
    smaller, larger = (SCHOOLS[0].with_name(f"golfers_{n}.json").read_text() for n in (48, 96))
    assert written(doubled(json.loads(smaller))) == larger


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"format": "other/1"}, "format must be 'school-plan/1'"),
        ({"days": 0}, "days must be a whole number from 1 on"),
        ({"slots_per_day": True}, "slots_per_day must be a whole number"),
        ({"lunch_after": 9}, "Lunch after slot 9 lies outside a day of 6"),
        ({"bays": {}}, "bays must be a list"),
        ({"bays": []}, "bays must be a list of at least one"),
        ({"bays": ["M1"]}, r"bays\[0\] must be an object"),
        ({"bays": [bay("M1", place="moon")]}, r"bays\[0\].place names 'moon'"),
        ({"bays": [bay("M1"), bay("M1")]}, "bay key 'M1' is used 2 times"),
        ({"bays": [bay("M1", closed=[[0, 5, 7]])]}, r"bays\[0\].closed has \[0, 5, 7\]"),
        ({"bays": [bay("M1", lit="yes")]}, r"bays\[0\].lit must be true or false"),
        ({"instructors": [instructor("")]}, r"instructors\[0\].id must be a text"),
        ({"instructors": [instructor("A", skills="all")]}, r"instructors\[0\].skills must be a li"),
        ({"lead": "Zoe"}, "lead names 'Zoe', which the school does not have"),
        ({"continuity": ["swing", "swing"]}, "continuity must name two that differ"),
        ({"walk": [[0, 4]]}, "walk must have a row and a column for each place"),
        ({"walk": [[0, 4], [5]]}, r"walk\[1\] must be a list of 2 whole numbers"),
        ({"daylight": []}, "daylight must be a range for each of the 1 days"),
        ({"rain": [[0, 1]]}, r"rain\[0\] must be a list of 3 whole numbers"),
        ({"activities": [activity("a", days=[3])]}, r"activities\[0\].days must hold whole num"),
        ({"activities": [activity("a", bay_slots=2)]}, r"activities\[0\].bay_slots must not be"),
        ({"rules": [{"rule": "before"}]}, r"rules\[0\].rule must be one of after, same_day"),
        ({"squads": [{"id": "red", "members": ["Ann"]}]}, "must hold attendee 'Ben' once, not 0"),
        ({"attendees": [{"id": "Ann", "hand": "both"}]}, r"attendees\[0\].hand must be L or R"),
    ],
)
def test_what_is_wrong_is_named_with_its_place(changes: dict[str, Any], words: str) -> None:
    with pytest.raises(SchoolPlanError, match=words):
        read_instance(small_school(**changes))


@pytest.mark.parametrize("data", [None, [], "school", 3])
def test_a_file_that_is_no_object_is_refused(data: object) -> None:
    with pytest.raises(SchoolPlanError, match="The file must be an object"):
        read_instance(data)


def test_visits_that_wait_for_each_other_are_refused_in_words() -> None:
    rules = [
        {"rule": "after", "activity": "swing", "needs": "again"},
        {"rule": "after", "activity": "again", "needs": "swing"},
    ]
    with pytest.raises(SchoolPlanError, match="wait for each other in a circle"):
        read_instance(small_school(rules=rules))


def test_a_plan_goes_out_as_it_came_in() -> None:
    problem = read_instance(small_school())
    placements = read_plan(small_plan(), problem)
    assert Placement("red", "talk", 0, 1, "R", ("Ida",)) in placements
    again = write_plan(placements)
    assert read_plan(again, problem) == placements
    assert sorted(map(str, again["plan"])) == sorted(map(str, small_plan()["plan"]))


@pytest.mark.parametrize(
    ("row", "words"),
    [
        (session("green", "swing", 0, "M1", "Ida"), r"plan\[0\].squad names 'green'"),
        (session("red", "swing", 6, "M1", "Ida"), "day 0, slot 6 lies outside the school"),
        (session("red", "swing", 0, "M1"), r"plan\[0\].instructors must name at least one"),
        (session("red", "swing", 0, "M1", "Ida", "Ida"), "nobody twice"),
    ],
)
def test_a_plan_of_another_school_is_refused(row: dict[str, Any], words: str) -> None:
    with pytest.raises(SchoolPlanError, match=words):
        read_plan({"plan": [row]}, read_instance(small_school()))


def test_what_begins_before_the_slot_is_past_and_all_is_published() -> None:
    problem = read_instance(small_school())
    again = again_from(problem, read_plan(small_plan(), problem), (0, 1))
    assert len(again.published) == 6
    assert {(row.squad, row.visit) for row in again.past} == {("red", "swing"), ("blue", "swing")}
