"""Money beside the golfers' ledger: instructor pay, days closed, bank lines, online payments."""

from __future__ import annotations

from django.db import models
from django.db.models import Q
from django.utils import timezone

from school.models.append_only import AppendOnly
from school.models.enrolment import Enrolment
from school.models.ledger import LedgerEntry
from school.models.offers import School
from school.models.people import Account, Staff


class PayEntry(AppendOnly):
    """What an instructor earned (above zero) or was paid (below); never changed, as the ledger."""

    school = models.ForeignKey(School, on_delete=models.PROTECT, related_name="pay")
    staff = models.ForeignKey(Staff, on_delete=models.PROTECT, related_name="pay")
    amount = models.DecimalField(max_digits=9, decimal_places=2)
    memo = models.CharField(max_length=200)
    reverses = models.OneToOneField(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="reversed_by"
    )
    entered_by = models.ForeignKey(Account, null=True, on_delete=models.PROTECT, related_name="+")
    entered_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["entered_at", "pk"]
        verbose_name_plural = "pay entries"
        constraints = [
            models.CheckConstraint(condition=~Q(amount=0), name="pay_entry_is_some_amount"),
            models.CheckConstraint(condition=~Q(memo=""), name="pay_entry_says_what_for"),
        ]

    def __str__(self) -> str:
        return f"{self.staff} {self.amount}"


class DayClose(models.Model):
    """A day whose takings were counted: totals by method as they stood, and by whom."""

    day = models.DateField()
    currency = models.CharField(max_length=3)
    totals = models.JSONField(help_text="method to amount, as text to the cent")
    closed_by = models.ForeignKey(Account, null=True, on_delete=models.PROTECT, related_name="+")
    closed_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["-day"]
        constraints = [
            models.UniqueConstraint(
                fields=["day", "currency"],
                name="day_closed_once",
                violation_error_message="This day is closed already.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.day:%Y-%m-%d} {self.currency}"


class BankLine(models.Model):
    """One line of a bank's CSV; its fingerprint keeps a file imported twice from counting twice."""

    booked_on = models.DateField()
    amount = models.DecimalField(max_digits=9, decimal_places=2)
    currency = models.CharField(max_length=3)
    text = models.CharField(max_length=300, blank=True)
    fingerprint = models.CharField(max_length=64, unique=True)
    entry = models.OneToOneField(
        LedgerEntry, null=True, blank=True, on_delete=models.PROTECT, related_name="bank_line"
    )
    set_aside = models.CharField(
        max_length=200, blank=True, help_text="why it belongs to no enrolment"
    )
    imported_by = models.ForeignKey(Account, null=True, on_delete=models.PROTECT, related_name="+")
    imported_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["booked_on", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(entry__isnull=True) | Q(set_aside=""),
                name="bank_line_matched_or_set_aside",
            )
        ]

    def __str__(self) -> str:
        return f"{self.booked_on:%Y-%m-%d} {self.amount} {self.text}"


class Checkout(models.Model):
    """One online payment at a gateway, from the wish to the entry in the ledger."""

    class State(models.TextChoices):
        STARTED = "started", "started"
        PAID = "paid", "paid"
        FAILED = "failed", "failed"

    enrolment = models.ForeignKey(Enrolment, on_delete=models.PROTECT, related_name="checkouts")
    gateway = models.CharField(max_length=20)
    reference = models.CharField(max_length=80, unique=True)
    amount = models.DecimalField(max_digits=9, decimal_places=2)
    state = models.CharField(max_length=7, choices=State.choices, default=State.STARTED)
    entry = models.OneToOneField(
        LedgerEntry, null=True, blank=True, on_delete=models.PROTECT, related_name="checkout"
    )
    started_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["started_at"]
        constraints = [
            models.CheckConstraint(condition=Q(amount__gt=0), name="checkout_is_above_zero"),
            models.CheckConstraint(
                condition=Q(state="paid", entry__isnull=False)
                | (~Q(state="paid") & Q(entry__isnull=True)),
                name="checkout_paid_has_its_entry",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.gateway} {self.reference}"
