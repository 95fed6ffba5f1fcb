"""An instrument's table in a real browser: file, columns, a look at the shots, the record."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from assessments.models import Entry, Instrument
from tests.assessments.factories import attendee_of, session_at
from tests.browser import looked_at
from tests.e2e.conftest import NewPage
from tests.factories import StaffFactory

pytestmark = pytest.mark.django_db(transaction=True)
TABLE = """\
Session of 7 May
Schläger;Weite;Seite;Kopf
E7;150,5;4,0;84,0
E7;151,0;-2,0;84,5
E7;1510;0;84,2
Average;150,7;1,0;84,2
"""


def test_a_table_is_read_kept_and_recorded(new_page: NewPage, tmp_path: Path) -> None:
    staff = StaffFactory.create(teaches=True, account__email="ines@example.org")
    session = session_at(staff.account, "ball_flight")
    file = tmp_path / "shots.csv"
    file.write_text(TABLE, encoding="utf-16")
    page = new_page()
    sign_in(page, f"/sessions/{session.pk}/attendees/{attendee_of(session).pk}/ball_flight/")
    page.get_by_role("link", name="Read it from an instrument’s table").click()
    looked_at(page)
    page.get_by_label("Choose a file").set_input_files(file)
    press(page, "Read the table")

    say_what_is_what(page)
    press(page, "Keep the instrument")
    expect(page.get_by_text("its next table is read the same way")).to_be_visible()
    page.get_by_label("E7").select_option("7i")
    page.locator("section").get_by_role("button", name="Look at the shots").click()
    expect(page.get_by_text("carry must be a number from 0 to 437 yd.")).to_be_visible()
    expect(page.get_by_text("“Average” sums up other rows.")).to_be_visible()
    looked_at(page)
    press(page, "Record 2 shots")
    expect(page.get_by_text("2 shots of")).to_be_visible()

    entry, box = Entry.objects.get(), Instrument.objects.get()
    assert [shot["carry_m"] for shot in entry.payload["shots"]] == [137.6172, 138.0744]
    assert (entry.payload["club"], box.columns["carry_m"]) == ("7i", "Weite")
    page.goto(f"/instruments/{box.pk}/")
    looked_at(page)
    page.get_by_role("link", name="Back to the instruments").click()
    looked_at(page)


def sign_in(page: Page, towards: str) -> None:
    page.goto(f"/sign-in/?next={towards}")
    page.get_by_label("E-mail").fill("ines@example.org")
    page.get_by_label("Password").fill("wind-and-dunes")
    press(page, "Sign in")


def press(page: Page, name: str) -> None:
    """Press the button of this name, and look at the page it leads to."""
    with page.expect_navigation():
        page.get_by_role("button", name=name, exact=True).click()
    looked_at(page)


def say_what_is_what(page: Page) -> None:
    """The headings are in nobody's trade words, so each is chosen."""
    page.get_by_label("Club", exact=True).select_option("Schläger")
    page.get_by_label("Carry", exact=True).select_option("Weite")
    page.get_by_label("Carry is in").select_option("yd")
    page.get_by_label("Side", exact=True).select_option("Seite")
    page.get_by_label("Side is in").select_option("yd")
    page.get_by_label("Keep this as").fill("Box in bay 2")
