"""What is sold: programmes, and the dated schools that run them."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo, available_timezones

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.urls import reverse

from school.models.daygrid import DayGrid
from school.models.people import Staff
from school.models.terms import RefundStep, Terms

MAX_SQUAD = 4


def _known_zone(name: str) -> None:
    if name not in available_timezones():
        raise ValidationError(f"“{name}” is no time zone; write it like Europe/London.")


class Programme(DayGrid, Terms):
    """What a kind of school consists of. Its visits are rows of the lessons app."""

    name = models.CharField(max_length=120, unique=True)
    summary = models.TextField(blank=True)
    days = models.PositiveSmallIntegerField(
        default=3, validators=[MinValueValidator(1), MaxValueValidator(7)]
    )
    capacity = models.PositiveSmallIntegerField(default=12, validators=[MinValueValidator(1)])
    squad_size = models.PositiveSmallIntegerField(
        default=MAX_SQUAD, validators=[MinValueValidator(1), MaxValueValidator(MAX_SQUAD)]
    )
    is_offered = models.BooleanField(default=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(deposit__lte=F("price")),
                name="programme_deposit_within_price",
                violation_error_message="The deposit cannot be more than the price.",
            ),
            models.CheckConstraint(
                condition=Q(squad_size__gte=1, squad_size__lte=MAX_SQUAD),
                name="programme_squad_size_one_to_four",
                violation_error_message="A squad is one to four golfers.",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class School(DayGrid, Terms):
    """One dated running of a programme. Terms are copied, so that a later change of the
    programme does not change what was sold."""

    class State(models.TextChoices):
        DRAFT = "draft", "being set up"
        OPEN = "open", "open for enrolment"
        CLOSED = "closed", "closed"

    programme = models.ForeignKey(Programme, on_delete=models.PROTECT, related_name="schools")
    name = models.CharField(max_length=120)
    venue = models.CharField(
        max_length=160, blank=True, help_text="where golfers come to on the first day"
    )
    starts_on = models.DateField()
    ends_on = models.DateField()
    time_zone = models.CharField(max_length=40, default="Europe/London", validators=[_known_zone])
    capacity = models.PositiveSmallIntegerField(
        validators=[MinValueValidator(1), MaxValueValidator(96)]
    )
    lead_instructor = models.ForeignKey(Staff, on_delete=models.PROTECT, related_name="led_schools")
    state = models.CharField(max_length=6, choices=State.choices, default=State.DRAFT)
    closed_at = models.DateTimeField(null=True, blank=True)
    is_demo = models.BooleanField(default=False)

    class Meta:
        ordering = ["starts_on", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["name", "starts_on"],
                name="school_name_and_start_once",
                violation_error_message="A school of this name already starts on that day.",
            ),
            models.CheckConstraint(
                condition=Q(ends_on__gte=F("starts_on")),
                name="school_ends_after_it_starts",
                violation_error_message="The last day cannot lie before the first.",
            ),
            models.CheckConstraint(
                condition=Q(deposit__lte=F("price")),
                name="school_deposit_within_price",
                violation_error_message="The deposit cannot be more than the price.",
            ),
            models.CheckConstraint(
                condition=Q(capacity__gte=1, capacity__lte=96),
                name="school_capacity_1_to_96",
                violation_error_message="A school holds 1 to 96 golfers.",
            ),
            models.CheckConstraint(
                condition=Q(state="closed", closed_at__isnull=False)
                | (~Q(state="closed") & Q(closed_at__isnull=True)),
                name="school_closed_has_a_time",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name}, {self.starts_on:%-d %B %Y}"

    def get_absolute_url(self) -> str:
        return reverse("school", args=[self.pk])

    @property
    def zone(self) -> ZoneInfo:
        return ZoneInfo(self.time_zone)

    @property
    def dates(self) -> list[date]:
        count = (self.ends_on - self.starts_on).days + 1
        return [self.starts_on + timedelta(days=n) for n in range(count)]

    def slot_instant(self, day: int, slot: int) -> datetime:
        """The instant at which `slot` of the school's `day` (0 is the first) begins."""
        return self.slot_starts(self.dates[day], slot).replace(tzinfo=self.zone)


class ProgrammeRefundStep(RefundStep):
    programme = models.ForeignKey(Programme, on_delete=models.CASCADE, related_name="refund_steps")

    class Meta(RefundStep.Meta):
        constraints = [
            *RefundStep.Meta.constraints,
            models.UniqueConstraint(
                fields=["programme", "days_before"], name="programme_refund_step_once_a_day"
            ),
        ]


class SchoolRefundStep(RefundStep):
    school = models.ForeignKey(School, on_delete=models.CASCADE, related_name="refund_steps")

    class Meta(RefundStep.Meta):
        constraints = [
            *RefundStep.Meta.constraints,
            models.UniqueConstraint(
                fields=["school", "days_before"], name="school_refund_step_once_a_day"
            ),
        ]
