"""The marks of a real still go through the real view and become an entry."""

from collections.abc import Callable
from uuid import uuid4

import pytest
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from playwright.sync_api import Page, expect
from pytest_django.live_server_helper import LiveServer

from assessments.actions.entries import record_entry
from assessments.actions.stills import add_still
from assessments.models import Entry, Still
from school.models import Account
from tests.assessments.impact.marks import STILLS
from tests.assessments.marking.conftest import assert_near, save, shown
from tests.assessments.marking.harness import Desk
from tests.browser import looked_at, mark_by_mouse, stage_box
from tests.factories import EnrolmentFactory, consented

CASE = Desk(still_name="09_iron_left_flip")
MEANT = {key: CASE.points[key] for key in CASE.required}


@pytest.fixture
def still(instructor: Account) -> Still:
    enrolment = EnrolmentFactory.create(
        school__lead_instructor=instructor.staff, golfer__handedness="left"
    )
    picture = (STILLS / f"{CASE.still_name}.jpg").read_bytes()
    return add_still(
        id=uuid4(),
        enrolment=consented(enrolment),
        phase="intake",
        club_class="iron",
        shot_kind="full",
        upload=SimpleUploadedFile("still.jpg", picture, "image/jpeg"),
        uploaded_by=instructor,
    )


@pytest.fixture
def signed_in(
    page: Page,
    live_server: LiveServer,
    instructor: Account,
    client_of: Callable[[Account], Client],
) -> Page:
    cookie = client_of(instructor).cookies[settings.SESSION_COOKIE_NAME].value
    page.context.add_cookies(
        [{"name": settings.SESSION_COOKIE_NAME, "value": cookie, "url": live_server.url}]
    )
    return page


def test_marks_become_an_entry_and_a_correction_supersedes_it(
    signed_in: Page, live_server: LiveServer, still: Still
) -> None:
    page = signed_in
    mark_page = live_server.url + reverse("still_mark", args=[still.pk])
    page.goto(mark_page)
    mark_by_mouse(page, MEANT, CASE.size)
    save(page)
    entry = Entry.objects.get(still=still)
    assert_near(entry.payload["landmarks"], MEANT, within=1)
    page.goto(mark_page)
    expect(page.get_by_text("Saved. Move a mark to correct it.")).to_be_visible()
    page.get_by_role("button", name="Lead elbow").click()
    page.keyboard.press("ArrowLeft")
    save(page)
    assert Entry.objects.get(supersedes=entry).still == still


def test_marking_again_unseen_is_one_click_from_the_entry_and_told_beside_the_first(
    signed_in: Page, live_server: LiveServer, still: Still, instructor: Account
) -> None:
    entry = record_entry(
        id=uuid4(),
        enrolment=still.enrolment,
        kind="impact",
        phase="intake",
        payload={"landmarks": MEANT},
        recorded_by=instructor,
        still=still,
    )
    page = signed_in
    page.goto(live_server.url + reverse("entry_detail", args=[entry.pk]))
    page.get_by_role("link", name="Mark it again, unseen").click()
    stage_box(page)
    assert shown(page) == {}
    mark_by_mouse(page, MEANT, CASE.size)
    save(page)
    expect(page.get_by_role("heading", name="Marked again, unseen")).to_be_visible()
    expect(page.get_by_role("table").last).to_contain_text("Shaft lean")
    looked_at(page)
    assert still.entries.count() == still.markings.count() == 1
