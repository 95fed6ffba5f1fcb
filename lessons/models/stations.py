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
    """Something a programme asks of every squad, e.g. the intake impact.

    It waits for every session of the visits in `after`; visits in `same_day` fall on the same
    days as this one, visits in `other_day` on none of them. Slots are counted from 1 within a day.
    """

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
    times = models.PositiveSmallIntegerField(
        "times in the school", default=1, validators=[MinValueValidator(1), MaxValueValidator(20)]
    )
    most_a_day = models.PositiveSmallIntegerField(default=1, validators=[MinValueValidator(1)])
    bay_slots = models.PositiveSmallIntegerField(
        "slots in the bay",
        null=True,
        blank=True,
        validators=[MinValueValidator(1)],
        help_text="if the squad moves on before the visit ends, as from the first tee",
    )
    group_ratio = models.PositiveSmallIntegerField(
        "golfers an instructor, in a group",
        null=True,
        blank=True,
        validators=[MinValueValidator(4)],
        help_text="if squads may have it together, as a talk; empty: each squad by itself",
    )
    prefers_from = models.PositiveSmallIntegerField(
        "best from slot", null=True, blank=True, validators=[MinValueValidator(1)]
    )
    prefers_to = models.PositiveSmallIntegerField("best up to slot", null=True, blank=True)
    after = models.ManyToManyField("self", symmetrical=False, blank=True, related_name="before")
    same_day = models.ManyToManyField("self", blank=True)
    other_day = models.ManyToManyField("self", blank=True)

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
            models.CheckConstraint(
                condition=Q(times=1) | Q(phase="practice", times__gt=1),
                name="visit_measured_once_a_phase",
                violation_error_message="An intake or an exit visit takes place once.",
            ),
            models.CheckConstraint(
                condition=Q(bay_slots__isnull=True)
                | Q(bay_slots__gte=1, bay_slots__lte=F("slots")),
                name="visit_bay_slots_within",
                violation_error_message="A visit is in its bay for some or all of its slots.",
            ),
            models.CheckConstraint(
                condition=Q(group_ratio__isnull=True) | Q(group_ratio__gte=4),
                name="visit_group_holds_a_squad",
                violation_error_message="In a group, an instructor looks after a squad or more.",
            ),
            models.CheckConstraint(
                # One of the two empty makes the comparison unknown, which a check lets pass.
                condition=Q(prefers_from__isnull=True, prefers_to__isnull=True)
                | Q(
                    prefers_from__isnull=False,
                    prefers_to__isnull=False,
                    prefers_from__gte=1,
                    prefers_to__gte=F("prefers_from"),
                ),
                name="visit_preferred_slots_in_order",
                violation_error_message="Give the first and the last of the slots that suit best.",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def is_everyones(self) -> bool:
        """Whether nobody should miss it: what is measured on arrival and at the end is compared,
        while a golfer who misses practice misses it as they would a lesson."""
        return bool(self.station.entry_kind) and self.phase != Phase.PRACTICE
