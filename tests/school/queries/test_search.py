"""Finding people whatever their accents, and what is missing of them."""

from datetime import date
from typing import Any

import pytest

from school.queries import search
from school.queries.search import PAGE, find_people
from tests.factories import ConsentTextFactory, EnrolmentFactory, GolferFactory, SchoolFactory
from tests.school.counting import queries_of

pytestmark = pytest.mark.django_db


def names(words: str) -> list[str]:
    return [row.golfer.full_name for row in find_people(words).rows]


@pytest.fixture
def _people(db: None) -> None:
    GolferFactory.create(full_name="Łukasz Żółć", email="lz@example.org", phone="+44 1632 960303")
    GolferFactory.create(full_name="Pip Oldacre", guardian_name="Ève Oldacre", email="")
    GolferFactory.create(
        full_name="Ann Bell", email="ann@example.org", guardian_phone="01632960404"
    )


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ("zolc", ["Łukasz Żółć"]),
        ("ŻÓŁĆ lukasz", ["Łukasz Żółć"]),
        ("LZ@EXAMPLE", ["Łukasz Żółć"]),
        ("1632 960 303", ["Łukasz Żółć"]),
        ("eve", ["Pip Oldacre"]),
        ("01632960404", ["Ann Bell"]),
        ("bell zolc", []),
        ("%", []),
        ("", ["Ann Bell", "Łukasz Żółć", "Pip Oldacre"]),
    ],
)
@pytest.mark.usefixtures("_people")
def test_who_is_found(words: str, found: list[str]) -> None:
    assert names(words) == found


def test_a_row_has_the_schools_and_what_is_missing() -> None:
    ConsentTextFactory.create(kind="terms")
    school = SchoolFactory.create(name="Spring school")
    EnrolmentFactory.create(school=school, golfer__full_name="Gail")
    (row,) = find_people("gail").rows
    assert [e.school for e in row.enrolments] == [school]
    assert row.missing == ("consent to “terms of the school”", "birth date", "emergency contact")


def test_fifty_on_a_page() -> None:
    GolferFactory.create_batch(PAGE + 1)
    assert len(find_people("").rows) == PAGE
    assert len(find_people("", 2).rows) == 1
    assert find_people("", "nonsense").page.number == 1


def test_the_same_queries_however_many() -> None:
    counts = []
    for size in (4, 8):
        for _ in range(size):
            EnrolmentFactory.create(golfer__birth_date=date(1980, 1, 1))
        counts.append(queries_of(lambda: find_people("golfer")))
    assert counts[0] == counts[1] <= 6


def test_a_large_house_is_looked_through_to_a_bound(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(search, "MOST", 3)
    asked = []
    matches = search.matches

    def count(*row: Any) -> bool:
        asked.append(row)
        return matches(*row)

    monkeypatch.setattr(search, "matches", count)
    GolferFactory.create(full_name="Żółć the oldest")
    GolferFactory.create_batch(3, full_name="Żółć")
    found = find_people("zolc")
    assert [row.golfer.full_name for row in found.rows] == ["Żółć"] * 3
    assert found.is_partial
    assert len(asked) == 3


def test_a_house_within_the_bound_is_looked_through_whole(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(search, "MOST", 3)
    GolferFactory.create_batch(3)
    assert not find_people("").is_partial
