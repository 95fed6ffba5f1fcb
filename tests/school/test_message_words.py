"""What a template of a message may say, and what is refused in which words."""

from datetime import date, datetime
from zoneinfo import ZoneInfo

import pytest

from school.errors import TemplateRefused
from school.message_words import (
    SAMPLE,
    VARIABLES,
    Words,
    refuse_bad_words,
    render_words,
    sample_of,
    shipped_words,
)
from school.models import MessageKind


@pytest.mark.parametrize("kind", MessageKind.values)
def test_the_shipped_words_can_be_sent(kind: str) -> None:
    words = shipped_words()[kind]
    for source in (words.subject, words.body):
        refuse_bad_words(kind, source)
    sample = sample_of(kind, words)
    assert "{" not in sample.subject + sample.body
    assert sample.body.startswith("Dear Łukasz Example,\n\n")


@pytest.mark.parametrize("kind", MessageKind.values)
def test_every_word_has_an_example(kind: str) -> None:
    assert set(VARIABLES[kind]) <= set(SAMPLE)


@pytest.mark.parametrize(
    ("source", "words"),
    [
        ("{{ golfr }}", "Not known in this message: {{ golfr }}. Known are first_day, golfer,"),
        ("{{ code }}", "Not known in this message: {{ code }}."),
        ("{{ golfer.password }}", "Not known in this message: {{ golfer.password }}."),
        ("{{ first_day|date:fmt }}", "Not known in this message: {{ fmt }}."),
        ("{% if golfer %}x{% endif %}", "{% … %} cannot be used here"),
        ("{% load static %}", "{% … %} cannot be used here"),
        ("{{ golfer|upper }}", "There is no filter: 'upper'; only date and time are."),
        ("{{ }}", "There are double braces with no word between them."),
        ("{{ golfer", "A {{ is never closed by }} on the same line."),
        ("{{ golfer school }}", "What stands in double braces cannot be read."),
        ('{{ golfer|date:"j" }}', "would come out empty"),
        ('{{ first_day|date:"H" }}', "The words cannot be filled in:"),
    ],
)
def test_what_cannot_be_sent_is_refused_in_words(source: str, words: str) -> None:
    with pytest.raises(TemplateRefused) as refused:
        refuse_bad_words("waiting", f"Dear {source}")
    assert words in str(refused.value)


def rendered(source: str, **values: object) -> str:
    return render_words(Words("s", source), values).body


def test_plain_text_is_not_escaped() -> None:
    assert rendered("{{ golfer }}", golfer="O'Neill & <Sons>") == "O'Neill & <Sons>\n"


def test_what_a_golfer_typed_is_never_read_as_a_template() -> None:
    assert rendered("{{ golfer }}", golfer="{{ code }}{% x %}") == "{{ code }}{% x %}\n"


def test_a_time_stays_in_the_schools_zone() -> None:
    ends = datetime(2027, 7, 1, 18, 0, tzinfo=ZoneInfo("America/New_York"))
    assert rendered('{{ ends|date:"j F, H:i" }}', ends=ends) == "1 July, 18:00\n"


def test_a_bare_date_is_set_as_it_is_read() -> None:
    assert rendered("{{ first_day }}", first_day=date(2027, 5, 7)) == "7 May 2027\n"


def test_a_subject_is_one_line_of_200() -> None:
    long = render_words(Words("{{ school }}", ""), {"school": "a\r\nb " * 200}).subject
    assert len(long) == 200
    assert "\n" not in long
