"""Enrolling on a phone, by touch: how much it asks of a person, and that every page is sound."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import timedelta

import pytest
from django.utils import timezone
from playwright.sync_api import Locator, Page, expect

from school.forms.enrolment_pages import LEAST_SECONDS
from school.models import Enrolment, School
from tests.browser import looked_at
from tests.e2e.conftest import NewPage
from tests.factories import ConsentTextFactory, SchoolFactory

MOST_INTERACTIONS = 25
MOST_SECONDS = 180
# Two thumbs type 36 words a minute (Palin and others, MobileHCI 2019): 3 characters a second.
CHARACTERS_A_SECOND = 3
SECONDS_A_TOUCH = 3  # to find it, think, and touch it
WORDS_READ_A_SECOND = 4

TEXTS = {
    "terms": "I have read and accept the school's terms, including what happens if I cancel.",
    "risk": (
        "I understand that golf is played with swinging clubs and hard balls, and that I take "
        "part at my own risk and within my own limits."
    ),
    "filming": "I agree that my swing is filmed during the school so that it can be taught.",
    "shown_in_class": "I agree that stills of my swing may be shown to others in class.",
    "publicity": "I agree that stills of my swing may be used to tell others of the school.",
    "news": "I would like news of other schools by e-mail.",
}


@dataclass
class Thumb:
    """Somebody on a phone. Each touch and each field counts, and every page is looked at."""

    page: Page
    interactions: int = 0
    characters: int = 0

    def field(self, label: str) -> Locator:
        """By how its label begins: the guardian's fields end alike."""
        return self.page.get_by_label(re.compile(rf"^\s*{label}"))

    def tap(self, label: str) -> None:
        self.field(label).check()
        self.interactions += 1

    def write(self, label: str, words: str) -> None:
        self.field(label).fill(words)
        self.interactions += 1
        self.characters += len(words)

    def press(self, name: str, role: str = "button") -> None:
        with self.page.expect_navigation():
            self.page.get_by_role(role, name=name, exact=True).click()  # type: ignore[arg-type]
        self.interactions += 1
        self.looked_at()

    def sees(self, words: str) -> None:
        expect(self.page.get_by_text(words).first).to_be_visible()

    def looked_at(self) -> None:
        looked_at(self.page)

    def words_of_consents(self) -> int:
        return sum(len(text.split()) for text in self.page.locator(".consent").all_inner_texts())


pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def school(transactional_db: None) -> School:
    for kind, body in TEXTS.items():
        ConsentTextFactory.create(kind=kind, body=body)
    school: School = SchoolFactory.create(
        name="Kelp Bay school",
        venue="The practice ground",
        starts_on=timezone.localdate() + timedelta(days=90),
        deposit="240.00",
        included="Range balls and lunch",
        to_bring="Your clubs",
    )
    school.refund_steps.create(days_before=30, percent=100)
    return school


def as_long_as_a_person(thumb: Thumb) -> None:
    """Who is quicker on the first page is taken for a program."""
    thumb.page.wait_for_timeout(LEAST_SECONDS * 1000)


def test_a_golfer_enrols_in_under_three_minutes(school: School, new_page: NewPage) -> None:
    thumb = Thumb(new_page())
    thumb.page.goto("/join/")
    thumb.looked_at()
    thumb.press("Kelp Bay school", role="link")
    thumb.press("Join this school", role="link")
    thumb.write("Name of the golfer", "Maren Thistlewood")
    thumb.write("E-mail", "maren@example.org")
    thumb.write("Telephone", "01632960111")
    thumb.write("Birth date", "1971-03-14")
    thumb.tap("right-handed")
    thumb.write("Handicap Index", "18.4")
    as_long_as_a_person(thumb)
    thumb.press("Next")
    thumb.write("What you want from these days", "Straighter irons")
    thumb.write("Injuries", "Stiff right shoulder")
    thumb.write("In an emergency", "Per Thistlewood 01632960113")
    thumb.press("Next")
    to_read = thumb.words_of_consents()
    for text in ("Terms of the school", "Assumption of risk", "Being filmed", "Stills shown"):
        thumb.tap(text)
    thumb.write("Who agrees", "Maren Thistlewood")
    thumb.press("Next")
    thumb.sees("Stiff right shoulder")
    thumb.press("Join")
    thumb.sees("You have a seat")
    seconds = (
        thumb.interactions * SECONDS_A_TOUCH
        + thumb.characters / CHARACTERS_A_SECOND
        + to_read / WORDS_READ_A_SECOND
    )
    assert thumb.interactions <= MOST_INTERACTIONS, thumb.interactions
    assert seconds <= MOST_SECONDS, seconds
    given = Enrolment.objects.get().consents.values_list("text__kind", flat=True)
    assert set(given) == {"terms", "risk", "filming", "shown_in_class"}


@pytest.mark.parametrize("new_page", [(390, 844)], indirect=True, ids=["390 px"])
def test_a_minor_with_a_mistake_goes_on_at_another_device(
    school: School, new_page: NewPage
) -> None:
    thumb = Thumb(new_page())
    thumb.page.goto(f"/join/{school.pk}/start/")
    guardian = thumb.field("Guardian's name")
    expect(guardian).to_be_hidden()
    thumb.write("Name of the golfer", "Wren Castellane")
    thumb.write("Birth date", (school.starts_on - timedelta(days=12 * 365)).isoformat())
    expect(guardian).to_be_visible()
    thumb.press("Next")
    thumb.sees("comes only with a guardian")
    expect(guardian).to_be_visible()
    thumb.write("E-mail", "family@example.org")
    thumb.write("Telephone", "01632960111")
    thumb.tap("left-handed")
    thumb.tap("None yet")
    thumb.write("Guardian's name", "Marguerite Castellane")
    thumb.write("Guardian's telephone", "01632960112")
    thumb.write("Guardian's e-mail", "marguerite@example.org")
    as_long_as_a_person(thumb)
    thumb.press("Next")
    thumb.write("What you want from these days", "Hit it far")
    thumb.press("Finish later")
    link = thumb.page.get_by_label("Your link to go on with").input_value()
    thumb.press("Mail it to family@example.org")
    thumb.sees("The link is on its way")
    end_at(Thumb(new_page()), link)
    assert Enrolment.objects.get().golfer.guardian_email == "marguerite@example.org"


def end_at(thumb: Thumb, link: str) -> None:
    """On another device: what was typed is there, and the guardian agrees."""
    thumb.page.goto(link)
    thumb.looked_at()
    expect(thumb.field("What you want")).to_have_value("Hit it far")
    thumb.write("In an emergency", "Marguerite 01632960112")
    thumb.press("Next")
    thumb.tap("Terms of the school")
    thumb.tap("Assumption of risk")
    thumb.write("Who agrees", "Wren Castellane")
    thumb.press("Next")
    thumb.sees("the guardian gives consent")
    thumb.write("Who agrees", "Marguerite Castellane")
    thumb.press("Next")
    thumb.press("Join")
    thumb.sees("You have a seat")
