"""A report in another language: whole, with its numbers and days, and signed all the same."""

from __future__ import annotations

import re
from html import unescape
from pathlib import Path

import pytest
from babel.messages.pofile import read_po
from django.conf import settings

from assessments.reports.compose import compose
from assessments.reports.languages import in_language_of, read_for, said_by
from school.models import Account, Enrolment
from tests.assessments.reports.scene import PARAGRAPH, everything
from tests.factories import GolferFactory

pytestmark = pytest.mark.django_db
GERMAN = Path(settings.BASE_DIR) / "locale" / "de"
PLACEHOLDER = re.compile(r"{\w*}|%\(\w+\)[sd]")
SHORTEST = 12  # characters: a shorter piece of English may be part of a German word or a name


@pytest.fixture
def attendee(instructor: Account) -> Enrolment:
    return everything(instructor, golfer=GolferFactory.create(language="de"))


def page_of(attendee: Enrolment) -> str:
    contents, _ = read_for(attendee)
    with in_language_of(attendee.golfer):
        return compose(contents).html


def words_of(page: str) -> str:
    """What is read, drawings and alternative texts too."""
    alt = " ".join(re.findall(r'alt="([^"]*)"', page))
    body = re.sub(r"<(style|head)\b.*?</\1>", " ", page, flags=re.DOTALL)
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", f"{body} {alt}")).split())


def english() -> set[str]:
    """The pieces between placeholders of every text that is another in German."""
    found = set()
    for path in GERMAN.glob("*.po"):
        with path.open("rb") as file:
            messages = [message for message in read_po(file) if message.id]
        for message in messages:
            for text in (message.id,) if isinstance(message.id, str) else message.id:
                if text not in (message.string or ()):
                    plain = re.sub(r"<[^>]+>", " ", text)
                    found |= {" ".join(piece.split()) for piece in PLACEHOLDER.split(plain)}
    return {piece for piece in found if len(piece) >= SHORTEST}


def test_a_german_report_says_nothing_in_english(attendee: Enrolment) -> None:
    words = words_of(page_of(attendee))
    assert "Was sich geändert hat und was nicht" in words
    assert sorted(piece for piece in english() if piece in words) == []


def test_nor_in_what_no_file_of_words_has(attendee: Enrolment) -> None:
    """But for what people wrote: the coach's words and the priorities of the plan."""
    words = words_of(page_of(attendee))
    plan = read_for(attendee)[0].plan
    assert plan is not None
    for written in (PARAGRAPH, *(text for row in plan.priorities for text in (row.title, row.why))):
        assert written in words
        words = words.replace(written, "")
    words = words.replace("Up and Down", "")  # as the trade says it in German
    assert re.findall(r"\S+ \b(?:the|of|and|with|is|to|not|from|your)\b \S+", words) == []


def test_the_test_would_see_english(attendee: Enrolment) -> None:
    attendee.golfer.language = "en"
    words = words_of(page_of(attendee))
    assert len([piece for piece in english() if piece in words]) > 50


def test_numbers_and_days_are_written_as_germans_do(attendee: Enrolment) -> None:
    page = page_of(attendee)
    assert '<html lang="de"' in page
    words = words_of(page)
    assert re.findall(r"\d\.\d", words) == []
    assert re.search(r"\+\d,\d ± \d,\d Balldurchmesser", words)
    assert f"{attendee.school.ends_on.day}. " in words


def test_the_language_is_no_part_of_what_is_signed(attendee: Enrolment) -> None:
    german, said = read_for(attendee)
    attendee.golfer.language = "en"
    english_contents, said_in_english = read_for(attendee)
    assert german.headlines != english_contents.headlines
    assert said == said_in_english == said_by(attendee)


def test_drawings_are_placed_by_numbers_that_every_language_reads_alike(
    attendee: Enrolment,
) -> None:
    drawn = " ".join(re.findall(r"<svg.*?</svg>", page_of(attendee), flags=re.DOTALL))
    places = re.findall(r' (?:x|y|x1|x2|cx|cy|rx|ry|width|height)="([^"]*)"', drawn)
    assert len(places) > 100
    assert [place for place in places if "," in place] == []
