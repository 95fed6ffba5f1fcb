"""The whole job, from setting up a school to a PDF in a golfer's hand, through the pages alone.

The front desk, instructors, a golfer and the owner each have a device of their own. Every page
they open is held to WCAG 2.2 AA and may not scroll sideways.
"""

from __future__ import annotations

import re
import subprocess
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from assessments.demo import steps
from assessments.demo.scenario import read_scenario
from lessons.models import Session
from school.models import Staff
from tests.assessments.impact.marks import STILLS, rendered
from tests.browser import looked_at, mark_by_mouse
from tests.e2e.conftest import NewPage

PASSWORD = "dunes-and-wind"
GUARDIAN = "Marguerite Castellane"
ROWS = (
    ("name", "email", "birth date", "handed", "handicap", "guardian name", "guardian phone"),
    ("Maren Thistlewood", "maren@example.org", "14/03/1971", "right", "18,4", "", ""),
    ("Łukasz Żółć", "lukasz@example.org", "02/11/1984", "right", "9,7", "", ""),
    ("Saoirse Quillan", "saoirse@example.org", "26/04/1988", "left", "12,8", "", ""),
    ("Wren Castellane", "wren@example.org", "03/06/2013", "right", "", GUARDIAN, "01632 960112"),
)
CONSENTS = (
    ("consent filming", "consent by"),
    *(("yes", row[5] or row[0]) for row in ROWS[1:]),
)
LIST = "\n".join(";".join(row + given) for row, given in zip(ROWS, CONSENTS, strict=True))
RECORD = re.compile("^(Record|Open) .* of Maren Thistlewood")
PARAGRAPH = "Your hands lead the head now, and the ball starts lower for it. Keep the half swings."


@dataclass
class Device:
    """A person's own page, and what they do on it."""

    page: Page

    def sign_in(self, email: str) -> None:
        self.page.goto("/sign-in/")
        self.looked_at()
        self.page.get_by_label("E-mail").fill(email)
        self.page.get_by_label("Password").fill(PASSWORD)
        self.press("Sign in")

    def press(self, name: str) -> None:
        """Press the button of this name, and look at the page it leads to."""
        with self.page.expect_navigation():
            self.page.get_by_role("button", name=name).click()
        self.looked_at()

    def follow(self, name: str) -> None:
        """Follow the first link of this name, and look at the page it leads to."""
        with self.page.expect_navigation():
            self.page.get_by_role("link", name=name).first.click()
        self.looked_at()

    def unfold(self, words: str) -> None:
        self.page.get_by_text(words, exact=True).click()

    def sees(self, words: str) -> None:
        expect(self.page.get_by_text(words).first).to_be_visible()

    def looked_at(self) -> None:
        looked_at(self.page)


@pytest.mark.django_db(transaction=True)
def test_a_school_from_nothing_to_a_pdf(new_page: NewPage, tmp_path: Path) -> None:
    stage = steps.Stage(read_scenario(), timezone.localdate())
    steps.set_up_house(stage, lambda line: None)
    desk = Device(new_page())
    set_up_a_school(desk, stage.today)
    fill_it(desk)
    for staff in Staff.objects.filter(teaches=True).select_related("account"):
        say_when(Device(new_page()), staff.account.email)
    make_the_timetable(desk)
    measure(new_page)
    sign(new_page)
    link = take_a_payment_and_invite(desk)
    close_it(desk)
    take_home(Device(new_page()), link, tmp_path)
    see_the_overview(Device(new_page()))


def set_up_a_school(desk: Device, first_day: date) -> None:
    desk.sign_in("desk@example.org")
    desk.follow("Set up the first school")
    desk.press("Set up the school")
    desk.sees("This field is required.")
    desk.page.get_by_label("Name").fill("Kelp Bay school")
    desk.page.get_by_label("First day").fill(first_day.isoformat())
    desk.page.get_by_label("Lead instructor").select_option(label="Isolde Brackwater")
    desk.press("Set up the school")
    desk.press("Open enrolment")


def fill_it(desk: Device) -> None:
    """The list is wrong at first; the dry run says where, and keeps it to be put right."""
    desk.follow("Import a list")
    desk.page.get_by_label("Paste the list").fill(LIST.replace("03/06/2013", "2013-06-31"))
    desk.press("Check the list")
    desk.sees("31")
    desk.page.get_by_label("Paste the list").fill(LIST)
    desk.press("Check again")
    desk.press("Import 4 golfers")
    desk.sees("Łukasz Żółć")


def say_when(device: Device, email: str) -> None:
    device.sign_in(email)
    device.follow("When I can teach")
    for label in ("From", "To"):
        hour = "09:00" if label == "From" else "17:00"
        for field in device.page.get_by_label(label, exact=False).all():
            field.fill(hour)
    device.press("Keep these hours")


def make_the_timetable(desk: Device) -> None:
    desk.follow("Timetable")
    desk.press("Make squads and a timetable")
    desk.sees("Not published")
    desk.press("Publish the draft")
    desk.sees("Published")
    with desk.page.expect_navigation():
        desk.page.locator("a[href$='/days/1/']").first.click()
    desk.looked_at()


def measure(new_page: NewPage) -> None:
    for phase, rendering in (("intake", "03_iron_right_flip"), ("exit", "01_iron_right_strong")):
        mark_a_still(at_station(new_page, "impact", phase), rendering)
        count_putts(at_station(new_page, "putting", phase), holed=(9, 5, 3))
        read_shots(at_station(new_page, "ball_flight", phase), carries=(118, 121, 124))
    write_the_paragraph(at_station(new_page, "coach_paragraph", "exit"))


def at_station(new_page: NewPage, kind: str, phase: str) -> Device:
    """The instructor of that visit opens their day, the session, and the golfer."""
    session = Session.objects.select_related(
        "instructor__staff__account", "visit", "plan__school"
    ).get(visit__station__entry_kind=kind, visit__phase=phase, plan__is_published=True)
    device = Device(new_page())
    device.sign_in(session.instructor.staff.account.email)
    day = session.starts_at.astimezone(session.plan.school.zone).date()
    while f"/{day.isoformat()}/" not in device.page.url and day != timezone.localdate():
        device.follow("Later")
    device.follow(session.visit.name)
    with device.page.expect_navigation():
        device.page.get_by_role("link", name=RECORD).click()
    device.looked_at()
    return device


def mark_a_still(device: Device, rendering: str) -> None:
    case = rendered(rendering)
    device.page.get_by_label("Club").select_option(label="iron")
    device.page.get_by_label("The still").set_input_files(STILLS / f"{rendering}.jpg")
    device.press("Send and mark it")
    mark_by_mouse(device.page, case["landmarks_px"], (case["width"], case["height"]))
    device.press("Save the marks")
    expected = case["measures_from_exact_pixels"]["shaft_lean_deg"]
    row = device.page.get_by_role("row", name="Shaft lean")
    shown = row.locator("td").first.inner_text().replace("−", "-").partition("°")[0].split()[0]
    assert float(shown) == pytest.approx(expected, abs=0.6)


def count_putts(device: Device, holed: tuple[int, int, int]) -> None:
    for distance, count in enumerate(holed, 1):
        device.page.get_by_label(f"Holed from {distance} m").fill(str(count))
    device.press("Save")
    device.sees("make rate from 2 m")


def read_shots(device: Device, carries: tuple[int, ...]) -> None:
    device.page.locator("select[name=club]").select_option("7i")
    for number, carry in enumerate(carries):
        device.page.locator("input[name*=carry]").nth(number).fill(str(carry))
    device.press("Save")


def write_the_paragraph(device: Device) -> None:
    device.page.locator("textarea").fill(PARAGRAPH)
    device.press("Save")


def sign(new_page: NewPage) -> None:
    """Whoever wrote the words looks at the pages and signs them."""
    device = at_station(new_page, "coach_paragraph", "exit")
    device.follow("Look at it")
    device.follow("Look at the report and sign it")
    device.press("Show the pages")
    device.press("Sign the report")
    device.sees("made when the school closes")


def take_a_payment_and_invite(desk: Device) -> str:
    desk.page.goto("/schools/")
    desk.follow("Kelp Bay school")
    desk.follow("Maren Thistlewood")
    desk.page.get_by_label("Amount*", exact=True).fill("980")
    desk.press("Record the payment")
    desk.sees("settled")
    desk.press("Make a sign-in link")
    return desk.page.get_by_label("The link").input_value()


def close_it(desk: Device) -> None:
    desk.page.goto("/schools/")
    desk.follow("Kelp Bay school")
    desk.unfold("Close the school")
    desk.page.get_by_label("Close it although the last day is not over").check()
    desk.press("Close the school and make the reports")
    desk.follow("Reports")
    expect(desk.page.get_by_text("1 of 1 reports finished")).to_be_visible()
    desk.sees("Nothing was recorded.")


def take_home(golfer: Device, link: str, tmp_path: Path) -> None:
    golfer.page.goto(link)
    golfer.looked_at()
    for field in golfer.page.locator("input[type=password]").all():
        field.fill("marram-by-the-sea")
    with golfer.page.expect_navigation():
        golfer.page.locator("main button[type=submit]").click()
    golfer.looked_at()
    with golfer.page.expect_download() as download:
        golfer.page.get_by_role("button", name="Download your report").click()
    file = tmp_path / "report.pdf"
    download.value.save_as(file)
    text = subprocess.run(
        ["pdftotext", "-layout", file, "-"], check=True, capture_output=True, text=True
    ).stdout
    assert "Maren Thistlewood" in text
    assert "Your hands lead the head now" in " ".join(text.split())


def see_the_overview(owner: Device) -> None:
    owner.sign_in("owner@example.org")
    owner.sees("Kelp Bay school")
    owner.sees("4 of 12")
    owner.sees("Isolde Brackwater")
