"""How far a search is on the page, and taking what there is."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from lessons.models import Plan, Session
from school.models import Account
from tests.lessons.factories import PlanFactory, SessionFactory, small_school

pytestmark = pytest.mark.django_db
FOUND = {"values": {"idle": 4, "walking": 61}, "bounds": {"idle": 4, "walking": 50}, "seconds": 3}


@pytest.fixture
def desk(client_of: Callable[[Account | None], Client], front_desk: Account) -> Client:
    return client_of(front_desk)


def running(**fields: Any) -> Plan:
    lease = timezone.now() + Plan.LEASE - timedelta(seconds=1)
    made: Plan = PlanFactory.create(
        state="running", token=uuid4(), lease_until=lease, seconds=20, **fields
    )
    return made


def part(desk: Client, plan: Plan) -> str:
    return desk.get(reverse("plan_progress", args=[plan.pk])).content.decode()


def test_the_best_so_far_is_told_goal_by_goal(desk: Client) -> None:
    text = part(desk, running(progress=FOUND))
    assert "4 of at most 20 seconds" in text
    assert "4, the best" in text
    assert "61 minutes" in text
    assert "50 minutes" in text
    assert "Take what there is" in text


def test_before_the_first_timetable_the_search_can_be_given_up(desk: Client) -> None:
    text = part(desk, running())
    assert "No timetable that keeps every rule has been found yet" in text
    assert "Give up the search" in text


def test_the_part_asks_for_itself_every_second(desk: Client) -> None:
    plan = running()
    text = part(desk, plan)
    assert 'hx-trigger="every 1s"' in text
    assert f'hx-get="{reverse("plan_progress", args=[plan.pk])}"' in text
    assert "You can leave this page" in text


def test_the_page_shows_the_same_without_script(desk: Client) -> None:
    plan = running(progress=FOUND)
    text = desk.get(reverse("timetable", args=[plan.school_id])).content.decode()
    assert "4 of at most 20 seconds" in text
    assert "Take what there is" in text


def test_once_it_has_ended_the_page_is_asked_for(desk: Client) -> None:
    answer = desk.get(reverse("plan_progress", args=[PlanFactory.create().pk]))
    assert answer.headers["HX-Refresh"] == "true"


def test_taking_what_there_is_tells_the_search_to_end(desk: Client) -> None:
    plan = running(progress=FOUND)
    text = desk.post(reverse("plan_stop", args=[plan.pk]), follow=True).content.decode()
    plan.refresh_from_db()
    assert plan.stop_asked_at is not None
    assert "Taking what there is" in text
    assert reverse("plan_stop", args=[plan.pk]) not in text


def test_a_search_that_has_just_ended_is_no_fault(desk: Client) -> None:
    url = reverse("plan_stop", args=[PlanFactory.create().pk])
    assert "The search has ended" in desk.post(url, follow=True).content.decode()


def test_a_refusal_says_what_clashes_and_what_would_help(desk: Client) -> None:
    plan = PlanFactory.create(
        state="parked",
        reason="These cannot all hold.",
        conflicts=[{"rule": "bay", "words": "1 bay is open and 3 are needed."}],
        ways_out=[{"words": "Open one more bay."}],
    )
    text = desk.get(reverse("timetable", args=[plan.school_id])).content.decode()
    assert text.index("1 bay is open") < text.index("What would help") < text.index("Open one")


# Pins


def test_what_is_pinned_in_the_timetable_on_show_may_stay(desk: Client) -> None:
    session = SessionFactory.create(
        plan__school=small_school(1), plan__is_published=False, plan__published_at=None
    )
    school, url = session.plan.school, reverse("timetable", args=[session.plan.school_id])
    assert "Keep the pinned sessions" not in desk.get(url).content.decode()
    Session.objects.update(is_pinned=True)
    text = desk.get(url).content.decode()
    asked = f"{reverse('plan_request', args=[school.pk])}?plan={session.plan.pk}"
    assert asked in text
    desk.post(asked, {"seconds": 20, "keep_pins": "on"})
    plan = school.plans.get(state="queued")
    assert (plan.based_on, plan.remake_squads) == (session.plan, False)


def test_pins_given_up_bind_nothing(desk: Client) -> None:
    session = SessionFactory.create(plan__school=small_school(1), is_pinned=True)
    desk.post(reverse("plan_request", args=[session.plan.school_id]), {"seconds": 20})
    plan = Plan.objects.get(state="queued")
    assert (plan.based_on, plan.remake_squads) == (None, False)


def test_pins_and_new_squads_do_not_go_together(desk: Client) -> None:
    session = SessionFactory.create(plan__school=small_school(1), is_pinned=True)
    sent = {"seconds": 20, "keep_pins": "on", "remake_squads": "on"}
    answer = desk.post(reverse("plan_request", args=[session.plan.school_id]), sent)
    assert "Pinned sessions belong to squads" in answer.content.decode()
    assert not Plan.objects.filter(state="queued").exists()
