"""Asking for reports, and making one: claim, gather, compose, render, put in place, publish."""

from __future__ import annotations

import hashlib
from typing import Any
from uuid import UUID

from django.db import transaction

from assessments.actions.links import hand_out
from assessments.actions.pages import do_if_due
from assessments.actions.recording import lock_attendee
from assessments.models import Report, Signature
from assessments.queries.signing import newest_signatures, standing_signatures
from assessments.reports import files
from assessments.reports.compose import compose
from assessments.reports.errors import ReportAtWork, ReportNotDue, ReportStopped, ReportUnsigned
from assessments.reports.gather import Edition
from assessments.reports.languages import in_language_of, read_for, said_by
from assessments.reports.render import render
from school.actions import jobs
from school.actions.audit import note
from school.actions.seats import lock_school
from school.errors import NotEnrolled
from school.models import Account, Enrolment, School


def queue_reports(*, school: School, actor: Account | None) -> list[Report]:
    """Ask for the report of every seated attendee whose signature stands and has no report yet.

    A signature under what has changed since does not count: that report waits to be signed again.
    """
    with transaction.atomic(savepoint=False):
        seated = list(school.enrolments.filter(state=Enrolment.State.SEATED))
        made = Report.objects.filter(enrolment__in=seated, is_current=True)
        used = set(made.values_list("signature", flat=True))
        signed = standing_signatures(seated)
        reports = [
            ask_for(one, signature=signed[one.pk], actor=actor)
            for one in seated
            if one.pk in signed and signed[one.pk].pk not in used
        ]
        note(actor=actor, verb="queue_reports", subject=school, count=len(reports))
    return reports


def queue_unsigned(*, enrolment: Enrolment, actor: Account) -> Report:
    """Ask for one attendee's report though nobody signed it; with the signature if one stands.

    Raises NotEnrolled without a seat, ReportNotDue before the school is closed, NothingMeasured if
    nothing was recorded, ReportAtWork if it is being made already, or was made and says the same.
    """
    with transaction.atomic(durable=True):
        school = lock_school(enrolment.school)
        attendee = lock_attendee(enrolment)
        if not attendee.is_seated:
            raise NotEnrolled(f"{attendee.golfer} has no seat in {school} any more.")
        if school.state != School.State.CLOSED:
            raise ReportNotDue("Reports are sent once the school is closed. Close it first.")
        said = said_by(attendee)
        signature = standing_signatures([attendee]).get(attendee.pk)
        current = attendee.reports.filter(is_current=True, signature=signature).first()
        if current is not None and not current.is_finished:
            raise ReportAtWork("This report is being made already.")
        if current is not None and current.state == Report.State.DONE:
            _refuse_if_same(current, said)
        report = ask_for(attendee, signature=signature, actor=actor)
        although = "" if signature else "nobody had signed it"
        note(actor=actor, verb="queue_unsigned", subject=report, although=although)
    return report


def _refuse_if_same(report: Report, said: str) -> None:
    """A page that somebody left open offers what a colleague has done since."""
    if report.said_sha256 == said:
        raise ReportAtWork(
            f"Version {report.version} was made meanwhile and says the same. Send that one again."
        )


def make_report_again(*, report: Report, actor: Account) -> Report:
    """Make a finished report once more: a new version takes its place, a stopped one tries again.

    Raises
    ------
    ReportAtWork
        If the report is not finished, or a newer version exists.
    ReportUnsigned
        If it is ready and nobody has signed what it would say now, unless nobody had signed it
        before and it says the same.
    """
    with transaction.atomic(durable=True):
        attendee = lock_attendee(report.enrolment)  # as signing does, so that neither meets half
        held = Report.objects.select_for_update().get(pk=report.pk)
        if not held.is_current:
            raise ReportAtWork("A newer version of this report has been asked for already.")
        if not held.is_finished:
            raise ReportAtWork("This report is being made already.")
        note(actor=actor, verb="make_report_again", subject=held)
        if jobs.requeue_parked(held):
            held.refresh_from_db()
            return held
        signature = standing_signatures([attendee]).get(attendee.pk)
        is_same = held.signature is None and held.said_sha256 == said_by(attendee)
        if signature is None and not is_same:
            raise ReportUnsigned(
                "Nobody has signed what this report would say now. "
                "Have it signed, or send it without a signature."
            )
        return ask_for(attendee, signature=signature, actor=actor)


def ask_for(attendee: Enrolment, *, signature: Signature | None, actor: Account | None) -> Report:
    """Queue the report of an attendee, signed or not; joins the transaction.

    A report that was made stays in the record and a new version takes its place. One that was not
    made yet, or could not be, is begun afresh under the same number: nobody ever had it.
    """
    current = Report.objects.select_for_update().filter(enrolment=attendee, is_current=True).first()
    if current is not None and current.state != Report.State.DONE:
        jobs.start_afresh(current, signature=signature, requested_by=actor)
        return current
    version = 1
    if current is not None:
        version = current.version + 1
        current.is_current = False
        current.save(update_fields=["is_current"])
    fresh = Report.objects.create(
        enrolment=attendee, version=version, signature=signature, requested_by=actor
    )
    jobs.wake_on_commit(fresh)
    return fresh


def render_report(pk: int) -> bool:
    """Do the job if it is due and free; True if this call published the report."""
    return do_if_due(Report, pk, files.REPORTS, _make)


def _make(pk: int, token: UUID) -> bool:
    report = Report.objects.select_related(
        "enrolment__golfer", "enrolment__school", "signature__signed_by"
    ).get(pk=pk)
    if not report.enrolment.is_seated:
        raise ReportStopped("The attendee no longer has a seat in this school.")
    contents, said = read_for(report.enrolment, _edition(report))
    if report.signature is not None:
        _refuse_unless_signed(report, report.signature, said)
    with in_language_of(report.enrolment.golfer):
        pdf = render(compose(contents))
    name = files.REPORTS.name_of(pk, token)
    files.put(name, pdf.content)
    digest = hashlib.sha256(pdf.content).hexdigest()
    columns = {"file": name, "content_sha256": digest, "said_sha256": said, "pages": pdf.pages}
    return _publish(report, token, **columns)


def _edition(report: Report) -> Edition:
    zone, signature = report.enrolment.school.zone, report.signature
    before = report.enrolment.reports.filter(version__lt=report.version, state=Report.State.DONE)
    made_at = before.order_by("-version").values_list("finished_at", flat=True).first()
    return Edition(
        version=report.version,
        replaces=made_at.astimezone(zone).date() if made_at else None,
        signed_by=str(signature.signed_by) if signature else "",
        signed_on=signature.signed_at.astimezone(zone).date() if signature else None,
    )


def _refuse_unless_signed(report: Report, signature: Signature, said: str) -> None:
    """Between asking and making, something may have been corrected or signed anew."""
    newest = newest_signatures([report.enrolment]).get(report.enrolment_id)
    if newest != signature or signature.content_sha256 != said:
        raise ReportStopped(
            f"What was recorded has changed since {signature.signed_by} signed this report. "
            "It has to be looked at and signed again."
        )


def _publish(report: Report, token: UUID, **columns: Any) -> bool:
    """Mark the report ready and say so to the golfer, both or neither."""
    with transaction.atomic(durable=True):
        published = jobs.publish(Report, report.pk, token, reason="", **columns)
        if published:
            hand_out(report)
    return published
