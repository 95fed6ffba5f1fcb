"""Bays and instructors taken for something that is no school."""

from datetime import UTC, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from lessons.actions.holds import release_holds, take_holds
from lessons.errors import BayOrPersonTaken, HoldRefused
from lessons.models import Hold
from tests.lessons.factories import BayFactory, InstructorFactory, SessionFactory

pytestmark = pytest.mark.django_db
NINE = datetime(2027, 5, 7, 9, tzinfo=UTC)


def take(**changes: Any) -> list[Hold]:
    asked: dict[str, Any] = {
        "note": "private lesson",
        "bay": None,
        "instructor": None,
        "starts_at": NINE,
        "ends_at": NINE + timedelta(hours=1),
        "actor": None,
    }
    return take_holds(**{**asked, **changes})


def test_a_bay_and_an_instructor_are_held_for_each_quarter_hour() -> None:
    take(bay=BayFactory.create(), instructor=InstructorFactory.create())
    assert Hold.objects.filter(bay__isnull=False).count() == 4
    assert Hold.objects.filter(instructor__isnull=False).count() == 4


def test_a_bay_is_held_with_all_its_parts() -> None:
    held = take(bay=BayFactory.create(capacity=2))
    assert sorted(hold.part for hold in held) == [1, 1, 1, 1, 2, 2, 2, 2]
    assert len(release_holds(hold=held[0], actor=None)) == 8


def test_a_stretch_off_the_quarter_hours_holds_all_it_touches() -> None:
    start = NINE + timedelta(minutes=5)
    held = take(bay=BayFactory.create(), starts_at=start, ends_at=start + timedelta(minutes=15))
    assert [hold.quarter_hour for hold in held] == [NINE, NINE + timedelta(minutes=15)]


def test_what_is_taken_is_named_and_nothing_else_is_taken() -> None:
    bay, instructor = BayFactory.create(), InstructorFactory.create()
    take(bay=bay, note="repair", starts_at=NINE + timedelta(minutes=30))
    with pytest.raises(BayOrPersonTaken, match=r"09:30 to 10:00, by “repair”"):
        take(bay=bay, instructor=instructor)
    assert not Hold.objects.filter(instructor=instructor).exists()


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"bay": None}, "Name a bay"),
        ({"note": ""}, "what the hold is for"),
        ({"ends_at": NINE}, "ends after it starts"),
        ({"ends_at": NINE + timedelta(days=8)}, "within a week"),
    ],
)
def test_a_hold_of_nothing_is_refused(changes: dict[str, Any], words: str) -> None:
    with pytest.raises(HoldRefused, match=words):
        take(**{"bay": BayFactory.create(), **changes})


def test_a_hold_in_an_hour_that_the_clocks_leave_out_is_refused() -> None:
    night = datetime(2027, 3, 28, tzinfo=ZoneInfo("Europe/Berlin"))
    starts_at, ends_at = night.replace(hour=2, minute=30), night.replace(hour=3, minute=15)
    with pytest.raises(HoldRefused, match="ends after it starts"):
        take(bay=BayFactory.create(), starts_at=starts_at, ends_at=ends_at)


def test_releasing_gives_back_the_whole_stretch_and_no_other() -> None:
    bay, instructor = BayFactory.create(), InstructorFactory.create()
    held = take(bay=bay, instructor=instructor)
    take(bay=bay, starts_at=NINE + timedelta(days=1), ends_at=NINE + timedelta(days=1, hours=1))
    assert len(release_holds(hold=held[2], actor=None)) == 8
    assert {hold.quarter_hour.date().day for hold in Hold.objects.all()} == {8}


def test_a_schools_hold_is_not_released() -> None:
    session = SessionFactory.create()
    hold = Hold.objects.create(session=session, bay=session.bay, quarter_hour=NINE)
    with pytest.raises(HoldRefused, match="A school holds this"):
        release_holds(hold=hold, actor=None)
