"""How far the planning of a school is."""

from datetime import timedelta

import pytest
from django.utils import timezone

from lessons.models import Plan
from lessons.queries.plans import planning_of, search_so_far
from school.actions import jobs
from tests.factories import SchoolFactory
from tests.lessons.factories import PlanFactory

pytestmark = pytest.mark.django_db


def test_a_draft_stays_in_sight_when_a_later_search_finds_nothing() -> None:
    draft = PlanFactory.create()
    refusal = PlanFactory.create(school=draft.school, state="parked", reason="No time.")
    found = planning_of(draft.school)
    assert (found.draft, found.refusal, found.published) == (draft, refusal, None)


def test_a_draft_older_than_the_published_plan_is_past() -> None:
    draft = PlanFactory.create()
    published = PlanFactory.create(school=draft.school, published=True)
    found = planning_of(draft.school)
    assert (found.draft, found.published, found.wants_a_search) == (None, published, False)


def test_a_refusal_is_past_once_a_plan_is_found() -> None:
    refusal = PlanFactory.create(state="parked", reason="No time.")
    PlanFactory.create(school=refusal.school)
    assert planning_of(refusal.school).refusal is None


def test_a_new_school_wants_a_search() -> None:
    assert planning_of(SchoolFactory.create()).wants_a_search


def test_the_seconds_searched_count_from_the_claim_up_to_the_limit() -> None:
    plan = PlanFactory.create(state="queued", seconds=20)
    assert search_so_far(plan, timezone.now()).spent is None
    jobs.claim(Plan, plan.pk)
    plan.refresh_from_db()
    assert plan.lease_until is not None
    began = plan.lease_until - Plan.LEASE
    assert search_so_far(plan, began + timedelta(seconds=7.9)).spent == 7
    assert search_so_far(plan, began + timedelta(seconds=90)).spent == 20
