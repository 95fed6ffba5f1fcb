"""Writing the ledger: what is charged, paid and put right."""

from decimal import Decimal

from django.db import IntegrityError, transaction

from school.actions.audit import note
from school.errors import MoneyError
from school.models import Account, Enrolment, LedgerEntry

MOST = Decimal("9999999.99")
CENT = Decimal("0.01")


def record_payment(
    *,
    enrolment: Enrolment,
    amount: Decimal,
    method: str,
    actor: Account | None,
    memo: str = "",
) -> LedgerEntry:
    """Record that the golfer has paid `amount`, typed above zero and kept below it.

    Raises MoneyError for an amount that is not money, or a method we do not know.
    """
    _refuse_unless_money(amount)
    if method not in LedgerEntry.Method.values:
        raise MoneyError("Say how it was paid: cash, card terminal or bank transfer.")
    with transaction.atomic(durable=True):
        entry = LedgerEntry.objects.create(
            enrolment=enrolment,
            kind=LedgerEntry.Kind.PAYMENT,
            amount=-amount,
            method=method,
            memo=memo,
            entered_by=actor,
        )
        note(
            actor=actor,
            verb="record_payment",
            subject=enrolment,
            entry=entry.pk,
            amount=f"{amount}",
        )
        return entry


def reverse_entry(*, entry: LedgerEntry, why: str, actor: Account | None) -> LedgerEntry:
    """Undo a charge or a payment by an equal and opposite entry that says why.

    Raises MoneyError if it is itself a reversal, was reversed before, or no reason is given.
    """
    if not why.strip():
        raise MoneyError("Say why the entry is reversed.")
    if entry.kind == LedgerEntry.Kind.REVERSAL:
        raise MoneyError("A reversal stays. Enter the charge or payment again instead.")
    already = MoneyError("This entry was reversed before.")
    try:
        with transaction.atomic(durable=True):
            if LedgerEntry.objects.filter(reverses=entry).exists():
                raise already
            return _reverse(entry, why.strip(), actor)
    except IntegrityError:
        raise already from None  # somebody else reversed it between the look and the write


def charge_price(enrolment: Enrolment, actor: Account | None) -> None:
    """Charge the school's price, if it has one. Joins the caller's transaction."""
    school = enrolment.school
    if not school.price:
        return
    LedgerEntry.objects.create(
        enrolment=enrolment,
        kind=LedgerEntry.Kind.CHARGE,
        amount=school.price,
        memo=f"Price of {school.name}",
        entered_by=actor,
    )


def release_charges(enrolment: Enrolment, why: str, actor: Account | None) -> None:
    """Reverse each charge that still stands. Joins the caller's transaction."""
    for charge in enrolment.ledger.filter(
        kind=LedgerEntry.Kind.CHARGE, reversed_by__isnull=True
    ).order_by("pk"):
        _reverse(charge, why, actor)


def _reverse(entry: LedgerEntry, why: str, actor: Account | None) -> LedgerEntry:
    reversal = LedgerEntry.objects.create(
        enrolment=entry.enrolment,
        kind=LedgerEntry.Kind.REVERSAL,
        amount=-entry.amount,
        reverses=entry,
        memo=why,
        entered_by=actor,
    )
    note(actor=actor, verb="reverse_entry", subject=entry.enrolment, entry=entry.pk, why=why)
    return reversal


def _refuse_unless_money(amount: Decimal) -> None:
    if not amount.is_finite() or amount <= 0:
        raise MoneyError("Enter the amount as a number above zero.")
    if amount > MOST:
        raise MoneyError(f"An amount cannot be more than {MOST:,}.")
    if amount != amount.quantize(CENT):
        raise MoneyError("An amount has two decimals at most.")
