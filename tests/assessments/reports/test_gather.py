"""What goes into a report, and how little it takes to read it."""

import pytest
from pytest_django import DjangoAssertNumQueries

from assessments.queries.findings import findings_for
from assessments.reports.errors import NothingMeasured
from assessments.reports.gather import gather
from school.models import Account
from tests.assessments.factories import FLIP, STRONG, putts
from tests.assessments.reports import scene
from tests.factories import EnrolmentFactory
from tests.lessons.factories import SessionFactory

pytestmark = pytest.mark.django_db


def test_a_full_school_is_gathered(instructor: Account) -> None:
    contents = gather(scene.full_school(instructor, golfer__full_name="Gail Golfer"))
    assert (contents.golfer, contents.coach) == ("Gail Golfer", "Ines Instructor")
    assert [club.group.club for club in contents.clubs] == ["iron"]
    assert [station.group.kind for station in contents.stations] == ["ball_flight", "putting"]
    assert contents.paragraph is not None
    assert contents.paragraph.text == scene.PARAGRAPH


def test_the_headlines_are_one_a_station_impact_first(instructor: Account) -> None:
    contents = gather(scene.full_school(instructor))
    assert [one.measure.name for one in contents.headlines] == [
        "forearm_line_offset_bd",
        "carry_m",
        "make_rate_2m",
    ]


def test_twice_as_many_entries_cost_no_more_queries(
    instructor: Account, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    enrolment = scene.full_school(instructor)
    with django_assert_num_queries(5):
        gather(enrolment)
    for phase in ("intake", "exit"):
        for name in (FLIP, STRONG, "05_driver_right_level"):
            scene.impact(enrolment, phase, name)
        scene.record(enrolment, "ball_flight", phase, scene.shots(200, 60, "driver"))
    with django_assert_num_queries(5):
        gather(enrolment)
    with django_assert_num_queries(2):
        findings_for(enrolment)


def test_clubs_are_never_pooled(instructor: Account) -> None:
    enrolment = scene.full_school(instructor)
    before = gather(enrolment).clubs[0]
    scene.impact(enrolment, "intake", "05_driver_right_level")
    iron, driver = gather(enrolment).clubs
    assert (iron.group.club, driver.group.club) == ("iron", "driver")
    assert iron.findings == before.findings


def test_specialty_shots_stand_apart(instructor: Account) -> None:
    enrolment = scene.full_school(instructor)
    scene.impact(enrolment, "exit", shot_kind="specialty")
    assert [club.group.club for club in gather(enrolment).clubs] == [
        "iron",
        "iron, specialty shots",
    ]


def test_practice_is_not_compared(instructor: Account) -> None:
    enrolment = scene.full_school(instructor)
    before = findings_for(enrolment)
    scene.impact(enrolment, "practice", FLIP)
    assert findings_for(enrolment) == before


def test_a_correction_takes_the_place_of_what_it_corrects(instructor: Account) -> None:
    enrolment = scene.full_school(instructor)
    wrong = enrolment.entries.get(kind="putting", phase="exit")
    scene.record(enrolment, "putting", "exit", putts(10, 10, 10), supersedes=wrong)
    rate = next(one for one in findings_for(enrolment) if one.measure.name == "make_rate_3m")
    assert rate.exit is not None
    assert rate.exit.values == (100.0,)


def test_the_still_shown_is_the_one_nearest_the_mean() -> None:
    enrolment = EnrolmentFactory.create()
    entries = [scene.impact(enrolment, "exit", shift_px=shift) for shift in (0.0, 2.0, 9.0)]
    shown = gather(enrolment).clubs[0].exit
    assert shown is not None
    assert shown.of == 3
    assert entries[1].still is not None
    assert shown.picture.file == entries[1].still.picture.name


def test_a_still_that_arrives_late_keeps_the_day_of_its_session() -> None:
    enrolment = EnrolmentFactory.create()
    entry = scene.impact(enrolment, "exit")
    entry.session = SessionFactory.create(plan__school=enrolment.school)
    entry.save(update_fields=["session"])
    shown = gather(enrolment).clubs[0].exit
    assert shown is not None
    assert shown.taken_on == enrolment.school.starts_on


def test_a_doubtful_still_is_shown_but_stays_out_of_claims() -> None:
    enrolment = EnrolmentFactory.create()
    scene.impact(enrolment, "intake", FLIP)
    doubtful = scene.impact(enrolment, "exit")
    doubtful.warnings = ["handedness_doubtful"]
    doubtful.save(update_fields=["warnings"])
    club = gather(enrolment).clubs[0]
    assert club.exit is not None
    assert club.exit.doubts[0].startswith("The trail shoulder")
    assert club.findings[0].exit is None
    assert "doubtful and stays out of claims" in club.findings[0].sentence


def test_without_a_paragraph_the_lead_instructor_is_the_coach() -> None:
    enrolment = EnrolmentFactory.create()
    scene.impact(enrolment, "intake")
    assert gather(enrolment).coach == str(enrolment.school.lead_instructor)


def test_nothing_recorded_is_nothing_to_report() -> None:
    with pytest.raises(NothingMeasured, match="Nothing was recorded"):
        gather(EnrolmentFactory.create())
