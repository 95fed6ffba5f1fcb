"""What an instructor signs, the take-home report as a job and as a file, and how it is handed out.

A preview shows what a report would say; a signature is of that content; a report is made of it.
"""

from __future__ import annotations

import uuid
from datetime import timedelta
from typing import ClassVar

from django.db import models
from django.db.models import Q
from django.utils import timezone

from school.models import Account, Enrolment, LeasedJob, School


class Preview(LeasedJob):
    """The pages an instructor looks at before signing; one an attendee, made anew as asked.

    `content_sha256` is of what the pages say, not of the file.
    """

    TASK: ClassVar[str] = "assessments.render_preview"
    LEASE: ClassVar[timedelta] = timedelta(seconds=60)

    enrolment = models.OneToOneField(Enrolment, on_delete=models.PROTECT, related_name="preview")
    file = models.CharField(max_length=200, blank=True)
    content_sha256 = models.CharField(max_length=64, blank=True)
    pages = models.PositiveSmallIntegerField(default=0)
    requested_by = models.ForeignKey(Account, null=True, on_delete=models.PROTECT)

    class Meta(LeasedJob.Meta):
        constraints = [
            *LeasedJob.Meta.constraints,
            models.CheckConstraint(
                condition=~Q(state="done")
                | (~Q(file="") & ~Q(content_sha256="") & Q(pages__gte=1)),
                name="preview_done_has_its_file",
            ),
        ]

    def __str__(self) -> str:
        return f"Preview for {self.enrolment}"


class Signature(models.Model):
    """An instructor's name under what a report says; the newest of an attendee counts."""

    enrolment = models.ForeignKey(Enrolment, on_delete=models.PROTECT, related_name="signatures")
    signed_by = models.ForeignKey(Account, on_delete=models.PROTECT)
    signed_at = models.DateTimeField(default=timezone.now)
    content_sha256 = models.CharField(max_length=64)

    class Meta:
        ordering = ["enrolment", "-signed_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(content_sha256=""), name="signature_is_of_something"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.signed_by}, {self.signed_at:%Y-%m-%d %H:%M}"


class Report(LeasedJob):
    """One version of an attendee's report. Exactly one version is current.

    `file` is relative to the private storage; it is named with the token of the claim that
    wrote it, so two workers can never write to one name. Without a signature the report says so.
    `content_sha256` is of the file; `said_sha256` is of what its pages say, as a signature's is.
    """

    TASK: ClassVar[str] = "assessments.render_report"
    LEASE: ClassVar[timedelta] = timedelta(seconds=60)

    enrolment = models.ForeignKey(Enrolment, on_delete=models.PROTECT, related_name="reports")
    version = models.PositiveSmallIntegerField(default=1)
    is_current = models.BooleanField(default=True)
    signature = models.ForeignKey(
        Signature, null=True, blank=True, on_delete=models.PROTECT, related_name="reports"
    )
    file = models.CharField(max_length=200, blank=True)
    content_sha256 = models.CharField(max_length=64, blank=True)
    said_sha256 = models.CharField(max_length=64, blank=True)
    pages = models.PositiveSmallIntegerField(default=0)
    requested_by = models.ForeignKey(Account, null=True, on_delete=models.PROTECT)
    opened_at = models.DateTimeField(null=True, blank=True)

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


class ReportLink(models.Model):
    """An address by which a report can be fetched without signing in, until it ends.

    Only whoever was written to knows it: the address carries the key and our seal on it.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    report = models.ForeignKey(Report, on_delete=models.CASCADE, related_name="links")
    sent_to = models.EmailField()
    made_at = models.DateTimeField(default=timezone.now)
    expires_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)
    opened_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["report", "-made_at"]
        constraints = [
            models.CheckConstraint(
                condition=Q(expires_at__gt=models.F("made_at")),
                name="report_link_ends_after_it_began",
            ),
            models.UniqueConstraint(
                fields=["report"],
                condition=Q(revoked_at__isnull=True),
                name="report_link_one_that_works",
            ),
        ]

    def __str__(self) -> str:
        return f"Link to {self.report}"

    @property
    def has_ended(self) -> bool:
        return self.revoked_at is not None or self.expires_at <= timezone.now()


class Bundle(LeasedJob):
    """Every current report of a school in one file: to be printed, or as an archive."""

    class Kind(models.TextChoices):
        PRINT = "print", "one PDF to print"
        ARCHIVE = "archive", "a zip of PDFs"

    TASK: ClassVar[str] = "assessments.make_bundle"
    LEASE: ClassVar[timedelta] = timedelta(seconds=120)

    school = models.ForeignKey(School, on_delete=models.PROTECT, related_name="bundles")
    kind = models.CharField(max_length=7, choices=Kind.choices)
    is_current = models.BooleanField(default=True)
    file = models.CharField(max_length=200, blank=True)
    reports = models.PositiveSmallIntegerField(default=0)
    requested_by = models.ForeignKey(Account, null=True, on_delete=models.PROTECT)

    class Meta(LeasedJob.Meta):
        ordering = ["school", "kind", "-queued_at"]
        constraints = [
            *LeasedJob.Meta.constraints,
            models.UniqueConstraint(
                fields=["school", "kind"],
                condition=Q(is_current=True),
                name="bundle_one_current_a_kind",
            ),
            models.CheckConstraint(
                condition=~Q(state="done") | (~Q(file="") & Q(reports__gte=1)),
                name="bundle_done_has_its_file",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} of {self.school}"
