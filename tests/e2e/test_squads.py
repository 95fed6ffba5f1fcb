"""The desk divides a cohort into squads and changes them by hand, in a real browser."""

from __future__ import annotations

from datetime import date

import pytest
from playwright.sync_api import Page, expect

from school.models import Golfer, School
from tests.browser import looked_at
from tests.e2e.conftest import NewPage
from tests.factories import EnrolmentFactory, SchoolFactory, StaffFactory
from tests.lessons.factories import BayFactory, StationFactory, VisitFactory

pytestmark = pytest.mark.django_db(transaction=True)
COHORT = (
    *(("Alma Reed", 28), ("Bo Reed", 54), ("Cass Dune", 12), ("Dag Marsh", 18)),
    *(("Edda Holm", 22), ("Finn Kelp", 7), ("Greta Sand", 31)),
)


@pytest.fixture
def school(transactional_db: None) -> School:
    """Seven golfers of whom Bo is twelve and his mother's; Dag and Edda are left-handed."""
    StaffFactory.create(at_front_desk=True, account__email="dana@example.org")
    made: School = SchoolFactory.create(name="Kelp Bay school")
    impact = StationFactory.create(slug="impact", is_handed=True)
    VisitFactory.create(programme=made.programme, station=impact)
    BayFactory.create(features=["left-handed"])
    BayFactory.create_batch(2)
    for name, handicap in COHORT:
        EnrolmentFactory.create(
            school=made,
            golfer__full_name=name,
            golfer__handicap_index=handicap,
            golfer__handedness="left" if name in ("Dag Marsh", "Edda Holm") else "right",
            golfer__birth_date=date(2015, 1, 1) if name == "Bo Reed" else None,
            golfer__guardian_name="Alma Reed" if name == "Bo Reed" else "",
        )
    return made


def at_the_desk(page: Page, school: School) -> None:
    page.goto("/sign-in/")
    page.get_by_label("E-mail").fill("dana@example.org")
    page.get_by_label("Password").fill("wind-and-dunes")
    page.get_by_role("button", name="Sign in", exact=True).click()
    page.goto(f"/schools/{school.pk}/squads/")


def test_squads_are_made_checked_and_changed(new_page: NewPage, school: School) -> None:
    page = new_page()
    at_the_desk(page, school)
    looked_at(page)
    page.get_by_role("button", name="Make squads").click()
    expect(page.get_by_text("Everybody is divided into squads.")).to_be_visible()
    expect(page.get_by_text("Alma Reed looks after Bo Reed.")).to_be_visible()

    home = page.locator("[data-squad]").filter(has_text="Bo Reed")
    small = page.locator("[data-squad]").filter(has_text="3 golfers")
    full = page.locator("[data-squad]").filter(has_text="4 golfers")
    for name in ("Alma Reed", "Bo Reed"):
        expect(home.get_by_role("link", name=name)).to_be_visible()

    mover = full.locator("[data-enrolment]").last
    name = mover.get_by_role("link").inner_text()
    mover.get_by_text("Move", exact=False).first.click()
    mover.get_by_role("combobox").select_option(label=f"{small.locator('h3').inner_text()}, 1 free")
    expect(mover.get_by_text("The spread of the mean handicaps")).to_be_visible()
    looked_at(page)
    mover.get_by_role("button", name="Move").click()
    expect(page.get_by_role("status").get_by_text(f"{name} is in")).to_be_visible()
    looked_at(page)

    page.get_by_label("Attendee").select_option(label="Finn Kelp")
    page.get_by_label("With or without").select_option(label="Greta Sand")
    page.get_by_label("Wish", exact=False).last.select_option(label="Keep them apart")
    page.get_by_role("button", name="Note the wish").click()
    expect(page.get_by_text("Finn Kelp and Greta Sand apart").first).to_be_visible()
    looked_at(page)


@pytest.mark.parametrize("new_page", [(1280, 900)], indirect=True, ids=["1280 px"])
def test_a_golfer_is_dragged_onto_a_squad(new_page: NewPage, school: School) -> None:
    """By mouse, on a wide window: what is refused is said, what nothing speaks against is done."""
    Golfer.objects.update(handicap_index=18, handedness="right")
    page = new_page()
    at_the_desk(page, school)
    page.get_by_role("button", name="Make squads").click()
    page.locator("[data-squads][data-ready]").wait_for()
    full = page.locator("[data-squad]").filter(has_text="4 golfers")
    small = page.locator("[data-squad]").filter(has_text="3 golfers")
    mover = small.locator("[data-enrolment]").first
    mover.locator(".member-about").drag_to(full.locator("h3"))
    expect(mover.get_by_text("4 are the most")).to_be_visible()

    mover = full.locator("[data-enrolment]").filter(has_not_text="with").first
    name = mover.get_by_role("link").inner_text()
    mover.locator(".member-about").drag_to(small.locator("h3"))
    expect(page.get_by_role("status").get_by_text(f"{name} is in")).to_be_visible()
