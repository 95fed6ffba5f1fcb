"""What is taught and measured, and what a programme asks of every squad."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

from lessons.models.places import Feature
from school.models import Programme


class Station(models.Model):
    """A purpose: something is taught or measured here.

    `entry_kind` names the module of the assessments app whose form is filled in at this
    station; empty where nothing is recorded.
    """

    slug = models.SlugField(primary_key=True, max_length=30)
    name = models.CharField(max_length=80)
    entry_kind = models.SlugField(max_length=30, blank=True)
    is_handed = models.BooleanField("left-handers need a left-handed bay", default=False)
    needs = models.ManyToManyField(Feature, blank=True, related_name="stations")

    class Meta:
        ordering = ["slug"]

    def __str__(self) -> str:
        return self.name


class Phase(models.TextChoices):
    INTAKE = "intake", "intake"
    PRACTICE = "practice", "practice"
    EXIT = "exit", "exit"


class Visit(models.Model):
    """Something a programme asks of every squad once, e.g. the intake impact."""

    programme = models.ForeignKey(Programme, on_delete=models.CASCADE, related_name="visits")
    slug = models.SlugField(max_length=30)
    name = models.CharField(max_length=80)
    station = models.ForeignKey(Station, on_delete=models.PROTECT, related_name="visits")
    phase = models.CharField(max_length=8, choices=Phase.choices, default=Phase.PRACTICE)
    position = models.PositiveSmallIntegerField(default=0)
    slots = models.PositiveSmallIntegerField(
        default=1, validators=[MinValueValidator(1), MaxValueValidator(8)]
    )
    first_day = models.PositiveSmallIntegerField(
        default=1, help_text="the earliest day of the school it may fall on, 1 is the first"
    )
    last_day = models.PositiveSmallIntegerField(default=7)
    after = models.ManyToManyField("self", symmetrical=False, blank=True, related_name="before")

    class Meta:
        ordering = ["programme", "position", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["programme", "slug"], name="visit_slug_once"),
            models.UniqueConstraint(
                fields=["programme", "station", "phase"],
                condition=~Q(phase="practice"),
                name="visit_one_intake_and_exit_a_station",
                violation_error_message="A station has one intake and one exit visit.",
            ),
            models.CheckConstraint(
                condition=Q(first_day__gte=1, last_day__gte=F("first_day")),
                name="visit_days_in_order",
                violation_error_message="The last day cannot lie before the first.",
            ),
        ]

    def __str__(self) -> str:
        return self.name
