"""A note in a real browser: nothing typed is lost when the page closes."""

from __future__ import annotations

from uuid import uuid4

import pytest
from django.urls import reverse
from playwright.sync_api import Page, expect

from assessments.actions.entries import record_entry
from assessments.models import Entry
from lessons.models import Session
from school.models import Enrolment
from tests.assessments.factories import StillFactory, attendee_of, putts, session_at
from tests.assessments.impact.marks import STILLS
from tests.browser import looked_at
from tests.e2e.conftest import NewPage
from tests.factories import ConsentTextFactory, StaffFactory, consented

pytestmark = pytest.mark.django_db(transaction=True)
SEEN = "The trail heel lifts before the hands come down, with every club but the wedge."


@pytest.fixture
def session() -> Session:
    for kind in ("filming", "shown_in_class"):
        ConsentTextFactory.create(kind=kind)
    staff = StaffFactory.create(teaches=True, account__email="ines@example.org")
    return session_at(staff.account, "putting", squad=2)


@pytest.fixture
def attendee(session: Session) -> Enrolment:
    return consented(attendee_of(session))


def signed_in(page: Page, address: str) -> Page:
    page.goto(f"/sign-in/?next={address}")
    page.get_by_label("E-mail").fill("ines@example.org")
    page.get_by_label("Password").fill("wind-and-dunes")
    page.get_by_role("button", name="Sign in", exact=True).click()
    return page


def note_page(session: Session, attendee: Enrolment, kind: str = "video_note") -> str:
    return reverse("entry_new", args=[session.pk, attendee.pk, kind])


def test_a_note_outlives_the_page_and_is_gone_once_saved(
    new_page: NewPage, session: Session, attendee: Enrolment
) -> None:
    picture = (STILLS / "01_iron_right_strong.jpg").read_bytes()
    StillFactory.create(enrolment=attendee, picture__data=picture)
    page = signed_in(new_page(), reverse("session", args=[session.pk]))
    looked_at(page)
    page.get_by_role("link", name=f"Coach’s note on {attendee.golfer}").click()
    page.get_by_label("What you see").fill(SEEN)
    page.get_by_label("What it is about").select_option(label="turn")
    page.get_by_label("Still 1: intake, iron").check()
    expect(page.get_by_text("15 words of at most 1,000.")).to_be_visible()
    expect(page.get_by_text("Kept on this device at")).to_be_visible()
    looked_at(page)

    browser = page.context
    page.close()
    page = browser.new_page()
    page.goto(note_page(session, attendee))
    expect(page.get_by_label("What you see")).to_have_value("")
    expect(page.get_by_text("The trail heel lifts before the hands come …")).to_be_visible()
    looked_at(page)
    page.get_by_role("button", name="Bring it back").click()
    expect(page.get_by_label("What you see")).to_have_value(SEEN)
    expect(page.get_by_label("Still 1: intake, iron")).to_be_checked()
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.get_by_text(SEEN)).to_be_visible()
    looked_at(page)
    assert Entry.objects.get().payload == {"text": SEEN, "tag": "turn"}

    page.goto(note_page(session, attendee))
    expect(page.get_by_text("Not saved yet")).to_have_count(0)
    assert page.evaluate("localStorage.length") == 0


def test_what_is_thrown_away_does_not_come_back(
    new_page: NewPage, session: Session, attendee: Enrolment
) -> None:
    page = signed_in(new_page(), note_page(session, attendee))
    page.get_by_label("What you see").fill(SEEN)
    page.reload()
    page.get_by_role("button", name="Throw it away").click()
    page.reload()
    expect(page.get_by_text("Not saved yet")).to_have_count(0)


def test_where_nothing_can_be_kept_it_says_so_and_saves(
    new_page: NewPage, session: Session, attendee: Enrolment
) -> None:
    page = new_page()
    page.add_init_script("Storage.prototype.setItem = () => { throw new Error('full'); };")
    signed_in(page, note_page(session, attendee))
    page.get_by_label("What you see").fill(SEEN)
    expect(page.get_by_text("Nothing is kept in this browser")).to_be_visible()
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.get_by_text(SEEN)).to_be_visible()


def test_a_form_that_comes_second_is_kept_until_it_is_saved(
    new_page: NewPage, session: Session, attendee: Enrolment
) -> None:
    """Somebody else records the putts meanwhile; what was typed survives that and a closed page."""
    page = signed_in(new_page(), note_page(session, attendee, "putting"))
    page.get_by_label("Holed from 2 m").first.fill("7")
    record_entry(
        id=uuid4(),
        enrolment=attendee,
        kind="putting",
        phase="intake",
        payload=putts(9, 5, 3),
        recorded_by=session.instructor.staff.account,
        session=session,
    )
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.get_by_text("has recorded this meanwhile")).to_be_visible()
    page.goto(note_page(session, attendee, "putting"))
    page.get_by_role("button", name="Bring it back").click()
    expect(page.get_by_label("Holed from 2 m").first).to_have_value("7")
    page.get_by_role("button", name="Save the correction").click()
    expect(page.get_by_text("is recorded")).to_be_visible()
    assert page.evaluate("localStorage.length") == 0
    assert Entry.objects.count() == 2


def test_the_findings_of_an_attendee(
    new_page: NewPage, session: Session, attendee: Enrolment
) -> None:
    for phase, holed in (("intake", (2, 1, 0)), ("exit", (10, 10, 9))):
        record_entry(
            id=uuid4(),
            enrolment=attendee,
            kind="putting",
            phase=phase,
            payload=putts(*holed),
            recorded_by=session.instructor.staff.account,
            session=session,
        )
    page = signed_in(new_page(), reverse("session", args=[session.pk]))
    page.get_by_role("link", name=f"Findings of {attendee.golfer}").click()
    changed = page.get_by_role("region", name="What changed")
    expect(changed.get_by_text("for the better").first).to_be_visible()
    looked_at(page)
