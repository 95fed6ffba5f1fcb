"""Takings by day, method and currency, in the house's time zone.

What counts is money that moved: payments, refunds, and the reversal of either, on the day on which
it was entered. Sums are taken of decimals here and not in the database, to the cent.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

from django.conf import settings
from django.db.models import Q, QuerySet
from django.db.models.functions import TruncDate
from django.utils import timezone

from school.models import DayClose, LedgerEntry
from school.queries.bank import MONEY_MOVED
from school.queries.money import ZERO
from school.wording import count_of, format_money

MOVED = Q(kind__in=MONEY_MOVED) | Q(reverses__kind__in=MONEY_MOVED)
DAYS_LOOKED_BACK = 60


@dataclass(frozen=True)
class MethodTotal:
    """`received` and `given_back` are above zero unless more was reversed than entered."""

    method: str
    received: Decimal
    given_back: Decimal

    @property
    def net(self) -> Decimal:
        return self.received - self.given_back

    @property
    def label(self) -> str:
        return str(LedgerEntry.Method(self.method).label)


@dataclass(frozen=True)
class CurrencyDay:
    """One day's books in one currency. `late` came after closing, and so did `difference`, the
    net of every method now less what was closed."""

    day: date
    currency: str
    methods: tuple[MethodTotal, ...]
    entries: tuple[LedgerEntry, ...]
    close: DayClose | None

    @property
    def total(self) -> Decimal:
        return sum((m.net for m in self.methods), ZERO)

    @property
    def received(self) -> Decimal:
        return sum((m.received for m in self.methods), ZERO)

    @property
    def given_back(self) -> Decimal:
        return sum((m.given_back for m in self.methods), ZERO)

    @property
    def late(self) -> list[LedgerEntry]:
        if self.close is None:
            return []
        return [entry for entry in self.entries if entry.entered_at > self.close.closed_at]

    @property
    def closed_total(self) -> Decimal:
        totals = self.close.totals if self.close else {}
        return sum((Decimal(amount) for amount in totals.values()), ZERO)

    @property
    def difference(self) -> Decimal:
        return self.total - self.closed_total

    @property
    def late_words(self) -> str:
        entries = count_of(len(self.late), "entry", "entries")
        return f"{entries} came later, {format_money(self.difference, self.currency)} in all."


def house_zone() -> ZoneInfo:
    return ZoneInfo(settings.HOUSE_TIME_ZONE)


def house_today() -> date:
    return timezone.now().astimezone(house_zone()).date()


def moved_on(first: date, last: date | None = None) -> QuerySet[LedgerEntry]:
    """Money that moved on the day, or from `first` to `last`, both included."""
    opens = datetime.combine(first, time.min, tzinfo=house_zone())
    ends = datetime.combine((last or first) + timedelta(days=1), time.min, tzinfo=house_zone())
    return LedgerEntry.objects.filter(MOVED, entered_at__gte=opens, entered_at__lt=ends)


def totals_of(entries: Iterable[LedgerEntry]) -> tuple[MethodTotal, ...]:
    """The sums by method, in the methods' own order; a reversal counts with what it reverses."""
    received: dict[str, Decimal] = {}
    given_back: dict[str, Decimal] = {}
    for entry in entries:
        told = entry.reverses or entry
        sums = received if told.kind == LedgerEntry.Kind.PAYMENT else given_back
        sign = -1 if sums is received else 1
        sums[told.method] = sums.get(told.method, ZERO) + sign * entry.amount
    return tuple(
        MethodTotal(method, received.get(method, ZERO), given_back.get(method, ZERO))
        for method in LedgerEntry.Method.values
        if method in received or method in given_back
    )


def entries_of(day: date, currency: str | None = None) -> QuerySet[LedgerEntry]:
    """The day's entries with all that a line of the book shows."""
    rows = moved_on(day).select_related(
        "enrolment__golfer", "enrolment__school", "reverses", "entered_by"
    )
    return rows if currency is None else rows.filter(enrolment__school__currency=currency)


def day_books(day: date, currencies: Iterable[str]) -> list[CurrencyDay]:
    """The day in each of the currencies, and in any other that has entries. Two queries."""
    entries = list(entries_of(day))
    closes = {close.currency: close for close in DayClose.objects.filter(day=day)}
    found = [*currencies, *closes, *(entry.enrolment.school.currency for entry in entries)]
    books = []
    for currency in dict.fromkeys(found):
        own = tuple(e for e in entries if e.enrolment.school.currency == currency)
        books.append(CurrencyDay(day, currency, totals_of(own), own, closes.get(currency)))
    return books


def closed_days() -> list[CurrencyDay]:
    """The days closed last, with what has come since. Two queries, however many."""
    closes = list(DayClose.objects.select_related("closed_by").order_by("-day", "currency")[:60])
    if not closes:
        return []
    entries = moved_on(closes[-1].day, closes[0].day).select_related(
        "enrolment__school", "reverses"
    )
    by_day: dict[tuple[date, str], list[LedgerEntry]] = {}
    for entry in entries:
        day = entry.entered_at.astimezone(house_zone()).date()
        by_day.setdefault((day, entry.enrolment.school.currency), []).append(entry)
    return [
        CurrencyDay(close.day, close.currency, totals_of(own), tuple(own), close)
        for close in closes
        for own in [by_day.get((close.day, close.currency), [])]
    ]


def open_days() -> list[tuple[date, str]]:
    """Days of the last weeks on which money moved and that nobody closed. Two queries."""
    today = house_today()
    since = today - timedelta(days=DAYS_LOOKED_BACK)
    moved = (
        moved_on(since, today)
        .order_by()
        .annotate(on=TruncDate("entered_at", tzinfo=house_zone()))
        .values_list("on", "enrolment__school__currency")
        .distinct()
    )
    closed = set(DayClose.objects.filter(day__gte=since).values_list("day", "currency"))
    return sorted(set(moved) - closed, reverse=True)
