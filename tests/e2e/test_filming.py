"""Setting up a filming place in a real browser, from the list to a change."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from assessments.models import FilmingPlace
from tests.browser import looked_at
from tests.e2e.conftest import NewPage
from tests.factories import StaffFactory

pytestmark = pytest.mark.django_db(transaction=True)


def test_a_place_is_set_up_and_changed(new_page: NewPage) -> None:
    StaffFactory.create(teaches=True, account__email="ines@example.org")
    page = new_page()
    page.goto("/sign-in/?next=/filming/")
    page.get_by_label("E-mail").fill("ines@example.org")
    page.get_by_label("Password").fill("wind-and-dunes")
    page.get_by_role("button", name="Sign in", exact=True).click()
    looked_at(page)

    page.get_by_role("link", name="Set up the first place").click()
    page.get_by_label("Name").fill("North bay")
    page.get_by_label("marked with tape").check()
    page.get_by_label("Distance, ball to lens").fill("4")
    looked_at(page)
    page.get_by_role("button", name="Set up the place").click()
    expect(page.get_by_role("alert")).to_contain_text("1 m is 1000")
    looked_at(page)
    page.get_by_label("Distance, ball to lens").fill("4000")
    page.get_by_role("button", name="Set up the place").click()
    looked_at(page)

    page.get_by_role("link", name="North bay").click()
    looked_at(page)
    page.get_by_label("The camera is levelled").check()
    page.get_by_role("button", name="Keep these settings").click()
    expect(page.get_by_text("what is recorded stays as it was recorded")).to_be_visible()
    place = FilmingPlace.objects.get()
    assert (place.joints, place.camera_distance_mm, place.is_camera_level) == ("marked", 4000, True)
