"""A repeatability study in a real browser: drawn, marked unseen, closed, read, put in force."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from assessments.models import FilmingPlace, Study
from school.models import Account
from tests.assessments.factories import STRONG, FilmingPlaceFactory
from tests.assessments.impact.marks import STILLS, rendered
from tests.assessments.study_scene import mark, stills_at, wobbling
from tests.browser import looked_at, mark_by_mouse
from tests.e2e.conftest import NewPage
from tests.factories import StaffFactory

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def ines(transactional_db: None) -> Account:
    return StaffFactory.create(teaches=True, account__email="ines@example.org").account


@pytest.fixture
def place(ines: Account) -> FilmingPlace:
    made: FilmingPlace = FilmingPlaceFactory.create(name="North bay")
    stills_at(made, ines, 8, data=(STILLS / f"{STRONG}.jpg").read_bytes())
    return made


def mark_next(page: Page) -> None:
    """Mark the still that is shown, of which nothing else is."""
    expect(page.get_by_role("heading", level=1)).to_be_visible()
    assert "Golfer" not in page.locator("main").inner_text()
    mark_by_mouse(page, rendered(STRONG)["landmarks_px"], (1280, 960))
    with page.expect_navigation():
        page.get_by_role("button", name="Save the marks").click()


def mark_the_rest(study: Study, ines: Account) -> None:
    done = study.markings.values_list("still")
    left = set(study.stills.exclude(still__in=done).values_list("order", flat=True))
    other = StaffFactory.create(teaches=True).account
    mark(study, 1, ines, wobbling, stills=left)
    mark(study, 2, other, wobbling)
    mark(study, 3, other, wobbling)


def test_a_study_from_drawing_to_counting(
    new_page: NewPage, place: FilmingPlace, ines: Account
) -> None:
    page = new_page()
    page.goto("/sign-in/?next=/studies/")
    page.get_by_label("E-mail").fill("ines@example.org")
    page.get_by_label("Password").fill("wind-and-dunes")
    page.get_by_role("button", name="Sign in", exact=True).click()
    expect(page.get_by_role("heading", name="No study yet")).to_be_visible()
    looked_at(page)

    page.get_by_label("Filming place").select_option(label="North bay: 8 stills to draw from")
    page.get_by_label("Name").fill("Spring")
    page.get_by_role("button", name="Draw the stills").click()
    expect(page.get_by_text("The study has 8 stills instead of 20.")).to_be_visible()
    looked_at(page)

    page.get_by_role("link", name="Begin turn 1").click()
    mark_next(page)
    mark_next(page)
    study = Study.objects.get()
    page.goto(f"/studies/{study.pk}/")
    expect(page.get_by_role("heading", name="Turn 1: still 3 of 8")).to_be_visible()
    assert study.markings.filter(turn=1, marked_by=ines).count() == 2

    mark_the_rest(study, ines)
    page.reload()
    expect(page.get_by_text("Every still is marked in every turn.")).to_be_visible()
    page.get_by_role("button", name="Close and reckon").click()
    row = page.get_by_role("row", name="Shaft lean degrees, 8 stills × 3")
    expect(row).to_be_visible()
    looked_at(page)

    page.get_by_role("button", name="Put in force").click()
    expect(page.get_by_role("heading", name="In force at North bay")).to_be_visible()
    assert place.studies.get(is_in_force=True).result["shaft_lean_deg"]["markings"] == 3
