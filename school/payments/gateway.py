"""The seam at which a card processor is added.

Marram asks a gateway for two things: `start` a payment, which answers with the address the
golfer's browser goes to, and `confirm` what comes back, from the browser or from the processor's
own server. All the rest is ours: what is due, the `Checkout` row, the entry in the ledger, once
however often the answer comes.

To add a processor, write one module `school/payments/NAME.py` that exposes `GATEWAY`, an object
with the attributes of `PaymentGateway`, and set `MARRAM_PAYMENT_GATEWAY=NAME`. Nothing else
changes: neither the ledger nor the checkouts know which gateway they are dealing with. Have the
processor send the browser and its notices to the return address that `start` is given. `confirm`
must prove that its data comes from the processor (a signature, or a question back to it): the
return address is open to anybody.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from importlib import import_module
from typing import Protocol

from django.conf import settings

from school.errors import CheckoutRefused


@dataclass(frozen=True)
class Paid:
    """The processor has the money: of this checkout, so much, in this currency."""

    reference: str
    amount: Decimal
    currency: str


@dataclass(frozen=True)
class Failed:
    """No money was moved; `words` tell the golfer why, as far as it is known."""

    reference: str
    words: str


class PaymentGateway(Protocol):
    """`name` is kept with each checkout (20 characters at most); `origin` is where `start` sends
    the browser, as a content policy names it: `'self'`, or like `https://pay.example.com`."""

    name: str
    origin: str

    def start(self, *, amount: Decimal, currency: str, reference: str, return_url: str) -> str:
        """The address at which the golfer pays. Raises CheckoutRefused if there is none now."""

    def confirm(self, data: Mapping[str, str]) -> Paid | Failed:
        """What became of a payment. Raises CheckoutRefused for data that is not the processor's."""


def payment_gateway() -> PaymentGateway | None:
    """The gateway the settings name; None where nobody pays online.

    Raises
    ------
    ImportError
        If there is no such module; a system check says so before anybody pays.
    """
    if not settings.PAYMENT_GATEWAY:
        return None
    found: PaymentGateway = import_module(f"school.payments.{settings.PAYMENT_GATEWAY}").GATEWAY
    return found


def needed_gateway() -> PaymentGateway:
    """The gateway. Raises CheckoutRefused where nobody pays online."""
    found = payment_gateway()
    if found is None:
        raise CheckoutRefused("Nobody can pay online at the moment. Ask the front desk.")
    return found
