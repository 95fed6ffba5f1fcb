"""Drills, the rules that propose them, and the plan an attendee takes home."""

from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils import timezone

from assessments.practice.values import MOST_PRIORITIES, WEEKS
from school.models import Account, Enrolment


class Drill(models.Model):
    """Something to practise. Texts are for a right-hander who reads 'lead' and 'trail'.

    `picture` names the template that draws it, turned round for a left-hander. `equipment` and
    `avoid_with` hold codes of `assessments.practice.words`: what is needed, and what must not hurt.
    """

    slug = models.SlugField(max_length=40, unique=True)
    name = models.CharField(max_length=60)
    purpose = models.CharField(max_length=200)
    set_up = models.TextField("set-up")
    steps = models.TextField(help_text="One step a line.")
    count = models.CharField(max_length=80, help_text="Like “10 balls, three times”.")
    minutes = models.PositiveSmallIntegerField(
        validators=[MinValueValidator(2), MaxValueValidator(60)]
    )
    equipment = models.JSONField(default=list, blank=True)
    avoid_with = models.JSONField(default=list, blank=True)
    caution = models.CharField(max_length=240)
    picture = models.SlugField(max_length=40)
    is_in_use = models.BooleanField(default=True)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(minutes__gte=2, minutes__lte=60),
                name="drill_takes_2_to_60_minutes",
                violation_error_message="A drill takes 2 to 60 minutes.",
            ),
            models.CheckConstraint(condition=~Q(caution=""), name="drill_has_its_caution"),
        ]

    def __str__(self) -> str:
        return self.name


class DrillRule(models.Model):
    """Which drill serves which finding, and the line that says why.

    `why` may name {measure}, {value}, {usual} and {change}; what a finding does not have must not
    be named by a rule for it. Of several drills for one finding the lower `position` comes first.
    """

    class When(models.TextChoices):
        LOW = "low", "it lies below what is usual"
        HIGH = "high", "it lies above what is usual"
        WORSE = "worse", "it got worse during the school"
        BETTER = "better", "it is a strength to keep"

    kind = models.SlugField("station", max_length=30)
    measure = models.SlugField(max_length=60)
    club_class = models.CharField(max_length=10, blank=True, help_text="Empty: any club.")
    when = models.CharField(max_length=6, choices=When.choices)
    drill = models.ForeignKey(Drill, on_delete=models.CASCADE, related_name="rules")
    position = models.PositiveSmallIntegerField(default=1)
    why = models.CharField(max_length=300)
    is_in_use = models.BooleanField(default=True)

    class Meta:
        ordering = ["kind", "measure", "when", "position"]
        constraints = [
            models.UniqueConstraint(
                fields=["kind", "measure", "club_class", "when", "drill"],
                name="drill_rule_once",
                violation_error_message="There is such a rule for this drill already.",
            ),
            models.CheckConstraint(condition=~Q(why=""), name="drill_rule_says_why"),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.measure}, {self.get_when_display()}: {self.drill}"


class PracticePlan(models.Model):
    """What one attendee is to practise in the six weeks after the school.

    `edition` goes up with every change; a form that was opened on an older one is refused.
    `left_out` has the sentences about what the proposal could not hold.
    """

    enrolment = models.OneToOneField(
        Enrolment, on_delete=models.PROTECT, related_name="practice_plan"
    )
    minutes_a_week = models.PositiveSmallIntegerField()
    days_a_week = models.PositiveSmallIntegerField()
    equipment = models.JSONField(default=list, blank=True)
    hurts = models.JSONField("what hurts or must be spared", default=list, blank=True)
    left_out = models.JSONField(default=list, blank=True)
    edition = models.PositiveIntegerField(default=1)
    is_edited = models.BooleanField(default=False)
    changed_by = models.ForeignKey(Account, null=True, on_delete=models.PROTECT)
    changed_at = models.DateTimeField(default=timezone.now)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(minutes_a_week__gte=10, minutes_a_week__lte=1200),
                name="practice_plan_minutes_in_range",
                violation_error_message="Time to practise is 10 to 1200 minutes a week.",
            ),
            models.CheckConstraint(
                condition=Q(days_a_week__gte=1, days_a_week__lte=7),
                name="practice_plan_days_in_range",
                violation_error_message="There are one to seven days of practice in a week.",
            ),
        ]

    def __str__(self) -> str:
        return f"Practice plan of {self.enrolment}"


class Priority(models.Model):
    """One of at most three things to work on, and why; `kind` to `club_class` name its finding."""

    plan = models.ForeignKey(PracticePlan, on_delete=models.CASCADE, related_name="priorities")
    position = models.PositiveSmallIntegerField()
    title = models.CharField(max_length=120)
    why = models.CharField(max_length=400)
    kind = models.SlugField(max_length=30, blank=True)
    measure = models.SlugField(max_length=60, blank=True)
    club_class = models.CharField(max_length=10, blank=True)

    class Meta:
        ordering = ["plan", "position"]
        verbose_name_plural = "priorities"
        constraints = [
            models.UniqueConstraint(fields=["plan", "position"], name="priority_place_once"),
            models.CheckConstraint(
                condition=Q(position__gte=1, position__lte=MOST_PRIORITIES),
                name="priority_one_to_three",
                violation_error_message="A plan has at most three priorities.",
            ),
            models.CheckConstraint(
                condition=~Q(title="") & ~Q(why=""), name="priority_says_what_and_why"
            ),
        ]

    def __str__(self) -> str:
        return self.title


class PracticeItem(models.Model):
    """A drill in one week of a plan; `count` and `minutes` are of one day's practice."""

    plan = models.ForeignKey(PracticePlan, on_delete=models.CASCADE, related_name="items")
    priority = models.ForeignKey(
        Priority, null=True, blank=True, on_delete=models.CASCADE, related_name="items"
    )
    week = models.PositiveSmallIntegerField()
    position = models.PositiveSmallIntegerField()
    drill = models.ForeignKey(Drill, on_delete=models.PROTECT, related_name="items")
    days = models.PositiveSmallIntegerField("days in this week")
    minutes = models.PositiveSmallIntegerField("minutes a day")
    count = models.CharField(max_length=80)

    class Meta:
        ordering = ["plan", "week", "position"]
        constraints = [
            models.UniqueConstraint(
                fields=["plan", "week", "position"], name="practice_item_place_once"
            ),
            models.CheckConstraint(
                condition=Q(week__gte=1, week__lte=WEEKS),
                name="practice_item_within_six_weeks",
                violation_error_message="The plan has six weeks.",
            ),
            models.CheckConstraint(
                condition=Q(minutes__gte=1, minutes__lte=240, days__gte=1, days__lte=7),
                name="practice_item_time_in_range",
                violation_error_message="A drill takes 1 to 240 minutes on 1 to 7 days.",
            ),
        ]

    def __str__(self) -> str:
        return f"week {self.week}: {self.drill}"
