"""Writing the ledger: what is charged, paid and put right."""

from decimal import Decimal

from django.db import IntegrityError, transaction
from django.urls import reverse

from school.actions.audit import note
from school.actions.messages import send
from school.errors import MoneyError
from school.models import Account, Enrolment, LedgerEntry, MessageKind
from school.queries.money import enrolment_money
from school.wording import format_money

MOST = Decimal("9999999.99")
CENT = Decimal("0.01")
REVERSED_BEFORE = "This entry was reversed before."


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
    with transaction.atomic(durable=True):
        return enter_payment(enrolment, amount, method, actor, memo)


def enter_payment(
    enrolment: Enrolment, amount: Decimal, method: str, actor: Account | None, memo: str = ""
) -> LedgerEntry:
    """The same as `record_payment`, in the caller's transaction; the golfer gets a receipt."""
    refuse_unless_money(amount)
    refuse_unless_method(method)
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
    send(
        kind=MessageKind.RECEIPT,
        to=enrolment.golfer.email,
        once_key=f"receipt:{entry.pk}",
        context={
            "amount": format_money(amount, enrolment.school.currency),
            "method": entry.get_method_display(),
            "link": reverse("receipt", args=[entry.pk]),
        },
        enrolment=enrolment,
    )
    return entry


def reverse_entry(*, entry: LedgerEntry, why: str, actor: Account | None) -> LedgerEntry:
    """Undo an entry by an equal and opposite one that says why.

    Raises MoneyError if it is itself a reversal, was reversed before, no reason is given, or it
    is a charge on which a discount stands.
    """
    try:
        with transaction.atomic(durable=True):
            return enter_reversal(entry, why, actor)
    except IntegrityError:
        # somebody else reversed it between the look and the write
        raise MoneyError(REVERSED_BEFORE) from None


def enter_reversal(entry: LedgerEntry, why: str, actor: Account | None) -> LedgerEntry:
    """The same as `reverse_entry`, in the caller's transaction."""
    if not why.strip():
        raise MoneyError("Say why the entry is reversed.")
    if entry.kind == LedgerEntry.Kind.REVERSAL:
        raise MoneyError("A reversal stays. Enter the charge or payment again instead.")
    enrolment = lock_ledger(entry.enrolment)
    if LedgerEntry.objects.filter(reverses=entry).exists():
        raise MoneyError(REVERSED_BEFORE)
    _refuse_stranding_a_discount(enrolment, entry)
    return _reverse(entry, why.strip(), actor)


def lock_ledger(enrolment: Enrolment) -> Enrolment:
    """The enrolment as it is now; others who write its ledger wait until we have finished."""
    rows = Enrolment.objects.select_for_update(of=("self",)).select_related("school", "golfer")
    return rows.get(pk=enrolment.pk)


def charge_price(enrolment: Enrolment, actor: Account | None) -> None:
    """Charge the school's price, if it has one. Joins the caller's transaction."""
    school = enrolment.school
    if school.price:
        charge(enrolment, school.price, f"Price of {school.name}", actor)


def charge(enrolment: Enrolment, amount: Decimal, memo: str, actor: Account | None) -> None:
    """Enter that the golfer owes `amount`. Joins the caller's transaction."""
    LedgerEntry.objects.create(
        enrolment=enrolment,
        kind=LedgerEntry.Kind.CHARGE,
        amount=amount,
        memo=memo,
        entered_by=actor,
    )


def release_charges(enrolment: Enrolment, why: str, actor: Account | None) -> None:
    """Reverse each charge and discount that still stands. Joins the caller's transaction."""
    standing = enrolment.ledger.filter(
        kind__in=[LedgerEntry.Kind.CHARGE, LedgerEntry.Kind.DISCOUNT], reversed_by__isnull=True
    )
    for entry in standing.order_by("pk"):
        _reverse(entry, why, actor)


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


def _refuse_stranding_a_discount(enrolment: Enrolment, entry: LedgerEntry) -> None:
    sums = enrolment_money(enrolment)
    if entry.kind == LedgerEntry.Kind.CHARGE and entry.amount > sums.price:
        given = format_money(sums.discounted, enrolment.school.currency)
        raise MoneyError(f"A discount of {given} was given on it. Reverse the discount first.")


def refuse_unless_method(method: str) -> None:
    if method not in LedgerEntry.Method.values:
        raise MoneyError("Say how it was paid: cash, card terminal or bank transfer.")


def refuse_unless_money(amount: Decimal) -> None:
    if not amount.is_finite() or amount <= 0:
        raise MoneyError("Enter the amount as a number above zero.")
    if amount > MOST:
        raise MoneyError(f"An amount cannot be more than {MOST:,}.")
    if amount != amount.quantize(CENT):
        raise MoneyError("An amount has two decimals at most.")
