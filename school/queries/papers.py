"""What stands on a receipt and on a statement."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from school.bank_csv import payment_reference
from school.models import Enrolment, LedgerEntry
from school.policy import Due
from school.queries.money import (
    ZERO,
    LedgerLine,
    enrolment_money,
    instalments,
    ledger_lines,
)


@dataclass(frozen=True)
class Receipt:
    """For one payment; its number is the entry's key. `balance` is what was owed after it."""

    entry: LedgerEntry
    enrolment: Enrolment
    amount: Decimal
    paid_at: datetime
    balance: Decimal
    reversal: LedgerEntry | None

    @property
    def owed_back(self) -> Decimal:
        return -self.balance


@dataclass(frozen=True)
class Statement:
    """Every entry with the balance after it, and `rest`: when the instalments that are not yet
    covered fall due, in their own order, with what is still to pay of each."""

    enrolment: Enrolment
    lines: list[LedgerLine]
    balance: Decimal
    rest: list[tuple[Due, Decimal]]
    overdue: Decimal
    reference: str

    @property
    def owed_back(self) -> Decimal:
        return -self.balance


def receipt_of(entry: LedgerEntry) -> Receipt:
    """One query."""
    enrolment = entry.enrolment
    lines = ledger_lines(enrolment)
    line = next(line for line in lines if line.entry.pk == entry.pk)
    return Receipt(
        entry=entry,
        enrolment=enrolment,
        amount=-entry.amount,
        paid_at=entry.entered_at.astimezone(enrolment.school.zone),
        balance=line.balance,
        reversal=getattr(line.entry, "reversed_by", None),
    )


def statement_of(enrolment: Enrolment) -> Statement:
    """Three queries."""
    lines = ledger_lines(enrolment)
    sums = enrolment_money(enrolment)
    due = instalments(enrolment, sums)
    covered, rest = sums.received, []
    for instalment in due.dues:
        left = instalment.amount - max(ZERO, min(covered, instalment.amount))
        covered -= instalment.amount
        if left:
            rest.append((instalment, left))
    return Statement(
        enrolment=enrolment,
        lines=lines,
        balance=lines[-1].balance if lines else ZERO,
        rest=rest,
        overdue=due.overdue,
        reference=payment_reference(enrolment.pk),
    )
