"""One golfer over all schools."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Sum

from school.models import Consent, Enrolment, Golfer, LedgerEntry
from school.queries.missing import Missing, missing_by_enrolment
from school.queries.money import ZERO, to_the_cent


@dataclass(frozen=True)
class EnrolmentLine:
    """`balance` is in the school's currency and owed if above zero."""

    enrolment: Enrolment
    balance: Decimal
    missing: tuple[Missing, ...]
    can_move: bool


@dataclass(frozen=True)
class Balance:
    """Over all schools of one currency: `paid` is what stands of payments less refunds."""

    currency: str
    charged: Decimal
    paid: Decimal

    @property
    def due(self) -> Decimal:
        return self.charged - self.paid


@dataclass(frozen=True)
class Person:
    golfer: Golfer
    enrolments: tuple[EnrolmentLine, ...]
    balances: tuple[Balance, ...]
    consents: tuple[Consent, ...]
    merged: tuple[Golfer, ...]


def person(golfer: Golfer) -> Person:
    """Everything of one golfer, the latest school first. Seven queries."""
    enrolments = list(
        golfer.enrolments.select_related("school", "golfer").order_by("-school__starts_on", "-pk")
    )
    live = [row for row in enrolments if row.state in Enrolment.LIVE]
    missing = missing_by_enrolment(live)
    sums = _sums(golfer)
    lines = tuple(
        EnrolmentLine(
            enrolment=row,
            balance=sum(sums[row.pk], ZERO),
            missing=missing.get(row.pk, ()),
            can_move=row in live and row.school.state != "closed",
        )
        for row in enrolments
    )
    consents = Consent.objects.filter(enrolment__golfer=golfer).select_related(
        "text", "enrolment__school"
    )
    return Person(
        golfer=golfer,
        enrolments=lines,
        balances=_balances(enrolments, sums),
        consents=tuple(consents.order_by("-given_at", "-pk")),
        merged=tuple(golfer.merged.order_by("pk")),
    )


def _sums(golfer: Golfer) -> defaultdict[int, tuple[Decimal, Decimal]]:
    """What was charged and let off, and what was paid and paid back, by enrolment; each as the
    ledger has it, so that the two add up to the balance. One query."""
    found: defaultdict[int, tuple[Decimal, Decimal]] = defaultdict(lambda: (ZERO, ZERO))
    rows = (
        LedgerEntry.objects.filter(enrolment__golfer=golfer)
        .order_by()
        .values_list("enrolment", "kind", "reverses__kind")
        .annotate(total=Sum("amount"))
    )
    for key, kind, reversed_kind, total in rows:
        charged, paid = found[key]
        if (reversed_kind or kind) in ("payment", "refund"):
            paid += to_the_cent(total)
        else:
            charged += to_the_cent(total)
        found[key] = (charged, paid)
    return found


def _balances(
    enrolments: list[Enrolment], sums: defaultdict[int, tuple[Decimal, Decimal]]
) -> tuple[Balance, ...]:
    by_currency: defaultdict[str, tuple[Decimal, Decimal]] = defaultdict(lambda: (ZERO, ZERO))
    for row in enrolments:
        charged, paid = sums[row.pk]
        all_charged, all_paid = by_currency[row.school.currency]
        by_currency[row.school.currency] = (all_charged + charged, all_paid - paid)
    return tuple(Balance(name, *both) for name, both in sorted(by_currency.items()))
