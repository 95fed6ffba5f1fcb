"""The desk and a full school, in a real browser: offer, give, let off, cancel, pay back."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from school.actions.enrolment import cancel_enrolment, enrol
from school.actions.money import record_payment
from school.models import Enrolment, School
from tests.browser import looked_at
from tests.e2e.conftest import NewPage
from tests.factories import GolferFactory, SchoolFactory, StaffFactory, giving_back

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def school(transactional_db: None) -> School:
    StaffFactory.create(at_front_desk=True, account__email="dana@example.org")
    starts_on = timezone.localdate() + timedelta(days=30)
    school = SchoolFactory.create(
        name="Kelp Bay school", capacity=2, starts_on=starts_on, deposit=Decimal(240)
    )
    return giving_back(school, {28: 50})


@pytest.fixture
def golfers(school: School) -> dict[str, Enrolment]:
    """Alma and Bo came first; Alma's seat is offered to Cass, and Dag waits."""
    names = ("Alma", "Bo", "Cass", "Dag")
    made = {
        name: enrol(school=school, golfer=GolferFactory.create(full_name=name), actor=None)
        for name in names
    }
    record_payment(enrolment=made["Bo"], amount=Decimal(960), method="card", actor=None)
    cancel_enrolment(enrolment=made["Alma"], why="moved away", actor=None)
    return made


def test_a_full_school_at_the_desk(
    new_page: NewPage, school: School, golfers: dict[str, Enrolment]
) -> None:
    page = new_page()
    page.goto("/sign-in/")
    page.get_by_label("E-mail").fill("dana@example.org")
    page.get_by_label("Password").fill("wind-and-dunes")
    page.get_by_role("button", name="Sign in", exact=True).click()
    page.goto(f"/schools/{school.pk}/")
    expect(page.get_by_role("heading", name="Offered a seat")).to_be_visible()
    page.get_by_text("Terms", exact=True).click()
    looked_at(page)

    page.get_by_role("link", name="Cass").click()
    page.get_by_text("Seat them without waiting").click()
    looked_at(page)
    page.get_by_label("Why it is done out of turn").first.fill("said yes on the telephone")
    page.get_by_role("button", name="Give the seat").click()
    expect(page.get_by_text("Cass has seat 1.")).to_be_visible()

    page.get_by_text("Give a discount").click()
    page.get_by_label("Amount let off").fill("60")
    page.get_by_label("What it is for").fill("pair")
    page.get_by_role("button", name="Give the discount").click()
    expect(page.get_by_text("Cass is let off £60.00.")).to_be_visible()
    looked_at(page)

    page.goto(f"/attendees/{golfers['Bo'].pk}/")
    page.get_by_role("link", name="Cancel the enrolment").click()
    words = "50 % of £960.00 is given back, £480.00. Paid so far £960.00, so £480.00 is paid back"
    expect(page.get_by_text(words)).to_be_visible()
    expect(page.get_by_text("offered to Dag")).to_be_visible()
    looked_at(page)
    page.get_by_label("Why it is cancelled").fill("broke a wrist")
    page.get_by_role("button", name="Cancel the enrolment").click()
    expect(page.get_by_text("Bo is cancelled and is owed £480.00.")).to_be_visible()
    looked_at(page)

    page.get_by_role("button", name="Record the refund").click()
    expect(page.get_by_text("£480.00 paid back to Bo is recorded.")).to_be_visible()
    golfers["Dag"].refresh_from_db()
    assert golfers["Dag"].state == "offered"
