"""Sums over the ledger."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Q, Sum

from school.models import Enrolment, LedgerEntry, School

CHARGED = Q(kind="charge") | Q(kind="reversal", reverses__kind="charge")
PAID = Q(kind="payment") | Q(kind="reversal", reverses__kind="payment")
ZERO = Decimal("0.00")


@dataclass(frozen=True)
class SchoolMoney:
    """In the school's currency: what was charged, what was paid of it, and what is still due."""

    charged: Decimal = ZERO
    paid: Decimal = ZERO

    @property
    def due(self) -> Decimal:
        return self.charged - self.paid


@dataclass(frozen=True)
class LedgerLine:
    entry: LedgerEntry
    balance: Decimal
    can_be_reversed: bool


def school_money(school: School) -> SchoolMoney:
    """The school's charges and payments, less what was reversed of each. One query."""
    return money_by_school([school])[school.pk]


def money_by_school(schools: Iterable[School]) -> dict[int, SchoolMoney]:
    """The same for several schools, by their keys. One query."""
    rows = (
        LedgerEntry.objects.filter(enrolment__school__in=[school.pk for school in schools])
        .order_by()
        .values("enrolment__school")
        .annotate(charged=Sum("amount", filter=CHARGED), paid=Sum("amount", filter=PAID))
    )
    found: defaultdict[int, SchoolMoney] = defaultdict(SchoolMoney)
    for row in rows:
        charged, paid = to_the_cent(row["charged"]), to_the_cent(row["paid"])
        found[row["enrolment__school"]] = SchoolMoney(charged, ZERO - paid)
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
