"""Golfers who may be one person."""

from datetime import date

import pytest

from school.queries.duplicates import MOST_ALIKE, suggestions
from tests.factories import GolferFactory
from tests.school.counting import queries_of

pytestmark = pytest.mark.django_db
BORN = date(1980, 4, 1)


def why() -> list[tuple[str, str, tuple[str, ...], bool]]:
    return [(s.one.full_name, s.other.full_name, s.why, s.names_differ) for s in suggestions()]


def test_the_same_birth_date_and_a_similar_name() -> None:
    GolferFactory.create(full_name="Joanna Bell", birth_date=BORN)
    GolferFactory.create(full_name="Jo Bell", birth_date=BORN)
    GolferFactory.create(full_name="Ann Marsh", birth_date=BORN)
    words = ("the same birth date and a similar name",)
    assert why() == [("Joanna Bell", "Jo Bell", words, False)]


def test_the_same_email_or_telephone_of_a_family_is_said_to_differ() -> None:
    GolferFactory.create(full_name="Ann Bell", email="bell@example.org", phone="01632 960303")
    GolferFactory.create(full_name="Ida Bell", email="Bell@example.org", phone="+44 1632 960303")
    words = ("the same e-mail", "the same telephone")
    assert why() == [("Ann Bell", "Ida Bell", words, True)]


def test_the_likeliest_come_first() -> None:
    GolferFactory.create(full_name="Ann Bell", phone="01632 960303")
    GolferFactory.create(full_name="Ida Marsh", phone="01632 960303")
    GolferFactory.create(full_name="Zoë Żółć", phone="01632 960404", birth_date=BORN)
    GolferFactory.create(full_name="Zoe Zolc", phone="01632 960404", birth_date=BORN)
    assert [s.names_differ for s in suggestions()] == [False, True]


def test_a_value_that_many_share_tells_nothing() -> None:
    GolferFactory.create_batch(MOST_ALIKE + 1, email="office@example.org")
    assert suggestions() == []


def test_empty_values_are_not_alike() -> None:
    GolferFactory.create_batch(3, email="", phone="", birth_date=None)
    assert suggestions() == []


def test_who_was_merged_is_not_suggested() -> None:
    keep = GolferFactory.create(email="jo@example.org")
    GolferFactory.create(email="jo@example.org", merged_into=keep)
    assert suggestions() == []


def test_only_those_about_one_golfer() -> None:
    ann, _, other, _ = [
        GolferFactory.create(full_name=f"N{n}", phone=f"01632 96030{n // 2}") for n in range(4)
    ]
    (pair,) = suggestions(ann)
    assert ann in (pair.one, pair.other)
    assert other not in (pair.one, pair.other)


def test_one_query_however_many() -> None:
    counts = []
    for _ in range(2):
        GolferFactory.create_batch(4, phone="01632 960303")
        counts.append(queries_of(suggestions))
    assert counts == [1, 1]
