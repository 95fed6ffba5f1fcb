"""The cashbook's first page: what waits, and what came in last."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from school.models import Checkout, LedgerEntry
from school.queries.bank import waiting_lines
from school.queries.checkouts import latest_checkouts
from school.queries.days import open_days

SHOWN = 12


@dataclass(frozen=True)
class Cashbook:
    waiting: int
    open_days: list[tuple[date, str]]
    payments: list[LedgerEntry]
    checkouts: list[Checkout]


def cashbook_page() -> Cashbook:
    """Five queries, however many rows."""
    payments = (
        LedgerEntry.objects.filter(kind=LedgerEntry.Kind.PAYMENT)
        .select_related("enrolment__golfer", "enrolment__school", "reversed_by")
        .order_by("-entered_at", "-pk")[:SHOWN]
    )
    return Cashbook(waiting_lines().count(), open_days(), list(payments), latest_checkouts(SHOWN))
