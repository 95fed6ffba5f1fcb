"""Asking for reports, and making one: claim, gather, compose, render, put in place, publish."""

from __future__ import annotations

import errno
import hashlib
import logging
from typing import Any
from uuid import UUID

from django.db import transaction
from django.urls import reverse

from assessments.models import Report
from assessments.reports import files
from assessments.reports.compose import compose
from assessments.reports.errors import ReportAtWork, ReportStopped
from assessments.reports.gather import gather
from assessments.reports.render import render
from school.actions import jobs
from school.actions.audit import note
from school.actions.messages import send
from school.errors import PdfLibraryMissing
from school.models import Account, Enrolment, MessageKind, School

log = logging.getLogger(__name__)


def queue_reports(*, school: School, actor: Account | None) -> list[Report]:
    """Ask for the report of every seated attendee who has none yet; returns the new ones."""
    with transaction.atomic(savepoint=False):
        bare = school.enrolments.filter(state=Enrolment.State.SEATED).exclude(
            reports__is_current=True
        )
        reports = Report.objects.bulk_create(
            Report(enrolment=enrolment, requested_by=actor) for enrolment in bare
        )
        for report in reports:
            jobs.wake_on_commit(report)
        note(actor=actor, verb="queue_reports", subject=school, count=len(reports))
    return reports


def make_report_again(*, report: Report, actor: Account) -> Report:
    """Make a finished report once more: a new version takes its place, a stopped one tries again.

    Raises
    ------
    ReportAtWork
        If the report is not finished, or a newer version exists.
    """
    with transaction.atomic(durable=True):
        held = Report.objects.select_for_update().get(pk=report.pk)
        if not held.is_current:
            raise ReportAtWork("A newer version of this report has been asked for already.")
        if not held.is_finished:
            raise ReportAtWork("This report is being made already.")
        note(actor=actor, verb="make_report_again", subject=held)
        if jobs.requeue_parked(held):
            held.refresh_from_db()
            return held
        held.is_current = False
        held.save(update_fields=["is_current"])
        fresh = Report.objects.create(
            enrolment_id=held.enrolment_id, version=held.version + 1, requested_by=actor
        )
        jobs.wake_on_commit(fresh)
    return fresh


def render_report(pk: int) -> bool:
    """Do the job if it is due and free; True if this call published the report.

    What goes wrong is written to the row for the front desk. What only a person can put right
    stops the job at once; the rest is tried again a few times.
    """
    token = jobs.claim(Report, pk)
    if token is None:
        return False
    try:
        return _make(pk, token)
    except ReportStopped as stop:
        jobs.park(Report, pk, token, reason=str(stop))
    except Exception as error:  # the worker must outlive any one report
        log.exception("Report %s could not be made", pk)
        jobs.record_failure(Report, pk, token, reason=_reason(error))
    finally:
        _remove_strays()
    return False


def _make(pk: int, token: UUID) -> bool:
    report = Report.objects.select_related("enrolment__golfer", "enrolment__school").get(pk=pk)
    if not report.enrolment.is_seated:
        raise ReportStopped("The attendee no longer has a seat in this school.")
    pdf = render(compose(gather(report.enrolment)))
    name = files.name_of(pk, token)
    files.put(name, pdf.content)
    digest = hashlib.sha256(pdf.content).hexdigest()
    return _publish(report, token, file=name, content_sha256=digest, pages=pdf.pages)


def _remove_strays() -> None:
    """Remove the files of reports that neither the row names nor the holder of the lease wrote.

    They are of workers that died, failed or outlasted their lease, at this report or another. The
    files are listed before the rows are read: what is put in place meanwhile is left alone.
    """
    found = files.stored()
    # a report that was claimed once only has nobody else who could have left something
    rows = Report.objects.filter(claims__gt=1).values_list("pk", "file", "token")
    kept = {pk: (file, token and files.name_of(pk, token)) for pk, file, token in rows}
    for name, pk in found.items():
        if pk in kept and name.removesuffix(".part") not in kept[pk]:
            files.remove(name)


def _publish(report: Report, token: UUID, **columns: Any) -> bool:
    """Mark the report ready and say so to the golfer, both or neither."""
    with transaction.atomic(durable=True):
        published = jobs.publish(Report, report.pk, token, reason="", **columns)
        if published:
            send(
                kind=MessageKind.REPORT_READY,
                to=report.enrolment.golfer.email,
                once_key=f"report_ready:{report.pk}",
                context={"link": reverse("report_download", args=[report.pk])},
                enrolment=report.enrolment,
            )
    return published


def _reason(error: Exception) -> str:
    if isinstance(error, OSError) and error.errno in (errno.ENOSPC, errno.EDQUOT):
        return "The disk is full, so the report could not be written. Make room, then ask again."
    if isinstance(error, PdfLibraryMissing):
        return str(error)
    return (
        f"The report could not be made ({type(error).__name__}). Ask for it again; "
        "if it stops again, the worker's log says more."
    )
