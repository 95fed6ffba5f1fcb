"""What this app does when the school app says something happened."""

from typing import Any

from django.dispatch import receiver

from assessments.actions.reports import queue_reports
from school.models import Account, School
from school.signals import school_closed


@receiver(school_closed, dispatch_uid="assessments.queue_reports")
def queue_reports_of_closed_school(
    sender: object, *, school: School, actor: Account | None, **kwargs: Any
) -> None:
    queue_reports(school=school, actor=actor)
