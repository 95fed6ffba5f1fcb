"""The page of troubles, and planning again from it."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from lessons.models import Plan, Trouble
from school.models import Account, School
from tests.factories import EnrolmentFactory, SchoolFactory
from tests.lessons.factories import InstructorFactory, PlanFactory, SessionFactory, TroubleFactory
from tests.school.counting import queries_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def desk(client_of: Callable[[Account | None], Client], front_desk: Account) -> Client:
    return client_of(front_desk)


@pytest.fixture
def school() -> School:
    """It begins in a month and has a published timetable of one session."""
    school = SchoolFactory.create(starts_on=timezone.localdate() + timedelta(days=30))
    SessionFactory.create(plan__school=school)
    return school


def note(desk: Client, school: School, **changes: Any) -> str:
    typed = {
        "kind": "rain",
        "first_day": school.dates[1].isoformat(),
        "starts": "14:00",
        "last_day": school.dates[1].isoformat(),
        "ends": "17:00",
        "note": "a front from the west",
    }
    url = reverse("troubles", args=[school.pk])
    return desk.post(url, {**typed, **changes}, follow=True).content.decode()


def test_a_trouble_is_noted_at_the_schools_own_time(desk: Client) -> None:
    school = SchoolFactory.create(time_zone="America/New_York")
    text = note(desk, school)
    assert "Sat 8 May, 14:00 to Sat 8 May, 17:00" in text
    assert "a front from the west" in text
    assert Trouble.objects.get().starts_at.hour == 18


def test_what_it_touches_is_said(desk: Client, school: School) -> None:
    session = school.plans.get().sessions.get()
    day = school.dates[0].isoformat()
    text = note(desk, school, first_day=day, starts="09:00", last_day=day)
    assert f"{session.squad}: {session.visit}" in text
    assert f"09:00 to 09:45, {session.bay}, with {session.instructor}" in text


def test_whom_it_is_about_must_be_said_and_what_was_typed_is_kept(
    desk: Client, school: School
) -> None:
    text = note(desk, school, kind="instructor")
    assert "Say which instructor is away." in text
    assert 'value="a front from the west"' in text
    assert not Trouble.objects.exists()


def test_a_golfer_of_another_school_cannot_be_named(desk: Client, school: School) -> None:
    stranger = EnrolmentFactory.create()
    assert "Select a valid choice" in note(desk, school, kind="golfer", enrolment=stranger.pk)


def test_a_golfer_who_leaves_early_is_named(desk: Client, school: School) -> None:
    enrolment = school.enrolments.get()
    text = note(desk, school, kind="golfer", enrolment=enrolment.pk)
    assert f"{enrolment.golfer} is away" in text


def test_it_is_taken_back(desk: Client, school: School) -> None:
    note(desk, school)
    url = reverse("trouble_drop", args=[school.pk, Trouble.objects.get().pk])
    assert "Nothing is noted" in desk.post(url, follow=True).content.decode()


def test_a_trouble_of_other_days_is_not_taken_back_here(desk: Client, school: School) -> None:
    trouble = TroubleFactory.create()
    url = reverse("trouble_drop", args=[school.pk, trouble.pk])
    assert desk.post(url).status_code == 404


def test_planning_again_begins_with_the_chosen_slot(desk: Client, school: School) -> None:
    since = school.slot_instant(1, 2)
    sent = {"from": since.isoformat(), "seconds": 60}
    answer = desk.post(reverse("replan_request", args=[school.pk]), sent)
    plan = school.plans.get(origin="replan")
    assert answer.headers["Location"] == reverse("timetable", args=[school.pk])
    assert (plan.kept_before, plan.seconds, plan.state) == (since, 60, Plan.State.QUEUED)


def test_a_slot_that_is_none_is_refused_on_the_page(desk: Client, school: School) -> None:
    sent = {"from": "2027-05-07T09:10:00+00:00", "seconds": 60}
    answer = desk.post(reverse("replan_request", args=[school.pk]), sent)
    assert "Select a valid choice" in answer.content.decode()
    assert not school.plans.filter(origin="replan").exists()


def test_while_a_search_runs_the_page_leads_to_it(desk: Client, school: School) -> None:
    PlanFactory.create(school=school, state="queued")
    text = desk.get(reverse("troubles", args=[school.pk])).content.decode()
    assert "See how far it is" in text
    assert reverse("replan_request", args=[school.pk]) not in text


def test_a_refused_search_is_told_where_it_was_asked_for(desk: Client, school: School) -> None:
    PlanFactory.create(school=school, state="queued")
    sent = {"from": school.slot_instant(1, 2).isoformat(), "seconds": 20}
    answer = desk.post(reverse("replan_request", args=[school.pk]), sent, follow=True)
    assert "already being looked for" in answer.content.decode()


def test_a_school_that_is_over_is_not_planned_again(desk: Client) -> None:
    plan = SessionFactory.create(
        plan__school__starts_on=timezone.localdate() - timedelta(days=20)
    ).plan
    text = desk.get(reverse("troubles", args=[plan.school_id])).content.decode()
    assert "nothing left to plan" in text


@pytest.mark.parametrize("page", ["timetable", "holds"])
def test_the_page_is_reached_from_others(desk: Client, school: School, page: str) -> None:
    text = desk.get(reverse(page, args=[school.pk])).content.decode()
    assert reverse("troubles", args=[school.pk]) in text


def test_the_page_costs_the_same_for_more_troubles(desk: Client, school: School) -> None:
    def count() -> int:
        return queries_of(lambda: desk.get(reverse("troubles", args=[school.pk])))

    note(desk, school)
    before = count()
    note(desk, school, kind="instructor", instructor=InstructorFactory.create().pk)
    note(desk, school, kind="golfer", enrolment=school.enrolments.get().pk)
    SessionFactory.create(plan=school.plans.get())
    assert count() == before
