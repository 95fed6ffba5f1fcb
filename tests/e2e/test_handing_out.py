"""Reports on their way in a real browser: sent, fetched on a phone, ended, put into one file."""

from __future__ import annotations

from collections.abc import Callable
from zipfile import ZipFile

import pytest
from django.core import mail
from playwright.sync_api import Page, expect

from assessments.models import Report
from school.models import Enrolment
from tests.assessments.factories import made_report
from tests.browser import looked_at
from tests.e2e.conftest import NewPage
from tests.factories import EnrolmentFactory, StaffFactory
from tests.house_signing import ONE_PAGE

EMAIL = "lukasz.zolc.of.the.far.end.of.the.long.and.windy.links@post.example.org"
pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def attendee(transactional_db: None) -> Enrolment:
    StaffFactory.create(at_front_desk=True, account__email="desk@example.org")
    made: Enrolment = EnrolmentFactory.create(golfer__full_name="Łukasz Żółć", golfer__email=EMAIL)
    made_report(made, content=ONE_PAGE)
    return made


@pytest.fixture
def desk(new_page: NewPage, attendee: Enrolment) -> Page:
    page = new_page()
    page.goto(f"/sign-in/?next=/schools/{attendee.school_id}/reports/")
    page.get_by_label("E-mail").fill("desk@example.org")
    page.get_by_label("Password").fill("wind-and-dunes")
    press(page, "Sign in")
    return page


def press(page: Page, name: str) -> None:
    """Press the button, and look at the page it leads to."""
    with page.expect_navigation():
        page.get_by_role("button", name=name).click()
    looked_at(page)


def fetched(page: Page, click: Callable[[], None]) -> str:
    with page.expect_download() as download:
        click()
    return str(download.value.path())


def test_a_report_is_sent_fetched_on_a_phone_and_its_address_ended(
    desk: Page, new_page: NewPage
) -> None:
    press(desk, "Send by e-mail")
    expect(desk.get_by_text("not opened yet")).to_be_visible()
    address = next(word for word in mail.outbox[-1].body.split() if "/r/" in word)

    phone = new_page()
    phone.set_viewport_size({"width": 390, "height": 844})
    phone.goto(address)
    looked_at(phone)
    download = phone.get_by_role("button", name="Download the report")
    with open(fetched(phone, download.click), "rb") as file:
        assert file.read() == ONE_PAGE

    desk.reload()
    expect(desk.get_by_text("not opened yet")).to_have_count(0)
    press(desk, "End the address")
    expect(desk.get_by_text("address ended")).to_be_visible()
    phone.reload()
    expect(phone.get_by_role("heading", name="This address has ended")).to_be_visible()
    looked_at(phone)


def test_all_reports_are_put_into_one_file(desk: Page) -> None:
    press(desk, "Put together a zip of PDFs")
    link = desk.get_by_role("link", name="Download a zip of PDFs")
    with ZipFile(fetched(desk, link.click)) as archive:
        assert archive.namelist() == ["01 Łukasz Żółć.pdf"]


def test_what_is_unfolded_stays_so_while_the_list_asks_for_itself(
    desk: Page, attendee: Enrolment
) -> None:
    Report.objects.update(is_current=False)
    made_report(attendee, version=2, content=ONE_PAGE)
    Report.objects.update(is_current=False)
    coming = Report.objects.create(enrolment=attendee, version=3)
    desk.reload()
    summary = desk.get_by_text("Replaced", exact=False).first
    summary.focus()
    summary.press("Enter")
    expect(desk.get_by_role("link", name="Version 1")).to_be_visible()
    for change in ({"reason": "Once more, soon."}, {"state": "parked", "reason": "No still."}):
        Report.objects.filter(pk=coming.pk).update(**change)
        expect(desk.get_by_text(change["reason"])).to_be_visible()
        expect(desk.get_by_role("link", name="Version 1")).to_be_visible()
        expect(summary).to_be_focused()
    looked_at(desk)
