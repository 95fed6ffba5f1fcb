"""The take-home report of one attendee, as a job and as a file."""

from __future__ import annotations

from datetime import timedelta
from typing import ClassVar

from django.db import models
from django.db.models import Q

from school.models import Account, Enrolment, LeasedJob


class Report(LeasedJob):
    """One version of an attendee's report. Exactly one version is current.

    `file` is relative to the private storage; it is named with the token of the claim that
    wrote it, so two workers can never write to one name.
    """

    TASK: ClassVar[str] = "assessments.render_report"
    LEASE: ClassVar[timedelta] = timedelta(seconds=60)

    enrolment = models.ForeignKey(Enrolment, on_delete=models.PROTECT, related_name="reports")
    version = models.PositiveSmallIntegerField(default=1)
    is_current = models.BooleanField(default=True)
    file = models.CharField(max_length=200, blank=True)
    content_sha256 = models.CharField(max_length=64, blank=True)
    pages = models.PositiveSmallIntegerField(default=0)
    requested_by = models.ForeignKey(Account, null=True, on_delete=models.PROTECT)

    class Meta(LeasedJob.Meta):
        ordering = ["enrolment", "-version"]
        constraints = [
            *LeasedJob.Meta.constraints,
            models.UniqueConstraint(
                fields=["enrolment"],
                condition=Q(is_current=True),
                name="report_one_current_an_attendee",
                violation_error_message="This attendee already has a current report.",
            ),
            models.UniqueConstraint(fields=["enrolment", "version"], name="report_version_once"),
            models.CheckConstraint(
                condition=~Q(state="done")
                | (~Q(file="") & ~Q(content_sha256="") & Q(pages__gte=1)),
                name="report_done_has_its_file",
            ),
        ]

    def __str__(self) -> str:
        return f"Report {self.version} of {self.enrolment}"
