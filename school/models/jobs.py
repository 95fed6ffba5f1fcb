"""A job is a row. The queue only wakes a worker; the row says what is to do and who does it."""

from __future__ import annotations

from datetime import timedelta
from typing import ClassVar

from django.db import models
from django.db.models import Q
from django.utils import timezone


class LeasedJob(models.Model):
    """The columns of a job that one worker at a time may hold, for as long as its lease.

    `claims` counts every start, `failures` only errors of the work itself: a healthy job may
    be claimed several times when machines stop under it, and must not be parked for that.
    """

    class State(models.TextChoices):
        QUEUED = "queued", "waiting for the worker"
        RUNNING = "running", "at work"
        DONE = "done", "ready"
        PARKED = "parked", "stopped"

    TASK: ClassVar[str]
    LEASE: ClassVar[timedelta]
    MAX_FAILURES: ClassVar[int] = 3
    # How long to wait after the first failure, the second, and so on; the last one stays.
    RETRY_AFTER: ClassVar[tuple[timedelta, ...]] = (timedelta(seconds=5), timedelta(seconds=30))

    state = models.CharField(max_length=7, choices=State.choices, default=State.QUEUED)
    queued_at = models.DateTimeField(default=timezone.now)
    not_before = models.DateTimeField(default=timezone.now)
    claims = models.PositiveIntegerField(default=0)
    failures = models.PositiveSmallIntegerField(default=0)
    token = models.UUIDField(null=True, blank=True)
    lease_until = models.DateTimeField(null=True, blank=True)
    reason = models.TextField(blank=True)
    finished_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        abstract = True
        constraints = [
            models.CheckConstraint(
                condition=Q(state="running", token__isnull=False, lease_until__isnull=False)
                | (~Q(state="running") & Q(token__isnull=True, lease_until__isnull=True)),
                name="%(class)s_lease_iff_running",
            ),
            models.CheckConstraint(
                condition=~Q(state="parked") | ~Q(reason=""),
                name="%(class)s_parked_says_why",
            ),
        ]
        indexes = [
            # Serves the sweeper, which asks for unfinished rows only.
            models.Index(
                fields=["not_before"],
                condition=Q(state__in=["queued", "running"]),
                name="%(class)s_unfinished",
            )
        ]

    @property
    def is_finished(self) -> bool:
        return self.state in (self.State.DONE, self.State.PARKED)
