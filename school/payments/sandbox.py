"""A gateway that moves no money, for trying things out and for the demo.

Its page stands where a processor's would, and says plainly what it is. What it sends back is
signed with the site's key, so that nobody can make up an answer.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any
from urllib.parse import urlencode

from django.core import signing
from django.urls import reverse

from school.errors import CheckoutRefused
from school.payments.gateway import Failed, Paid

SALT = "school.payments.sandbox"
GIVEN_UP = "The payment was given up on the sandbox's page."


class Sandbox:
    name = "sandbox"
    origin = "'self'"

    def start(self, *, amount: Decimal, currency: str, reference: str, return_url: str) -> str:
        asked = {
            "amount": f"{amount:.2f}",
            "currency": currency,
            "reference": reference,
            "return_url": return_url,
        }
        return f"{reverse('sandbox')}?{urlencode({'asked': signing.dumps(asked, salt=SALT)})}"

    def confirm(self, data: Mapping[str, str]) -> Paid | Failed:
        answer = unsigned(data.get("answer", ""))
        if answer.get("outcome") == "paid":
            return Paid(answer["reference"], Decimal(answer["amount"]), answer["currency"])
        if answer.get("outcome") == "failed":
            return Failed(answer["reference"], GIVEN_UP)
        raise CheckoutRefused(NOT_OURS)


NOT_OURS = "This answer does not come from the sandbox. Nothing was recorded."
GATEWAY = Sandbox()


def unsigned(token: str) -> dict[str, Any]:
    """What the sandbox signed. Raises CheckoutRefused for anything else."""
    try:
        found: dict[str, Any] = signing.loads(token, salt=SALT)
    except signing.BadSignature:
        raise CheckoutRefused(NOT_OURS) from None
    return found


def answer_url(asked: Mapping[str, Any], *, is_paid: bool) -> str:
    """Where the sandbox's page sends the browser back to, with its signed answer."""
    answer = {
        "outcome": "paid" if is_paid else "failed",
        "reference": asked["reference"],
        "amount": asked["amount"],
        "currency": asked["currency"],
    }
    query = urlencode({"answer": signing.dumps(answer, salt=SALT)})
    return f"{asked['return_url']}?{query}"
