"""Letting off and paying back."""

from decimal import Decimal

from django.db import transaction

from school.actions.audit import note
from school.actions.money import (
    charge,
    lock_ledger,
    refuse_unless_method,
    refuse_unless_money,
    release_charges,
)
from school.errors import MoneyError
from school.models import Account, Enrolment, LedgerEntry
from school.policy import Refund
from school.queries.money import enrolment_money
from school.wording import format_money


def discount(
    *, enrolment: Enrolment, amount: Decimal, why: str, actor: Account | None
) -> LedgerEntry:
    """Let the golfer off `amount`, typed above zero and kept below it, before or after paying.

    Raises MoneyError for an amount that is not money or is more than is charged, or no reason.
    """
    refuse_unless_money(amount)
    if not why.strip():
        raise MoneyError("Say what the discount is for.")
    with transaction.atomic(durable=True):
        locked = lock_ledger(enrolment)
        price = enrolment_money(locked).price
        if amount > price:
            left = format_money(price, locked.school.currency)
            raise MoneyError(f"No more than the {left} that is charged can be let off.")
        entry = LedgerEntry.objects.create(
            enrolment=locked,
            kind=LedgerEntry.Kind.DISCOUNT,
            amount=-amount,
            memo=why.strip(),
            entered_by=actor,
        )
        note(actor=actor, verb="discount", subject=locked, entry=entry.pk, amount=f"{amount}")
        return entry


def refund(
    *,
    enrolment: Enrolment,
    amount: Decimal,
    method: str,
    actor: Account | None,
    memo: str = "",
) -> LedgerEntry:
    """Record that `amount` was paid back to the golfer.

    Raises MoneyError for an amount that is not money or is more than is owed back, or a method
    we do not know.
    """
    refuse_unless_money(amount)
    refuse_unless_method(method)
    with transaction.atomic(durable=True):
        locked = lock_ledger(enrolment)
        owed_back = -enrolment_money(locked).due
        if amount > owed_back:
            left = format_money(max(Decimal(0), owed_back), locked.school.currency)
            raise MoneyError(f"{left} is owed back; no more than that can be paid back.")
        entry = LedgerEntry.objects.create(
            enrolment=locked,
            kind=LedgerEntry.Kind.REFUND,
            amount=amount,
            method=method,
            memo=memo,
            entered_by=actor,
        )
        note(actor=actor, verb="refund", subject=locked, entry=entry.pk, amount=f"{amount}")
        return entry


def settle_cancellation(enrolment: Enrolment, due: Refund, why: str, actor: Account | None) -> None:
    """Let go what was charged and charge what is kept. Joins the caller's transaction."""
    release_charges(enrolment, f"Cancelled: {why}" if why else "Cancelled", actor)
    if due.kept:
        charge(enrolment, due.kept, f"Kept on cancelling. {due.rule}.", actor)
