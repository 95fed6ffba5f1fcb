"""The library of drills in a real browser: from the list to a drill turned round."""

from __future__ import annotations

import pytest
from django.core.management import call_command
from playwright.sync_api import expect

from tests.browser import looked_at
from tests.e2e.conftest import NewPage
from tests.factories import StaffFactory

pytestmark = pytest.mark.django_db(transaction=True)


def test_a_drill_is_found_and_turned_round(new_page: NewPage) -> None:
    call_command("loaddata", "drills", verbosity=0)
    StaffFactory.create(teaches=True, account__email="ines@example.org")
    page = new_page()
    page.goto("/sign-in/?next=/drills/")
    page.get_by_label("E-mail").fill("ines@example.org")
    page.get_by_label("Password").fill("wind-and-dunes")
    page.get_by_role("button", name="Sign in", exact=True).click()
    looked_at(page)

    page.get_by_label("Serves").select_option("putting")
    page.get_by_text("What is there to practise with").click()
    page.get_by_label("a putter").check()
    page.get_by_label("golf balls").check()
    page.get_by_label("a putting green").check()
    page.get_by_role("button", name="Show drills").click()
    expect(page.get_by_role("link", name="Gate for the putt")).to_have_count(0)
    looked_at(page)
    page.get_by_role("link", name="Circle of eight").click()
    expect(page.get_by_role("img")).to_be_visible()
    looked_at(page)
    page.get_by_role("link", name="Show it for a left-hander").click()
    expect(page.get_by_text("Drawn for a left-hander.")).to_be_visible()
    looked_at(page)
