"""Who did what, for the day somebody asks."""

from django.db import models
from django.utils import timezone

from school.models.people import Account


class AuditEntry(models.Model):
    """One action as it was done. `subject` is a row's label and key, e.g. `school.enrolment 12`."""

    at = models.DateTimeField(default=timezone.now)
    actor = models.ForeignKey(Account, null=True, on_delete=models.PROTECT)
    verb = models.CharField(max_length=40)
    subject = models.CharField(max_length=80)
    detail = models.JSONField(default=dict)

    class Meta:
        ordering = ["-at", "-pk"]
        verbose_name_plural = "audit entries"
        indexes = [models.Index(fields=["subject", "at"], name="audit_by_subject")]

    def __str__(self) -> str:
        return f"{self.verb} {self.subject}"
