"""What was recorded at a station, and the measures computed from it."""

from __future__ import annotations

from django.db import models
from django.db.models import Q
from django.utils import timezone

from assessments.models.stills import Still
from lessons.models import Phase, Session
from school.models import Account, Enrolment


class Entry(models.Model):
    """What an instructor recorded for one golfer at one station.

    The id is made on the device and recording is idempotent on it. A correction is a new entry
    that supersedes; the old one stays. `kind` names the module under `assessments/stations/`
    that knows what `payload` means.
    """

    id = models.UUIDField(primary_key=True)
    enrolment = models.ForeignKey(Enrolment, on_delete=models.PROTECT, related_name="entries")
    kind = models.SlugField(max_length=30)
    phase = models.CharField(max_length=8, choices=Phase.choices)
    session = models.ForeignKey(
        Session, null=True, blank=True, on_delete=models.SET_NULL, related_name="entries"
    )
    still = models.ForeignKey(
        Still, null=True, blank=True, on_delete=models.PROTECT, related_name="entries"
    )
    payload = models.JSONField()
    payload_sha256 = models.CharField(max_length=64)
    supersedes = models.OneToOneField(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="superseded_by"
    )
    warnings = models.JSONField(default=list, blank=True)
    recorded_by = models.ForeignKey(Account, null=True, on_delete=models.PROTECT)
    recorded_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["recorded_at", "pk"]
        verbose_name_plural = "entries"
        indexes = [models.Index(fields=["enrolment", "kind", "phase"], name="entry_of_attendee")]
        constraints = [
            models.CheckConstraint(
                condition=Q(supersedes__isnull=True) | ~Q(supersedes=models.F("id")),
                name="entry_supersedes_another",
            ),
            models.CheckConstraint(
                condition=~Q(kind="impact") | Q(still__isnull=False),
                name="entry_of_impact_has_a_still",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.phase} of {self.enrolment_id}"


class Measure(models.Model):
    """A number with its unit, its standard uncertainty and where that came from."""

    entry = models.ForeignKey(Entry, on_delete=models.CASCADE, related_name="measures")
    name = models.SlugField(max_length=60)
    value = models.FloatField()
    unit = models.CharField(max_length=20, blank=True)
    standard_uncertainty = models.FloatField(null=True)
    low = models.FloatField(null=True)
    high = models.FloatField(null=True)
    source = models.CharField(max_length=240)

    class Meta:
        ordering = ["entry", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["entry", "name"], name="measure_once_an_entry"),
            models.CheckConstraint(
                condition=Q(standard_uncertainty__isnull=True) | Q(standard_uncertainty__gte=0),
                name="measure_uncertainty_not_negative",
            ),
            models.CheckConstraint(condition=~Q(source=""), name="measure_names_its_source"),
        ]

    def __str__(self) -> str:
        return f"{self.name} {self.value:.3g} {self.unit}"
