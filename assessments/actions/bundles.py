"""Every report of a school in one file, put together by the worker."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from uuid import UUID

from django.core.files.storage import default_storage
from django.db import transaction
from django.db.models import QuerySet

from assessments.actions.pages import do_if_due
from assessments.models import Bundle, Report
from assessments.reports import files
from assessments.reports.binding import Bound, bind, pack
from assessments.reports.errors import BundleRefused, ReportStopped
from school.actions import jobs
from school.actions.audit import note
from school.actions.seats import lock_school
from school.models import Account, Enrolment, School

WAYS = {Bundle.Kind.PRINT: (bind, files.PRINTS), Bundle.Kind.ARCHIVE: (pack, files.ARCHIVES)}


def ask_bundle(*, school: School, kind: str, actor: Account) -> Bundle:
    """Ask for all current reports as one file; one that was made before goes.

    Raises BundleRefused if no report is made yet, or if it is being put together.
    """
    with transaction.atomic(durable=True):
        lock_school(school)
        if not reports_of(school).exists():
            raise BundleRefused("No report of this school is made yet.")
        known = Bundle.objects.filter(school=school, kind=kind, is_current=True).first()
        if known is not None and not known.is_finished:
            raise BundleRefused("It is being put together already.")
        if known is not None:
            known.is_current = False
            known.save(update_fields=["is_current"])
            transaction.on_commit(partial(_throw_away, known.file))
        fresh = Bundle.objects.create(school=school, kind=kind, requested_by=actor)
        note(actor=actor, verb="ask_bundle", subject=school, what=fresh.get_kind_display())
        jobs.wake_on_commit(fresh)
    return fresh


def make_bundle(pk: int) -> bool:
    """Do the job if it is due and free; True if this call published the file."""
    _, shelf = WAYS[Bundle.Kind(Bundle.objects.values_list("kind", flat=True).get(pk=pk))]
    return do_if_due(Bundle, pk, shelf, _make)


def reports_of(school: School) -> QuerySet[Report]:
    """The newest version of every seated attendee whose report is made, by seat."""
    return (
        Report.objects.filter(
            enrolment__school=school,
            enrolment__state=Enrolment.State.SEATED,
            is_current=True,
            state=Report.State.DONE,
        )
        .select_related("enrolment__golfer")
        .order_by("enrolment__seat")
    )


def _make(pk: int, token: UUID) -> bool:
    bundle = Bundle.objects.select_related("school").get(pk=pk)
    write, shelf = WAYS[Bundle.Kind(bundle.kind)]
    found = [_bound(report) for report in reports_of(bundle.school)]
    if not found:
        raise ReportStopped("No report of this school is made any more.")
    name = shelf.name_of(pk, token)
    with files.placed(name) as file:
        write(found, file)
    return jobs.publish(Bundle, pk, token, reason="", file=name, reports=len(found))


def _bound(report: Report) -> Bound:
    golfer, path = report.enrolment.golfer.full_name, Path(default_storage.path(report.file))
    if not path.exists():
        raise ReportStopped(f"The file of {golfer}’s report is gone. Have it made again first.")
    return Bound(golfer, report.enrolment.seat or 0, path)


def _throw_away(name: str) -> None:
    if name:
        files.remove(name)
