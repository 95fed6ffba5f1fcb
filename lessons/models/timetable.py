"""Plans, their sessions, and the holds that keep everybody in one place at a time."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import ClassVar

from django.db import models
from django.db.models import F, Q

from lessons.models.instructors import Instructor
from lessons.models.places import Bay
from lessons.models.squads import Squad
from lessons.models.stations import Visit
from school.models import Account, LeasedJob, School
from school.models.daygrid import QUARTER_MIN

QUARTER = timedelta(minutes=QUARTER_MIN)
EPOCH = datetime(2000, 1, 1, tzinfo=UTC)


def quarter_hours(starts_at: datetime, ends_at: datetime) -> list[datetime]:
    """The start of each quarter hour of the clock that the stretch touches.

    Counted from the clock, not from the start: two schools whose days open five minutes apart
    must still meet in the same quarter hours.
    """
    first = starts_at.astimezone(UTC) - (starts_at - EPOCH) % QUARTER
    return [first + n * QUARTER for n in range(-((first - ends_at) // QUARTER))]


class Plan(LeasedJob):
    """A timetable of one school, from the wish to the published one.

    The job is to find it, unless it was made by hand from another. `goals`, `conflicts` and
    `ways_out` are what the planner said, as JSON: `[{"name", "value", "bound", "proven"}]`,
    `[{"rule", "words"}]` and `[{"words"}]`; `progress` is how far the search is:
    `{"step", "values", "bounds", "seconds"}`, values and bounds by goal.
    """

    class Origin(models.TextChoices):
        SEARCH = "search", "looked for"
        REPLAN = "replan", "planned again after a trouble"
        HAND = "hand", "changed by hand"

    TASK: ClassVar[str] = "lessons.find_plan"
    LEASE: ClassVar[timedelta] = timedelta(seconds=180)

    school = models.ForeignKey(School, on_delete=models.CASCADE, related_name="plans")
    requested_by = models.ForeignKey(Account, null=True, on_delete=models.PROTECT)
    origin = models.CharField(max_length=8, choices=Origin.choices, default=Origin.SEARCH)
    based_on = models.ForeignKey(
        "self", null=True, blank=True, on_delete=models.SET_NULL, related_name="successors"
    )
    kept_before = models.DateTimeField(
        null=True, blank=True, help_text="what begins earlier is over, and stays as it was"
    )
    remake_squads = models.BooleanField(default=True)
    seconds = models.PositiveSmallIntegerField(default=20)
    seed = models.PositiveIntegerField(default=1)
    planner_version = models.CharField(max_length=20, blank=True)
    goals = models.JSONField(default=list, blank=True)
    conflicts = models.JSONField(default=list, blank=True)
    ways_out = models.JSONField(default=list, blank=True)
    progress = models.JSONField(default=dict, blank=True)
    stop_asked_at = models.DateTimeField(null=True, blank=True)
    published_at = models.DateTimeField(null=True, blank=True)
    is_published = models.BooleanField(default=False)

    class Meta(LeasedJob.Meta):
        ordering = ["-pk"]
        constraints = [
            *LeasedJob.Meta.constraints,
            models.UniqueConstraint(
                fields=["school"],
                condition=Q(is_published=True),
                name="plan_one_published_a_school",
                violation_error_message="This school already has a published plan.",
            ),
            models.UniqueConstraint(
                fields=["school"],
                condition=Q(state__in=["queued", "running"]),
                name="plan_one_search_a_school",
                violation_error_message="A plan for this school is already being looked for.",
            ),
            models.CheckConstraint(
                condition=Q(is_published=False) | Q(state="done", published_at__isnull=False),
                name="plan_published_is_done",
            ),
            models.CheckConstraint(
                condition=~Q(origin="replan") | Q(kept_before__isnull=False),
                name="plan_again_from_a_time",
                violation_error_message="Say from when on to plan again.",
            ),
        ]

    def __str__(self) -> str:
        return f"Plan {self.pk} of {self.school}"


class Session(models.Model):
    """A visit of one squad, given a time, a bay and an instructor.

    Squads that have a visit together have a session each, in the same bay at the same time; its
    instructors are those that these sessions name. A pinned session stays when a plan is made
    anew from this one.
    """

    plan = models.ForeignKey(Plan, on_delete=models.CASCADE, related_name="sessions")
    visit = models.ForeignKey(Visit, on_delete=models.PROTECT, related_name="sessions")
    squad = models.ForeignKey(Squad, on_delete=models.CASCADE, related_name="sessions")
    bay = models.ForeignKey(Bay, on_delete=models.PROTECT, related_name="sessions")
    instructor = models.ForeignKey(Instructor, on_delete=models.PROTECT, related_name="sessions")
    starts_at = models.DateTimeField()
    ends_at = models.DateTimeField()
    is_pinned = models.BooleanField(default=False)

    class Meta:
        ordering = ["starts_at", "squad"]
        constraints = [
            models.UniqueConstraint(
                fields=["plan", "squad", "starts_at"],
                name="session_one_at_a_time",
                violation_error_message="The squad has another session that begins then.",
            ),
            models.CheckConstraint(
                condition=Q(ends_at__gt=F("starts_at")), name="session_ends_after_it_starts"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.visit} of {self.squad}"

    def quarter_hours(self) -> list[datetime]:
        return quarter_hours(self.starts_at, self.ends_at)


class PlanEdit(models.Model):
    """One step of changing a plan by hand, so that it can be taken back.

    `before` and `after` are JSON, by the key of the session as text: what the step changed of
    `{"bay", "instructor", "starts_at", "ends_at", "is_pinned"}`.
    """

    plan = models.ForeignKey(Plan, on_delete=models.CASCADE, related_name="edits")
    number = models.PositiveIntegerField()
    words = models.CharField(max_length=300)
    before = models.JSONField()
    after = models.JSONField()
    made_by = models.ForeignKey(Account, null=True, on_delete=models.PROTECT, related_name="+")
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["plan", "-number"]
        constraints = [
            models.UniqueConstraint(
                fields=["plan", "number"],
                name="plan_edit_number_once",
                violation_error_message="Somebody else changed this timetable just now.",
            )
        ]

    def __str__(self) -> str:
        return self.words


class Hold(models.Model):
    """One resource taken for one quarter hour: by a published session, or for a stated reason
    such as a private lesson. Two schools share this table, so neither can double-book.

    A bay for several squads at once is taken part by part, its parts counted from 1.
    """

    session = models.ForeignKey(
        Session, null=True, blank=True, on_delete=models.CASCADE, related_name="holds"
    )
    note = models.CharField(max_length=120, blank=True)
    bay = models.ForeignKey(
        Bay, null=True, blank=True, on_delete=models.CASCADE, related_name="holds"
    )
    instructor = models.ForeignKey(
        Instructor, null=True, blank=True, on_delete=models.CASCADE, related_name="holds"
    )
    squad = models.ForeignKey(
        Squad, null=True, blank=True, on_delete=models.CASCADE, related_name="holds"
    )
    part = models.PositiveSmallIntegerField(default=1)
    quarter_hour = models.DateTimeField()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["bay", "part", "quarter_hour"],
                name="hold_bay_once",
                violation_error_message="The bay is taken then.",
            ),
            models.UniqueConstraint(
                fields=["instructor", "quarter_hour"],
                name="hold_instructor_once",
                violation_error_message="The instructor is taken then.",
            ),
            models.UniqueConstraint(
                fields=["squad", "quarter_hour"],
                name="hold_squad_once",
                violation_error_message="The squad is elsewhere then.",
            ),
            models.CheckConstraint(
                condition=Q(bay__isnull=False, instructor__isnull=True, squad__isnull=True)
                | Q(bay__isnull=True, instructor__isnull=False, squad__isnull=True)
                | Q(bay__isnull=True, instructor__isnull=True, squad__isnull=False),
                name="hold_takes_one_resource",
            ),
            models.CheckConstraint(
                condition=Q(session__isnull=False) | ~Q(note=""),
                name="hold_says_what_for",
                violation_error_message="Say what the hold is for.",
            ),
        ]

    def __str__(self) -> str:
        resource = self.bay or self.instructor or self.squad
        return f"{resource} at {self.quarter_hour:%Y-%m-%d %H:%M} UTC"
