"""The instructor's day, a session, the hours and the day sheet."""

from collections.abc import Callable
from datetime import UTC, date, datetime, time
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from lessons.models import Hours, Instructor, Session
from school.models import Account, School
from tests.factories import SchoolFactory, consented
from tests.lessons.factories import (
    BayFactory,
    PlanFactory,
    SessionFactory,
    SquadMemberFactory,
    StationFactory,
    VisitFactory,
    instructor_for,
    offer_hours,
    talk,
)

pytestmark = pytest.mark.django_db
ClientOf = Callable[[Account | None], Client]
FRIDAY = "2027-05-07"


@pytest.fixture
def ines(instructor: Account) -> Instructor:
    return instructor_for(instructor)


@pytest.fixture
def tablet(client_of: ClientOf, instructor: Account) -> Client:
    return client_of(instructor)


def text_of(client: Client, name: str, *args: Any) -> str:
    answer = client.get(reverse(name, args=args))
    assert answer.status_code == 200
    return answer.content.decode()


# My day


def test_sessions_stand_in_order_of_time_with_their_golfers(
    tablet: Client, ines: Instructor
) -> None:
    later = SessionFactory.create(instructor=ines)
    school = later.plan.school
    Session.objects.update(starts_at=school.slot_instant(0, 4), ends_at=school.slot_instant(0, 5))
    sooner = SessionFactory.create(plan=later.plan, instructor=ines)
    text = text_of(tablet, "my_day_on", FRIDAY)
    assert text.index(sooner.visit.name) < text.index(later.visit.name)
    assert str(sooner.squad.members.get().enrolment.golfer) in text
    assert "09:00" in text
    assert "13:00" in text


def test_other_instructors_sessions_and_drafts_are_not_mine(
    tablet: Client, ines: Instructor
) -> None:
    SessionFactory.create()
    SessionFactory.create(plan=PlanFactory.create(), instructor=ines)
    assert "No sessions yet" in text_of(tablet, "my_day_on", FRIDAY)


def test_a_talk_stands_once_with_the_squads_that_are_mine(tablet: Client, ines: Instructor) -> None:
    sessions = talk(squads=4, instructors=2)
    Session.objects.filter(pk__in=[sessions[0].pk, sessions[2].pk]).update(instructor=ines)
    text = text_of(tablet, "my_day_on", FRIDAY)
    assert text.count(sessions[0].visit.name) == 1
    assert "Squads 1, 3" in text
    mine, other = (each.squad.members.get().enrolment.golfer for each in sessions[2:])
    assert f"Squad 3: {mine}" in text
    assert str(other) not in text


def test_the_day_is_today_where_the_school_is(
    client_of: ClientOf, instructor: Account, ines: Instructor, monkeypatch: pytest.MonkeyPatch
) -> None:
    """In the evening of the sixth in Greenwich it is the seventh in Auckland."""
    evening = datetime(2027, 5, 6, 20, tzinfo=UTC)
    monkeypatch.setattr(timezone, "now", lambda: evening)
    school = SchoolFactory.create(time_zone="Pacific/Auckland")
    session = SessionFactory.create(plan__school=school, instructor=ines)
    text = text_of(client_of(instructor), "my_day")
    assert session.visit.name in text
    assert "Today" in text


def test_the_nearest_days_are_linked(tablet: Client, ines: Instructor) -> None:
    session = SessionFactory.create(instructor=ines)
    school = session.plan.school
    SessionFactory.create(
        plan=session.plan,
        instructor=ines,
        starts_at=school.slot_instant(2, 0),
        ends_at=school.slot_instant(2, 1),
    )
    assert reverse("my_day_on", args=["2027-05-09"]) in text_of(tablet, "my_day_on", FRIDAY)
    assert reverse("my_day_on", args=[FRIDAY]) in text_of(tablet, "my_day_on", "2027-05-08")


def test_a_date_that_is_none_is_not_found(tablet: Client) -> None:
    assert tablet.get("/day/2027-02-30/").status_code == 404


def test_a_day_costs_the_same_for_more_sessions(tablet: Client, ines: Instructor) -> None:
    def counted() -> int:
        with CaptureQueriesContext(connection) as queries:
            text_of(tablet, "my_day_on", FRIDAY)
        return len(queries)

    first = SessionFactory.create(instructor=ines)
    before = counted()
    SquadMemberFactory.create_batch(3, squad=first.squad)
    SessionFactory.create_batch(3, plan=first.plan, instructor=ines)
    assert counted() == before


# A session


def test_a_session_leads_to_each_attendees_entry(tablet: Client, ines: Instructor) -> None:
    station = StationFactory.create(slug="ball-flight", entry_kind="ball_flight")
    session = SessionFactory.create(instructor=ines, visit__station=station)
    enrolment = session.squad.members.get().enrolment
    text = text_of(tablet, "session", session.pk)
    assert reverse("entry_new", args=[session.pk, enrolment.pk, "ball_flight"]) in text


def test_a_talk_shows_all_squads_of_its_instructor_each_with_its_own_session(
    tablet: Client, ines: Instructor
) -> None:
    station = StationFactory.create(slug="putting", entry_kind="putting")
    first, second, third = talk(squads=3, instructors=1, visit__station=station)
    Session.objects.filter(pk__in=[first.pk, second.pk]).update(instructor=ines)
    text = text_of(tablet, "session", first.pk)
    assert "Squads 1, 2 ·" in text
    for session in (first, second):
        enrolment = session.squad.members.get().enrolment
        assert reverse("entry_new", args=[session.pk, enrolment.pk, "putting"]) in text
    assert str(third.squad.members.get().enrolment.golfer) not in text


def test_where_nothing_is_recorded_there_is_no_such_link(tablet: Client, ines: Instructor) -> None:
    session = SessionFactory.create(instructor=ines)
    text = text_of(tablet, "session", session.pk)
    assert "Nothing is recorded at this station" in text
    assert "Record" not in text


def test_a_coach_sees_what_they_must_know(tablet: Client, ines: Instructor) -> None:
    session = SessionFactory.create(instructor=ines)
    golfer = session.squad.members.get().enrolment.golfer
    golfer.care_notes, golfer.birth_date = "Sore trail knee.", date(2012, 1, 1)
    golfer.save(update_fields=["care_notes", "birth_date"])
    text = text_of(tablet, "session", session.pk)
    assert "Sore trail knee." in text
    assert "under 18" in text


def test_consent_to_filming_is_told_while_it_holds(tablet: Client, ines: Instructor) -> None:
    session = SessionFactory.create(instructor=ines)
    enrolment = session.squad.members.get().enrolment
    assert "Not to be filmed" in text_of(tablet, "session", session.pk)
    consented(enrolment)
    assert "May be filmed" in text_of(tablet, "session", session.pk)
    enrolment.consents.update(withdrawn_at=timezone.now())
    assert "Not to be filmed" in text_of(tablet, "session", session.pk)


def test_a_session_costs_the_same_for_more_attendees(tablet: Client, ines: Instructor) -> None:
    def counted() -> int:
        with CaptureQueriesContext(connection) as queries:
            text_of(tablet, "session", session.pk)
        return len(queries)

    session = SessionFactory.create(instructor=ines)
    before = counted()
    SquadMemberFactory.create_batch(3, squad=session.squad)
    assert counted() == before


# Hours


def hours_of(school: School, *times: str) -> dict[str, str]:
    """The form as typed: from and to, date by date."""
    names = [f"school{school.pk}-{end}_{day}" for day in school.dates for end in ("from", "to")]
    return dict(zip(names, times, strict=True))


def test_hours_of_a_school_to_come_are_kept(tablet: Client, ines: Instructor) -> None:
    school = SchoolFactory.create()
    typed = hours_of(school, "09:00", "12:00", "", "", "13:00", "17:00")
    answer = tablet.post(reverse("hours_set", args=[school.pk]), typed, follow=True)
    assert "are kept" in answer.content.decode()
    starts = [row.starts_at.astimezone(school.zone) for row in ines.hours.all()]
    assert [(at.day, at.hour) for at in starts] == [(7, 9), (9, 13)]


def test_dates_left_as_they_are_keep_their_breaks(tablet: Client, ines: Instructor) -> None:
    school = SchoolFactory.create()
    offer_hours(ines, school, time(9), time(12))
    offer_hours(ines, school, time(13), time(17))
    assert "With breaks" in text_of(tablet, "my_hours")
    typed = hours_of(school, "09:00", "17:00", "09:00", "17:00", "", "")
    tablet.post(reverse("hours_set", args=[school.pk]), typed)
    assert ines.hours.count() == 4


@pytest.mark.parametrize(
    ("starts", "ends", "words"),
    [("09:00", "", "Give both times"), ("12:00", "09:00", "The end must come after the start")],
)
def test_half_a_stretch_is_refused_and_kept_on_screen(
    starts: str, ends: str, words: str, tablet: Client, ines: Instructor
) -> None:
    school = SchoolFactory.create()
    typed = hours_of(school, starts, ends, "", "", "", "")
    answer = tablet.post(reverse("hours_set", args=[school.pk]), typed).content.decode()
    assert words in answer
    assert f'value="{starts}"' in answer
    assert not Hours.objects.exists()


def test_sessions_outside_the_new_hours_are_pointed_out(tablet: Client, ines: Instructor) -> None:
    school = SessionFactory.create(instructor=ines).plan.school
    typed = hours_of(school, "10:00", "12:00", "", "", "", "")
    answer = tablet.post(reverse("hours_set", args=[school.pk]), typed, follow=True)
    assert "still down for 1 session outside these hours" in answer.content.decode()


def test_who_is_not_set_up_to_teach_is_told_so(tablet: Client) -> None:
    assert "Not set up to teach yet" in text_of(tablet, "my_hours")


def test_a_school_that_is_over_takes_no_hours(tablet: Client, ines: Instructor) -> None:
    school = SchoolFactory.create(starts_on=date(2020, 5, 7))
    assert tablet.post(reverse("hours_set", args=[school.pk])).status_code == 404


def test_the_hours_cost_the_same_for_more_schools(tablet: Client, ines: Instructor) -> None:
    def counted() -> int:
        with CaptureQueriesContext(connection) as queries:
            text_of(tablet, "my_hours")
        return len(queries)

    SchoolFactory.create()
    before = counted()
    SchoolFactory.create_batch(3)
    assert counted() == before


# The day sheet


def test_a_day_sheet_lists_the_day_by_squad_and_by_bay(
    client_of: ClientOf, front_desk: Account
) -> None:
    session = SessionFactory.create(bay=BayFactory.create(name="Studio 1"))
    text = text_of(client_of(front_desk), "day_sheet", session.plan.school_id, 1)
    squads, bays = text.split('id="by-bay"')
    assert "Squad 1" in squads
    assert str(session.squad.members.get().enrolment.golfer) in squads
    assert "Studio 1</h3>" in bays
    assert session.visit.name in bays


@pytest.mark.parametrize("day", [0, 4])
def test_there_is_no_sheet_of_a_day_outside_the_school(
    day: int, client_of: ClientOf, front_desk: Account
) -> None:
    session = SessionFactory.create()
    url = reverse("day_sheet", args=[session.plan.school_id, day])
    assert client_of(front_desk).get(url).status_code == 404


def test_there_is_no_sheet_of_a_draft(client_of: ClientOf, front_desk: Account) -> None:
    session = SessionFactory.create(plan=PlanFactory.create())
    url = reverse("day_sheet", args=[session.plan.school_id, 1])
    assert client_of(front_desk).get(url).status_code == 404


def test_a_visit_of_another_squad_is_on_the_same_sheet(
    client_of: ClientOf, front_desk: Account
) -> None:
    session = SessionFactory.create()
    visit = VisitFactory.create(programme=session.plan.school.programme, name="Bunker play")
    SessionFactory.create(plan=session.plan, visit=visit)
    text = text_of(client_of(front_desk), "day_sheet", session.plan.school_id, 1)
    assert text.index("Squad 1</h3>") < text.index("Squad 2</h3>")
    assert "Bunker play" in text
