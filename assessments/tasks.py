"""What the worker does when a message wakes it."""

from celery import shared_task

from assessments.actions import reports
from assessments.models import Report


@shared_task(name=Report.TASK)
def render_report(pk: int) -> None:
    reports.render_report(pk)
