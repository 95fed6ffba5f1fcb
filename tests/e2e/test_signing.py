"""A report in a real browser: looked at, its words edited, looked at again, signed, corrected."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from assessments.models import Report
from lessons.models import Session
from school.models import Account, Enrolment
from tests.assessments.factories import session_at
from tests.assessments.reports import scene
from tests.browser import looked_at
from tests.e2e.conftest import NewPage
from tests.factories import StaffFactory
from tests.lessons.factories import SquadMemberFactory

pytestmark = pytest.mark.django_db(transaction=True)
FIRST = "Your hands lead the head now, and the ball starts lower. Keep the half swings."
SECOND = "Your hands lead the head now. Keep the half swings, and stop when they get ragged."


@pytest.fixture
def ines(transactional_db: None) -> Account:
    name = {"account__email": "ines@example.org", "account__full_name": "Ines Instructor"}
    return StaffFactory.create(teaches=True, **name).account


@pytest.fixture
def attendee(ines: Account) -> Enrolment:
    """Measured at every station, in a school that is not closed."""
    session: Session = session_at(ines, "coach_paragraph", "exit", squad=0)
    school = session.plan.school
    made = scene.full_school(ines, school=school, golfer__full_name="Łukasz Żółć")
    SquadMemberFactory.create(squad=session.squad, enrolment=made)
    return made


def sign_in(page: Page, email: str, address: str) -> None:
    page.goto(f"/sign-in/?next={address}")
    page.get_by_label("E-mail").fill(email)
    page.get_by_label("Password").fill("wind-and-dunes")
    press(page, "Sign in")


def press(page: Page, name: str) -> None:
    with page.expect_navigation():
        page.get_by_role("button", name=name, exact=True).click()
    looked_at(page)


def follow(page: Page, name: str) -> None:
    with page.expect_navigation():
        page.get_by_role("link", name=name).first.click()
    looked_at(page)


def edit_the_paragraph(page: Page, text: str) -> None:
    follow(page, "Edit the coach’s paragraph")
    page.locator("textarea").fill(text)
    press(page, "Save the correction")
    follow(page, "Look at the report and sign it")


def test_a_report_is_looked_at_signed_sent_and_corrected(
    new_page: NewPage, attendee: Enrolment, ines: Account
) -> None:
    coach, desk = new_page(), new_page()
    sign_in(coach, "ines@example.org", f"/schools/{attendee.school_id}/reports/")
    follow(coach, "Look and sign")
    press(coach, "Show the pages")
    cover = coach.get_by_role("img", name="Page 1 of")
    expect(cover).to_be_visible()
    assert cover.evaluate("picture => picture.decode().then(() => picture.naturalWidth)") > 900

    edit_the_paragraph(coach, FIRST)
    expect(coach.get_by_text("Changed since you looked")).to_be_visible()
    expect(coach.get_by_role("button", name="Sign the report")).to_have_count(0)
    press(coach, "Show the pages as they are now")
    press(coach, "Sign the report")
    expect(coach.get_by_text("The report is made when the school closes")).to_be_visible()

    StaffFactory.create(at_front_desk=True, account__email="desk@example.org")
    sign_in(desk, "desk@example.org", f"/schools/{attendee.school_id}/")
    desk.get_by_text("Close the school", exact=True).click()
    desk.get_by_label("Close it although the last day is not over").check()
    press(desk, "Close the school and make the reports")
    expect(desk.get_by_text("1 of 1 reports finished")).to_be_visible()
    assert Report.objects.get().state == "done"

    edit_the_paragraph(coach, SECOND)
    desk.reload()
    expect(desk.get_by_text("changed since it was sent")).to_be_visible()
    expect(desk.get_by_text("it has to be signed again")).to_be_visible()
    press(coach, "Show the pages as they are now")
    press(coach, "Sign the report")
    expect(coach.get_by_role("link", name="Version 2")).to_be_visible()
    desk.reload()
    expect(desk.get_by_role("link", name="Version 2")).to_be_visible()
    desk.get_by_text("Replaced versions of the report").click()
    expect(desk.get_by_role("link", name="Version 1")).to_be_visible()
    looked_at(desk)
    states = Report.objects.order_by("version").values_list("state", "is_current")
    assert list(states) == [("done", False), ("done", True)]
