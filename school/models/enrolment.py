"""A golfer's place in a school."""

from __future__ import annotations

from decimal import Decimal

from django.db import models
from django.db.models import Q, Sum
from django.utils import timezone

from school.models.offers import School
from school.models.people import Golfer


class Enrolment(models.Model):
    """One golfer in one school: seated, waiting or gone.

    Seats are numbered and a live number is unique, so two people who ask for the last seat at
    once cannot both have it on any database. The action gives the lowest free number.
    """

    class State(models.TextChoices):
        SEATED = "seated", "has a seat"
        OFFERED = "offered", "is offered a seat"
        WAITING = "waiting", "on the waiting list"
        CANCELLED = "cancelled", "cancelled"

    LIVE = (State.SEATED, State.OFFERED, State.WAITING)
    # An offered seat is kept free for whoever it is offered to.
    HOLDS_SEAT = (State.SEATED, State.OFFERED)

    school = models.ForeignKey(School, on_delete=models.PROTECT, related_name="enrolments")
    golfer = models.ForeignKey(Golfer, on_delete=models.PROTECT, related_name="enrolments")
    state = models.CharField(max_length=9, choices=State.choices)
    seat = models.PositiveSmallIntegerField(null=True, blank=True)
    enrolled_at = models.DateTimeField(default=timezone.now)
    offer_ends_at = models.DateTimeField(null=True, blank=True)
    cancelled_at = models.DateTimeField(null=True, blank=True)
    goals = models.TextField(blank=True)
    keep_together = models.CharField(max_length=200, blank=True)
    diet = models.CharField(max_length=200, blank=True)
    wants_club_hire = models.BooleanField(default=False)

    class Meta:
        ordering = ["seat", "enrolled_at", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["school", "seat"],
                condition=Q(state__in=["seated", "offered"]),
                name="enrolment_seat_taken_once",
                violation_error_message="That seat is taken.",
            ),
            models.UniqueConstraint(
                fields=["school", "golfer"],
                condition=Q(state__in=["seated", "offered", "waiting"]),
                name="enrolment_golfer_in_school_once",
                violation_error_message="This golfer is already enrolled in this school.",
            ),
            models.CheckConstraint(
                # An empty seat makes `seat >= 1` unknown, and a check lets the unknown pass.
                condition=Q(state__in=["seated", "offered"], seat__isnull=False, seat__gte=1)
                | (~Q(state__in=["seated", "offered"]) & Q(seat__isnull=True)),
                name="enrolment_seat_iff_seated",
            ),
            models.CheckConstraint(
                condition=Q(state="offered", offer_ends_at__isnull=False)
                | (~Q(state="offered") & Q(offer_ends_at__isnull=True)),
                name="enrolment_offer_ends",
            ),
            models.CheckConstraint(
                condition=Q(state="cancelled", cancelled_at__isnull=False)
                | (~Q(state="cancelled") & Q(cancelled_at__isnull=True)),
                name="enrolment_cancelled_has_a_time",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.golfer} in {self.school}"

    @property
    def is_seated(self) -> bool:
        return self.state == self.State.SEATED

    def balance(self) -> Decimal:
        """What the golfer still owes, in the school's currency; below zero, what we owe."""
        total = self.ledger.aggregate(total=Sum("amount"))["total"]
        # SQLite adds in binary and can miss nought by a hair.
        return (total or Decimal(0)).quantize(Decimal("0.01"))


class EnrolmentDraft(models.Model):
    """A half-finished enrolment, found again by whoever has the link; the token is the key.

    `answers` holds what was typed, page by page, as it was typed. A finished draft names the
    enrolment it became, so that sending the last page twice enrols once.
    """

    token = models.CharField(max_length=43, unique=True)
    school = models.ForeignKey(School, on_delete=models.CASCADE, related_name="drafts")
    answers = models.JSONField(default=dict)
    started_at = models.DateTimeField(default=timezone.now)
    changed_at = models.DateTimeField(default=timezone.now)
    enrolment = models.OneToOneField(
        Enrolment, null=True, blank=True, on_delete=models.PROTECT, related_name="draft"
    )

    class Meta:
        ordering = ["-changed_at"]

    def __str__(self) -> str:
        return f"Draft for {self.school}"
