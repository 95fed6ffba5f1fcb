"""Money, written once. A balance is a sum; a mistake is reversed by another entry."""

from __future__ import annotations

from django.db import models
from django.db.models import Q
from django.utils import timezone

from school.models.append_only import AppendOnly
from school.models.enrolment import Enrolment
from school.models.people import Account


class LedgerEntry(AppendOnly):
    """One amount: above zero the golfer owes it or was paid back, below zero the golfer has paid
    or been let off."""

    class Kind(models.TextChoices):
        CHARGE = "charge", "charge"
        PAYMENT = "payment", "payment"
        DISCOUNT = "discount", "discount"
        REFUND = "refund", "refund"
        REVERSAL = "reversal", "reversal"

    class Method(models.TextChoices):
        CASH = "cash", "cash"
        CARD = "card", "card terminal"
        TRANSFER = "transfer", "bank transfer"
        ONLINE = "online", "online"

    enrolment = models.ForeignKey(Enrolment, on_delete=models.PROTECT, related_name="ledger")
    kind = models.CharField(max_length=8, choices=Kind.choices)
    amount = models.DecimalField(max_digits=9, decimal_places=2)
    method = models.CharField(max_length=8, choices=Method.choices, blank=True)
    memo = models.CharField(max_length=200, blank=True)
    reverses = models.OneToOneField(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="reversed_by"
    )
    entered_by = models.ForeignKey(
        Account, null=True, on_delete=models.PROTECT, related_name="ledger_entries"
    )
    entered_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["entered_at", "pk"]
        verbose_name_plural = "ledger entries"
        constraints = [
            models.CheckConstraint(
                condition=Q(kind="charge", amount__gt=0)
                | Q(kind="payment", amount__lt=0)
                | Q(kind="discount", amount__lt=0)
                | Q(kind="refund", amount__gt=0)
                | (Q(kind="reversal") & ~Q(amount=0)),
                name="ledger_sign_follows_kind",
                violation_error_message="A charge is above zero, a payment below.",
            ),
            models.CheckConstraint(
                condition=Q(kind="reversal", reverses__isnull=False)
                | (~Q(kind="reversal") & Q(reverses__isnull=True)),
                name="ledger_reversal_names_its_entry",
            ),
            models.CheckConstraint(
                condition=Q(kind__in=["payment", "refund"]) & ~Q(method="")
                | ~Q(kind__in=["payment", "refund"]) & Q(method=""),
                name="ledger_payment_has_a_method",
                violation_error_message="Say how the payment was made.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.amount}"
