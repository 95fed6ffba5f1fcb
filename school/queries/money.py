"""Sums over the ledger."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db.models import Q, Sum

from school.clock import today_at
from school.models import Enrolment, LedgerEntry, School
from school.policy import Due, Refund, due_by, refund_due, schedule

ZERO = Decimal("0.00")


@dataclass(frozen=True)
class Sums:
    """What the ledger comes to, in one currency, each kind less what was reversed of it.

    All are above zero: `discounted` was let off, `refunded` was paid back.
    """

    charged: Decimal = ZERO
    paid: Decimal = ZERO
    discounted: Decimal = ZERO
    refunded: Decimal = ZERO

    @property
    def price(self) -> Decimal:
        """What is to be paid in all."""
        return self.charged - self.discounted

    @property
    def received(self) -> Decimal:
        """What was paid and not paid back."""
        return self.paid - self.refunded

    @property
    def due(self) -> Decimal:
        """What is still owed to the school; below zero, what it owes."""
        return self.price - self.received

    def __add__(self, other: Sums) -> Sums:
        return Sums(
            self.charged + other.charged,
            self.paid + other.paid,
            self.discounted + other.discounted,
            self.refunded + other.refunded,
        )


@dataclass(frozen=True)
class LedgerLine:
    entry: LedgerEntry
    balance: Decimal
    can_be_reversed: bool


@dataclass(frozen=True)
class Instalments:
    """What is due when, and how much of what has fallen due by today is not paid."""

    dues: list[Due]
    overdue: Decimal


def _of(kind: str) -> Sum:
    whole = Q(kind=kind) | Q(kind=LedgerEntry.Kind.REVERSAL, reverses__kind=kind)
    return Sum("amount", filter=whole)


SUMS = {
    "charged": _of(LedgerEntry.Kind.CHARGE),
    "paid": _of(LedgerEntry.Kind.PAYMENT),
    "discounted": _of(LedgerEntry.Kind.DISCOUNT),
    "refunded": _of(LedgerEntry.Kind.REFUND),
}


def _as_sums(row: Mapping[str, Any]) -> Sums:
    # Payments and discounts are kept below zero.
    return Sums(
        charged=to_the_cent(row["charged"]),
        paid=ZERO - to_the_cent(row["paid"]),
        discounted=ZERO - to_the_cent(row["discounted"]),
        refunded=to_the_cent(row["refunded"]),
    )


def enrolment_money(enrolment: Enrolment) -> Sums:
    """The sums of one enrolment. One query."""
    return _as_sums(enrolment.ledger.order_by().aggregate(**SUMS))


def school_money(school: School) -> Sums:
    """The sums of everyone who is or was enrolled in the school. One query."""
    return money_by_school([school])[school.pk]


def money_by_school(schools: Iterable[School]) -> defaultdict[int, Sums]:
    """The same for several schools, by their keys. One query."""
    rows = (
        LedgerEntry.objects.filter(enrolment__school__in=[school.pk for school in schools])
        .order_by()
        .values("enrolment__school")
        .annotate(**SUMS)
    )
    found: defaultdict[int, Sums] = defaultdict(Sums)
    for row in rows:
        found[row["enrolment__school"]] = _as_sums(row)
    return found


def to_the_cent(total: Decimal | None) -> Decimal:
    """A sum from the database as money. SQLite adds in binary and may miss by a hair."""
    return ZERO if total is None else total.quantize(ZERO)


def ledger_lines(enrolment: Enrolment) -> list[LedgerLine]:
    """The enrolment's entries, oldest first, with the balance after each. One query."""
    lines = []
    balance = ZERO
    for entry in enrolment.ledger.select_related("entered_by", "reverses", "reversed_by"):
        balance += entry.amount
        is_open = entry.kind != LedgerEntry.Kind.REVERSAL and not hasattr(entry, "reversed_by")
        lines.append(LedgerLine(entry, balance, is_open))
    return lines


def refund_on_cancelling(enrolment: Enrolment) -> Refund:
    """What cancelling today would keep and give back by the school's policy. Two queries."""
    school, sums = enrolment.school, enrolment_money(enrolment)
    return refund_due(
        price=sums.price,
        paid=sums.received,
        steps=school.refund_steps.all(),
        days_before=(school.starts_on - today_at(school)).days,
        currency=school.currency,
    )


def instalments(enrolment: Enrolment, sums: Sums) -> Instalments:
    """When what is charged falls due, counted from the first charge that stands. One query.

    What a cancellation kept has no dates: it is due.
    """
    school = enrolment.school
    standing = enrolment.ledger.filter(kind=LedgerEntry.Kind.CHARGE, reversed_by__isnull=True)
    charge = standing.order_by("entered_at", "pk").first()
    if charge is None or enrolment.state == Enrolment.State.CANCELLED:
        return Instalments([], max(ZERO, sums.due))
    dues = schedule(
        price=sums.price,
        deposit=school.deposit,
        starts_on=school.starts_on,
        balance_due_days=school.balance_due_days,
        enrolled_on=charge.entered_at.astimezone(school.zone).date(),
        currency=school.currency,
    )
    return Instalments(dues, max(ZERO, due_by(dues, today_at(school)) - sums.received))
