"""What the worker does when a message wakes it."""

from celery import shared_task

from assessments.actions import bundles, reports, signing
from assessments.models import Bundle, Preview, Report


@shared_task(name=Report.TASK)
def render_report(pk: int) -> None:
    reports.render_report(pk)


@shared_task(name=Preview.TASK)
def render_preview(pk: int) -> None:
    signing.render_preview(pk)


@shared_task(name=Bundle.TASK)
def make_bundle(pk: int) -> None:
    bundles.make_bundle(pk)
