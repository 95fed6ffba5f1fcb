"""What each instructor earned, was paid and is still owed, school by school."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Q, Sum

from school.models import PayEntry, School, Staff
from school.queries.money import ZERO, to_the_cent

EARNED = Q(reverses__isnull=True, amount__gt=0) | Q(reverses__amount__gt=0)
MOST_ENTRIES = 100


@dataclass(frozen=True)
class PayLine:
    """In the school's currency, each less what was reversed of it."""

    staff: Staff
    school: School
    earned: Decimal
    paid: Decimal

    @property
    def balance(self) -> Decimal:
        """Above zero it is owed to the instructor."""
        return self.earned - self.paid


@dataclass(frozen=True)
class PayRow:
    entry: PayEntry
    can_be_reversed: bool


def pay_lines() -> list[PayLine]:
    """The accounts of all instructors, by name and school. Three queries, however many."""
    sums = (
        PayEntry.objects.order_by()
        .values("staff", "school")
        .annotate(total=Sum("amount"), earned=Sum("amount", filter=EARNED))
    )
    rows = list(sums)
    staff = Staff.objects.select_related("account").in_bulk({row["staff"] for row in rows})
    schools = School.objects.in_bulk({row["school"] for row in rows})
    lines = []
    for row in rows:
        earned, total = to_the_cent(row["earned"]), to_the_cent(row["total"])
        lines.append(PayLine(staff[row["staff"]], schools[row["school"]], earned, earned - total))
    lines.sort(
        key=lambda line: (line.staff.account.full_name, line.school.starts_on, line.staff.pk)
    )
    return lines


def owed_by_currency(lines: list[PayLine]) -> dict[str, Decimal]:
    """What is still to be paid out, pounds with pounds and euros with euros. No query."""
    owed: dict[str, Decimal] = {}
    for line in lines:
        owed[line.school.currency] = owed.get(line.school.currency, ZERO) + line.balance
    return owed


def pay_rows() -> list[PayRow]:
    """The latest entries, latest first. One query."""
    rows = PayEntry.objects.select_related(
        "staff__account", "school", "entered_by", "reverses", "reversed_by"
    ).order_by("-entered_at", "-pk")[:MOST_ENTRIES]
    return [
        PayRow(row, row.reverses_id is None and not hasattr(row, "reversed_by")) for row in rows
    ]
