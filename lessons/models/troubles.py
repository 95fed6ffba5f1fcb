"""What upsets a timetable: somebody ill, a bay shut, rain, a golfer who is late or leaves early."""

from datetime import UTC

from django.db import models
from django.db.models import F, Q

from lessons.models.instructors import Instructor
from lessons.models.places import Bay
from school.models import Account, Enrolment


class Trouble(models.Model):
    """From one instant to another somebody or something cannot be counted on.

    It stands until it is taken back, and binds every timetable looked for from then on. Rain is
    everybody's: it keeps every school out of the bays without a cover.
    """

    class Kind(models.TextChoices):
        INSTRUCTOR_AWAY = "instructor", "an instructor is away"
        BAY_CLOSED = "bay", "a bay is closed"
        RAIN = "rain", "rain"
        GOLFER_AWAY = "golfer", "a golfer is away"

    kind = models.CharField(max_length=10, choices=Kind.choices)
    instructor = models.ForeignKey(
        Instructor, null=True, blank=True, on_delete=models.CASCADE, related_name="troubles"
    )
    bay = models.ForeignKey(
        Bay, null=True, blank=True, on_delete=models.CASCADE, related_name="troubles"
    )
    enrolment = models.ForeignKey(
        Enrolment, null=True, blank=True, on_delete=models.CASCADE, related_name="troubles"
    )
    starts_at = models.DateTimeField()
    ends_at = models.DateTimeField()
    note = models.CharField(max_length=120, blank=True)
    noted_by = models.ForeignKey(Account, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["starts_at", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(ends_at__gt=F("starts_at")),
                name="trouble_ends_after_it_starts",
                violation_error_message="It must end after it starts.",
            ),
            models.CheckConstraint(
                condition=Q(kind="instructor", instructor__isnull=False, bay=None, enrolment=None)
                | Q(kind="bay", bay__isnull=False, instructor=None, enrolment=None)
                | Q(kind="golfer", enrolment__isnull=False, instructor=None, bay=None)
                | Q(kind="rain", instructor=None, bay=None, enrolment=None),
                name="trouble_names_whom_it_is_about",
                violation_error_message="Say who or what it is about.",
            ),
        ]

    def __str__(self) -> str:
        about = self.instructor or self.bay or (self.enrolment and self.enrolment.golfer)
        return f"{about or 'rain'} from {self.starts_at.astimezone(UTC):%Y-%m-%d %H:%M} UTC"
