"""The desk's page of squads and the timetable."""

from collections.abc import Callable

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from lessons.actions.plans import request_plan
from lessons.actions.searching import find_plan
from lessons.models import Hold, Plan, Session
from school.actions import jobs
from school.models import Account, School
from tests.factories import SchoolFactory
from tests.lessons.factories import (
    BayFactory,
    PlanFactory,
    SessionFactory,
    SquadMemberFactory,
    VisitFactory,
    small_school,
    talk,
)

pytestmark = pytest.mark.django_db
ClientOf = Callable[[Account | None], Client]

IDLE = {"name": "idle", "value": 3, "bound": 3, "proven": True}


@pytest.fixture
def desk(client_of: ClientOf, front_desk: Account) -> Client:
    return client_of(front_desk)


def page(desk: Client, school: School, query: str = "") -> str:
    return desk.get(reverse("timetable", args=[school.pk]) + query).content.decode()


def planned(school: School) -> Plan:
    plan = request_plan(school=school, actor=None, seconds=10)
    find_plan(plan.pk)
    plan.refresh_from_db()
    return plan


def test_without_a_timetable_the_page_offers_to_make_one(desk: Client) -> None:
    text = page(desk, small_school())
    assert "There is no timetable yet" in text
    assert "Make squads and a timetable" in text


def test_the_button_queues_a_search_and_the_page_watches_it(desk: Client) -> None:
    school = small_school()
    desk.post(reverse("plan_request", args=[school.pk]), {"seconds": "60"})
    plan = school.plans.get()
    assert (plan.state, plan.seconds, plan.remake_squads) == ("queued", 60, True)
    text = page(desk, school)
    assert f'hx-get="{reverse("plan_progress", args=[plan.pk])}"' in text
    assert "You can leave this page" in text


def test_what_the_form_refuses_queues_nothing(desk: Client) -> None:
    school = small_school()
    answer = desk.post(reverse("plan_request", args=[school.pk]), {"seconds": "9000"})
    assert "Select a valid choice" in answer.content.decode()
    assert not school.plans.exists()


def test_a_refusal_of_the_action_is_told(desk: Client) -> None:
    school = SchoolFactory.create()
    answer = desk.post(reverse("plan_request", args=[school.pk]), {"seconds": "20"}, follow=True)
    assert "Nobody has a seat in this school yet" in answer.content.decode()


def test_once_published_the_desk_says_whether_squads_stay(desk: Client) -> None:
    session = SessionFactory.create()
    school = session.plan.school
    assert "Make the squads anew" in page(desk, school)
    desk.post(reverse("plan_request", args=[school.pk]), {"seconds": "20"})
    assert school.plans.get(state="queued").remake_squads is False


def test_squads_moved_by_hand_beforehand_may_stay(desk: Client) -> None:
    member = SquadMemberFactory.create()
    school = member.squad.school
    assert "what was moved by hand is lost" in page(desk, school)
    desk.post(reverse("plan_request", args=[school.pk]), {"seconds": "20"})
    assert school.plans.get().remake_squads is False


def test_a_running_search_says_how_long_it_has_searched(desk: Client) -> None:
    plan = PlanFactory.create(state="queued", seconds=30)
    jobs.claim(Plan, plan.pk)
    text = desk.get(reverse("plan_progress", args=[plan.pk])).content.decode()
    assert "Looking for a timetable" in text
    assert "0 of at most 30 seconds" in text


def test_a_search_that_failed_once_says_so(desk: Client) -> None:
    plan = PlanFactory.create(state="queued", failures=1, reason="The search broke down.")
    text = desk.get(reverse("plan_progress", args=[plan.pk])).content.decode()
    assert "The search broke down. It will be tried again" in text


def test_a_search_that_has_ended_loads_the_page_again(desk: Client) -> None:
    answer = desk.get(reverse("plan_progress", args=[PlanFactory.create().pk]))
    assert answer.headers["HX-Refresh"] == "true"


def test_a_draft_shows_times_bays_people_and_its_worth(desk: Client) -> None:
    school = small_school(attendees=1)
    plan = planned(school)
    text = page(desk, school)
    session = plan.sessions.earliest("starts_at")
    for words in (session.visit.name, session.bay.name, str(session.instructor), "Squad 1"):
        assert words in text
    assert f"{session.starts_at.astimezone(school.zone):%H:%M}" in text
    assert "Idle slots between a squad" in text


def test_times_are_those_of_the_school(desk: Client) -> None:
    school = SchoolFactory.create(time_zone="America/New_York")
    SessionFactory.create(plan__school=school)
    text = page(desk, school)
    assert ">09:00<" in text
    assert ">13:00<" in text  # after lunch, and not nine o'clock in UTC


def test_why_there_is_no_timetable_is_told_rule_by_rule(desk: Client) -> None:
    plan = PlanFactory.create(
        state="parked",
        reason="These cannot all hold.",
        conflicts=[{"rule": "hours", "words": "Ines teaches only on Friday."}],
    )
    text = page(desk, plan.school)
    assert "These cannot all hold." in text
    assert "<li>Ines teaches only on Friday.</li>" in text


def test_publishing_from_the_page_holds_the_bays(desk: Client) -> None:
    plan = planned(small_school())
    answer = desk.post(reverse("plan_publish", args=[plan.pk]), follow=True)
    text = answer.content.decode()
    assert "The timetable is published" in text
    assert reverse("day_sheet", args=[plan.school_id, 1]) in text
    assert Hold.objects.filter(session__plan=plan).exists()


def test_publishing_twice_is_told_and_changes_nothing(desk: Client) -> None:
    plan = planned(small_school())
    desk.post(reverse("plan_publish", args=[plan.pk]))
    before = Hold.objects.count()
    answer = desk.post(reverse("plan_publish", args=[plan.pk]), follow=True)
    assert "already published" in answer.content.decode()
    assert Hold.objects.count() == before


def test_beside_a_draft_the_published_timetable_can_be_seen(desk: Client) -> None:
    published = SessionFactory.create()
    school = published.plan.school
    draft = SessionFactory.create(
        plan=PlanFactory.create(school=school), squad=published.squad, bay=BayFactory.create()
    )
    assert draft.bay.name in page(desk, school)
    assert published.bay.name in page(desk, school, "?published")


def test_a_draft_can_be_changed_by_hand_and_a_published_one_copied(desk: Client) -> None:
    session = SessionFactory.create(plan=PlanFactory.create())
    assert reverse("plan_edit", args=[session.plan_id]) in page(desk, session.plan.school)
    Plan.objects.update(is_published=True, published_at=timezone.now())
    text = page(desk, session.plan.school)
    assert reverse("plan_edit", args=[session.plan_id]) not in text
    assert reverse("plan_copy", args=[session.plan_id]) in text


def test_an_earlier_timetable_can_be_looked_at_again(desk: Client) -> None:
    old = SessionFactory.create(plan=PlanFactory.create(goals=[IDLE]))
    school = old.plan.school
    new = PlanFactory.create(school=school, requested_by=None)
    text = page(desk, school)
    assert "Timetables so far" in text
    assert "idle slots 3" in text
    assert old.visit.name not in text
    shown = page(desk, school, f"?plan={old.plan_id}")
    assert "An earlier timetable" in shown
    assert old.visit.name in shown
    assert reverse("plan_compare", args=[old.plan_id]) + f"?with={new.pk}" in shown


def test_a_timetable_of_another_school_is_not_shown_here(desk: Client) -> None:
    plan, other = PlanFactory.create(), PlanFactory.create()
    answer = desk.get(reverse("timetable", args=[plan.school_id]) + f"?plan={other.pk}")
    assert answer.status_code == 404


def test_who_moves_is_listed_before_a_timetable_made_again_is_published(desk: Client) -> None:
    published = SessionFactory.create()
    school = published.plan.school
    again = PlanFactory.create(school=school, origin="replan", kept_before=timezone.now())
    SessionFactory.create(
        plan=again,
        squad=published.squad,
        visit=published.visit,
        instructor=published.instructor,
        bay=BayFactory.create(name="Long bunker"),
    )
    text = page(desk, school)
    assert "Who moves, if it is published" in text
    assert "1 golfer moved to another time or bay." in text
    assert f"{published.visit}, Long bunker" in text
    assert "Who moves" not in page(desk, school, "?published")


def test_the_goals_say_their_bound_and_gap_in_words(desk: Client) -> None:
    walking = {"name": "walking", "value": 42, "bound": 40, "proven": False}
    session = SessionFactory.create(plan=PlanFactory.create(goals=[IDLE, walking]))
    text = page(desk, session.plan.school)
    for words in ("Proven the best", "40 minutes or more", "at most 2 minutes"):
        assert words in text
    Plan.objects.update(origin="hand")
    assert "Counted, not looked for" in page(desk, session.plan.school)


def test_a_talk_and_a_pin_are_marked_in_the_grid(desk: Client) -> None:
    first, *_ = talk(squads=3, instructors=2)
    Session.objects.filter(pk=first.pk).update(is_pinned=True)
    text = page(desk, first.plan.school)
    assert "all of Squads 1, 2, 3" in text
    assert text.count("Pinned") == 2 * 3  # in the table, and in the lists of a phone


def test_a_closed_school_offers_no_other_timetable(desk: Client) -> None:
    school = small_school()
    planned(school)
    School.objects.filter(pk=school.pk).update(state=School.State.CLOSED, closed_at=timezone.now())
    text = page(desk, school)
    assert "The school is closed" in text
    assert "Make squads and a timetable" not in text
    assert "Publish the draft" not in text


def test_squads_show_members_left_handers_and_the_mean_handicap(desk: Client) -> None:
    member = SquadMemberFactory.create(
        enrolment__golfer__handedness="left", enrolment__golfer__handicap_index="-2.0"
    )
    SquadMemberFactory.create(squad=member.squad, enrolment__golfer__handicap_index=None)
    text = page(desk, member.squad.school)
    assert f"{member.enrolment.golfer}, left-handed" in text
    assert "Mean handicap +2.0" in text


def test_a_longer_visit_spans_its_slots(desk: Client) -> None:
    session = SessionFactory.create()
    school = session.plan.school
    SessionFactory.create(
        plan=session.plan,
        squad=session.squad,
        visit=VisitFactory.create(programme=school.programme, slots=3),
        starts_at=school.slot_instant(1, 1),
        ends_at=school.slot_instant(1, 3) + (school.slot_instant(0, 1) - school.slot_instant(0, 0)),
    )
    text = page(desk, school)
    assert 'rowspan="3"' in text
    assert text.count("<td") == 3 * 8 + 3 - 2  # slots and lunches, less the two covered


def test_the_page_costs_the_same_for_more_squads(desk: Client) -> None:
    def counted(attendees: int) -> int:
        school = small_school(attendees=attendees, bays=4, instructors=4)
        planned(school)
        with CaptureQueriesContext(connection) as queries:
            page(desk, school)
        return len(queries)

    assert counted(4) == counted(12)
