"""What is sent to people: its words, and each sending as a job."""

from __future__ import annotations

from datetime import timedelta
from typing import ClassVar

from django.db import models
from django.db.models import Q
from django.utils import timezone

from school.models.enrolment import Enrolment
from school.models.jobs import LeasedJob
from school.models.people import Account


class MessageKind(models.TextChoices):
    CONFIRMATION = "confirmation", "enrolment confirmed"
    WAITING = "waiting", "on the waiting list"
    OFFER = "offer", "a seat is offered"
    CANCELLED = "cancelled", "enrolment cancelled"
    RESUME = "resume", "half-finished enrolment"
    SIGN_IN_CODE = "sign_in_code", "code to sign in"
    BALANCE_DUE = "balance_due", "balance due"
    CONSENT_MISSING = "consent_missing", "consent missing"
    WHAT_TO_BRING = "what_to_bring", "what to bring"
    DAY_BEFORE = "day_before", "the day before"
    RECEIPT = "receipt", "receipt"
    REPORT_READY = "report_ready", "report ready"
    TIMETABLE_READY = "timetable_ready", "timetable ready"
    TIMETABLE_CHANGED = "timetable_change", "timetable changed"


class MessageTemplate(models.Model):
    """The words of one kind of message, in Django's template language, edited in the admin."""

    kind = models.CharField(max_length=16, choices=MessageKind.choices, unique=True)
    subject = models.CharField(max_length=160)
    body = models.TextField()

    class Meta:
        ordering = ["kind"]

    def __str__(self) -> str:
        return self.get_kind_display()


class Message(LeasedJob):
    """One e-mail to one address. `once_key` keeps the same message from being made twice."""

    TASK: ClassVar[str] = "school.send_message"
    LEASE: ClassVar[timedelta] = timedelta(seconds=120)
    MAX_FAILURES: ClassVar[int] = 5
    # Mail servers that do not know us yet ask for minutes of patience.
    RETRY_AFTER: ClassVar[tuple[timedelta, ...]] = (
        timedelta(seconds=10),
        timedelta(minutes=1),
        timedelta(minutes=5),
        timedelta(minutes=30),
    )

    kind = models.CharField(max_length=16, choices=MessageKind.choices)
    once_key = models.CharField(max_length=120, unique=True)
    enrolment = models.ForeignKey(
        Enrolment, null=True, blank=True, on_delete=models.PROTECT, related_name="messages"
    )
    to = models.EmailField()
    subject = models.CharField(max_length=200)
    body = models.TextField()
    calendar = models.TextField(blank=True, help_text="a calendar file to attach")
    bounced_at = models.DateTimeField(null=True, blank=True)
    bounce_reason = models.CharField(max_length=200, blank=True)

    class Meta(LeasedJob.Meta):
        ordering = ["-queued_at", "-pk"]
        constraints = [
            *LeasedJob.Meta.constraints,
            models.CheckConstraint(
                condition=Q(bounced_at__isnull=True) | ~Q(bounce_reason=""),
                name="message_bounce_says_why",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} to {self.to}"


class SignInCode(models.Model):
    """A code sent by e-mail; only its hash is kept, and it works once."""

    LIFE: ClassVar[timedelta] = timedelta(minutes=10)
    MOST_TRIES: ClassVar[int] = 5

    account = models.ForeignKey(Account, on_delete=models.CASCADE, related_name="sign_in_codes")
    code_hash = models.CharField(max_length=128)
    made_at = models.DateTimeField(default=timezone.now)
    ends_at = models.DateTimeField()
    tries = models.PositiveSmallIntegerField(default=0)
    used_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-made_at"]

    def __str__(self) -> str:
        return f"Code for {self.account}"
