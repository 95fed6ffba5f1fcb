"""Online payments: from the golfer's wish to one entry in the ledger, whichever the gateway."""

from __future__ import annotations

import logging
import secrets
from decimal import Decimal
from typing import Literal

from django.db import transaction

from school.actions.audit import note
from school.actions.money import enter_payment
from school.errors import CheckoutRefused
from school.models import Account, Checkout, Enrolment, LedgerEntry
from school.payments.gateway import Failed, Paid, needed_gateway
from school.queries.checkouts import parts_of
from school.wording import format_money

Part = Literal["deposit", "balance"]
log = logging.getLogger(__name__)


def start_checkout(
    *, enrolment: Enrolment, part: Part, return_url: str, actor: Account | None
) -> str:
    """Ask the gateway for what is due; the address at which the golfer pays it.

    Raises CheckoutRefused if nothing of it is due, or the gateway takes no payment now.
    """
    gateway = needed_gateway()
    with transaction.atomic(durable=True):
        amount = _due(enrolment, part)
        checkout = Checkout.objects.create(
            enrolment=enrolment,
            gateway=gateway.name,
            reference=secrets.token_urlsafe(18),
            amount=amount,
        )
        note(actor=actor, verb="start_checkout", subject=checkout, part=part, amount=f"{amount}")
    # Outside of the transaction: another house's server may take its time.
    return gateway.start(
        amount=amount,
        currency=enrolment.school.currency,
        reference=checkout.reference,
        return_url=return_url,
    )


def confirm_checkout(*, outcome: Paid | Failed, gateway: str) -> Checkout:
    """Record what the gateway said became of a checkout; the second time changes nothing.

    A payment that comes after a failure counts, a failure after a payment does not: what was
    once recorded as paid is put right in the ledger alone.

    Raises CheckoutRefused for a checkout we do not know, or another sum than was asked for.
    """
    with transaction.atomic(durable=True):
        found = Checkout.objects.select_for_update().filter(
            reference=outcome.reference, gateway=gateway
        )
        checkout = found.first()
        if checkout is None:
            raise CheckoutRefused("We know of no such payment. Nothing was recorded.")
        if checkout.state == Checkout.State.PAID:
            return checkout
        if isinstance(outcome, Failed):
            checkout.state = Checkout.State.FAILED
            checkout.save(update_fields=["state"])
            return checkout
        _record(checkout, outcome)
    return checkout


def _record(checkout: Checkout, paid: Paid) -> None:
    enrolment = Enrolment.objects.select_related("school").get(pk=checkout.enrolment_id)
    asked = (checkout.amount, enrolment.school.currency)
    if (paid.amount, paid.currency) != asked:
        log.error("Checkout %s asked for %s %s and got %s", checkout.pk, *asked, paid)
        raise CheckoutRefused(
            f"{format_money(*asked)} was asked for and {format_money(paid.amount, paid.currency)} "
            "was paid. Nothing was recorded; the front desk must look at it."
        )
    checkout.entry = enter_payment(
        enrolment,
        checkout.amount,
        LedgerEntry.Method.ONLINE,
        None,
        f"Online by {checkout.gateway}, {checkout.reference}",
    )
    checkout.state = Checkout.State.PAID
    checkout.save(update_fields=["state", "entry"])


def _due(enrolment: Enrolment, part: Part) -> Decimal:
    parts = parts_of(enrolment)
    amount = parts.deposit if part == "deposit" else parts.balance
    if not amount:
        raise CheckoutRefused("Nothing of this is due. Nothing was started.")
    return amount
