"""What is to be paid online, and what became of it."""

from school.models import Checkout, Enrolment, LedgerEntry
from school.payments.parts import Parts, parts_due
from school.queries.money import enrolment_money


def parts_of(enrolment: Enrolment) -> Parts:
    """What the golfer may pay now. One query."""
    sums = enrolment_money(enrolment)
    return parts_due(deposit=enrolment.school.deposit, price=sums.price, received=sums.received)


def payments_of(enrolment: Enrolment) -> list[LedgerEntry]:
    """The golfer's payments that stand, each with a receipt. One query."""
    rows = enrolment.ledger.filter(kind=LedgerEntry.Kind.PAYMENT, reversed_by__isnull=True)
    return list(rows.order_by("entered_at", "pk"))


def latest_checkouts(most: int) -> list[Checkout]:
    """The online payments started last. One query."""
    rows = Checkout.objects.select_related("enrolment__golfer", "enrolment__school")
    return list(rows.order_by("-started_at", "-pk")[:most])
