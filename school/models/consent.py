"""What somebody agreed to, in which words, when, and who said so."""

from __future__ import annotations

from django.db import models
from django.db.models import Q
from django.utils import timezone

from school.models.enrolment import Enrolment
from school.models.people import Account


class ConsentKind(models.TextChoices):
    TERMS = "terms", "terms of the school"
    RISK = "risk", "assumption of risk"
    FILMING = "filming", "being filmed for teaching"
    SHOWN_IN_CLASS = "shown_in_class", "stills shown in class"
    NAMED_IN_CLASS = "named_in_class", "name beside the stills in class"
    REFERENCE = "reference", "stills kept for later schools"
    PUBLICITY = "publicity", "stills used in publicity"
    NEWS = "news", "news by e-mail"


class ConsentText(models.Model):
    """The words of one consent. A change of words is a new version."""

    kind = models.CharField(max_length=14, choices=ConsentKind.choices)
    version = models.PositiveSmallIntegerField()
    body = models.TextField()

    class Meta:
        ordering = ["kind", "version"]
        constraints = [
            models.UniqueConstraint(fields=["kind", "version"], name="consent_text_version_once")
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()}, version {self.version}"


class ConsentQuerySet(models.QuerySet["Consent"]):
    def standing(self) -> ConsentQuerySet:
        """Those given and not withdrawn."""
        return self.filter(withdrawn_at__isnull=True)


class Consent(models.Model):
    """One agreement to one text, by the golfer or, for a minor, by the guardian."""

    enrolment = models.ForeignKey(Enrolment, on_delete=models.PROTECT, related_name="consents")
    text = models.ForeignKey(ConsentText, on_delete=models.PROTECT)
    given_by = models.CharField(max_length=120)
    by_guardian = models.BooleanField(default=False)
    given_at = models.DateTimeField(default=timezone.now)
    recorded_by = models.ForeignKey(Account, null=True, on_delete=models.PROTECT)
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    objects = ConsentQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["enrolment", "text"],
                condition=Q(withdrawn_at__isnull=True),
                name="consent_given_once",
            ),
            models.CheckConstraint(
                condition=~Q(given_by=""),
                name="consent_names_who_gave_it",
                violation_error_message="Say who gave the consent.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.text} by {self.given_by}"
