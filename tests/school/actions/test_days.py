"""Closing a day."""

from datetime import date, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone
from pytest_django.fixtures import Settings

from school.actions.days import close_day
from school.errors import DayRefused
from school.models import Account, AuditEntry, DayClose, Enrolment, LedgerEntry
from school.queries.days import CurrencyDay, closed_days, day_books, house_today, open_days
from tests.factories import EnrolmentFactory
from tests.school.counting import queries_of

pytestmark = pytest.mark.django_db

LONDON = ZoneInfo("Europe/London")
DAY = date(2026, 6, 5)


def moved(
    amount: str, kind: str = "payment", method: str = "cash", **columns: object
) -> LedgerEntry:
    """An entry at noon of the day, unless said otherwise."""
    given: dict[str, object] = {"entered_at": datetime(2026, 6, 5, 12, tzinfo=LONDON), **columns}
    given.setdefault("enrolment", EnrolmentFactory.create())
    return LedgerEntry.objects.create(kind=kind, amount=Decimal(amount), method=method, **given)


def in_euros() -> Enrolment:
    return EnrolmentFactory.create(school__currency="EUR")


def book(currency: str = "GBP") -> CurrencyDay:
    return next(b for b in day_books(DAY, [currency]) if b.currency == currency)


def test_a_day_is_summed_by_method() -> None:
    moved("-10.10")
    moved("-20.20")
    moved("-5.00", method="card")
    moved("3.00", kind="refund")
    moved("900.00", kind="charge", method="")
    assert [(m.method, m.received, m.given_back, m.net) for m in book().methods] == [
        ("cash", Decimal("30.30"), Decimal("3.00"), Decimal("27.30")),
        ("card", Decimal("5.00"), Decimal("0.00"), Decimal("5.00")),
    ]
    assert book().total == Decimal("32.30")


def test_a_reversal_counts_with_the_method_of_what_it_reverses() -> None:
    entry = moved("-10.00", method="card")
    moved("10.00", kind="reversal", method="", reverses=entry, enrolment=entry.enrolment)
    charge = moved("9.00", kind="charge", method="")
    moved("-9.00", kind="reversal", method="", reverses=charge, enrolment=charge.enrolment)
    assert [(m.method, m.net) for m in book().methods] == [("card", Decimal("0.00"))]
    assert len(book().entries) == 2


def test_pounds_are_never_added_to_euros() -> None:
    moved("-10.00")
    moved("-7.00", enrolment=in_euros())
    assert {b.currency: b.total for b in day_books(DAY, ["GBP"])} == {
        "GBP": Decimal("10.00"),
        "EUR": Decimal("7.00"),
    }
    close = close_day(day=DAY, currency="EUR", actor=None)
    assert close.totals == {"cash": "7.00"}


def test_the_day_is_the_houses_own(settings: Settings) -> None:
    """Half past eleven at night in universal time is the next day in a British summer."""
    moved("-1.00", entered_at=datetime(2026, 6, 4, 23, 30, tzinfo=ZoneInfo("UTC")))
    moved("-2.00", entered_at=datetime(2026, 6, 5, 23, 30, tzinfo=ZoneInfo("UTC")))
    assert book().total == Decimal("1.00")
    settings.HOUSE_TIME_ZONE = "UTC"
    assert book().total == Decimal("2.00")


@pytest.mark.parametrize("day", [date(2026, 3, 29), date(2026, 10, 25)])
def test_a_day_on_which_the_clocks_change_is_whole(day: date) -> None:
    ends = datetime(day.year, day.month, day.day, 23, 59, tzinfo=LONDON)
    moved("-1.00", entered_at=ends)
    moved("-2.00", entered_at=ends + timedelta(minutes=2))
    (only,) = day_books(day, ["GBP"])
    assert only.total == Decimal("1.00")


def test_closing_writes_the_totals_down(front_desk: Account) -> None:
    moved("-10.00")
    moved("-5.50", method="card")
    close = close_day(day=DAY, currency="GBP", actor=front_desk)
    assert (close.totals, close.closed_by) == ({"cash": "10.00", "card": "5.50"}, front_desk)
    assert AuditEntry.objects.get(verb="close_day").detail["day"] == "2026-06-05"


def test_a_day_is_closed_once() -> None:
    close_day(day=DAY, currency="GBP", actor=None)
    with pytest.raises(DayRefused, match="closed already"):
        close_day(day=DAY, currency="GBP", actor=None)
    assert DayClose.objects.count() == 1


def test_a_day_that_has_not_begun_is_not_closed() -> None:
    with pytest.raises(DayRefused, match="not begun"):
        close_day(day=house_today() + timedelta(days=1), currency="GBP", actor=None)


def test_what_is_entered_later_shows_as_after_closing() -> None:
    day = house_today()
    moved("-10.00", entered_at=timezone.now())
    close_day(day=day, currency="GBP", actor=None)
    late = moved("-2.50", entered_at=timezone.now())
    (only,) = day_books(day, ["GBP"])
    assert (only.late, only.difference) == ([late], Decimal("2.50"))
    assert only.late_words == "1 entry came later, £2.50 in all."
    (listed,) = closed_days()
    assert (listed.closed_total, listed.difference) == (Decimal("10.00"), Decimal("2.50"))


def test_days_with_takings_wait_to_be_closed() -> None:
    today = house_today()
    moved("-1.00", entered_at=timezone.now())
    moved("-1.00", entered_at=timezone.now(), enrolment=in_euros())
    close_day(day=today, currency="GBP", actor=None)
    assert open_days() == [(today, "EUR")]


def test_a_day_and_the_list_take_two_queries_however_long() -> None:
    counts = []
    for n in range(2):
        for _ in range(3):
            moved("-1.00")
        close_day(day=DAY - timedelta(days=n), currency="GBP", actor=None)
        counts.append((queries_of(lambda: day_books(DAY, ["GBP"])), queries_of(closed_days)))
    assert counts == [(2, 2), (2, 2)]
