"""What instructors earn and are paid. An account is a sum; a mistake is reversed and says why."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal

from django.db import IntegrityError, transaction

from school.actions.audit import note
from school.actions.money import REVERSED_BEFORE, refuse_unless_money
from school.errors import MoneyError
from school.models import Account, PayEntry, School, Staff

CENT = Decimal("0.01")


def earned_for(hours: Decimal, rate: Decimal) -> Decimal:
    """Hours times the rate of an hour, to the cent; half a cent is rounded up, away from zero."""
    return (hours * rate).quantize(CENT, rounding=ROUND_HALF_UP)


def record_earned(
    *, school: School, staff: Staff, amount: Decimal, memo: str, actor: Account | None
) -> PayEntry:
    """Record that the instructor earned `amount` at the school, in its currency.

    Raises MoneyError for an amount that is not money, or if it is not said what for.
    """
    _refuse_unless_pay(staff, amount, memo)
    with transaction.atomic(durable=True):
        entry = PayEntry.objects.create(
            school=school, staff=staff, amount=amount, memo=memo.strip(), entered_by=actor
        )
        note(actor=actor, verb="record_earned", subject=entry, amount=f"{amount}")
    return entry


def record_paid(
    *, school: School, staff: Staff, amount: Decimal, memo: str, actor: Account | None
) -> PayEntry:
    """Record that `amount` was paid to the instructor for the school; typed above zero.

    Raises MoneyError for an amount that is not money, or if it is not said how.
    """
    _refuse_unless_pay(staff, amount, memo)
    with transaction.atomic(durable=True):
        entry = PayEntry.objects.create(
            school=school, staff=staff, amount=-amount, memo=memo.strip(), entered_by=actor
        )
        note(actor=actor, verb="record_paid", subject=entry, amount=f"{amount}")
    return entry


def reverse_pay(*, entry: PayEntry, why: str, actor: Account | None) -> PayEntry:
    """Undo what was earned or paid by an equal and opposite entry that says why.

    Raises MoneyError if it is itself a reversal, was reversed before, or no reason is given.
    """
    if not why.strip():
        raise MoneyError("Say why the entry is reversed.")
    if entry.reverses_id is not None:
        raise MoneyError("A reversal stays. Enter the amount again instead.")
    try:
        with transaction.atomic(durable=True):
            reversal = PayEntry.objects.create(
                school_id=entry.school_id,
                staff_id=entry.staff_id,
                amount=-entry.amount,
                memo=why.strip(),
                reverses=entry,
                entered_by=actor,
            )
            note(actor=actor, verb="reverse_pay", subject=entry, why=why.strip())
    except IntegrityError:
        raise MoneyError(REVERSED_BEFORE) from None
    return reversal


def _refuse_unless_pay(staff: Staff, amount: Decimal, memo: str) -> None:
    refuse_unless_money(amount)
    if not memo.strip():
        raise MoneyError("Say what it is for.")
    if not staff.teaches:
        raise MoneyError(f"{staff} does not teach.")
