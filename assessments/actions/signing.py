"""Looking at a report before it is made, and signing what it says."""

from __future__ import annotations

from uuid import UUID

from django.db import transaction

from assessments.access import may_sign
from assessments.actions.pages import do_if_due
from assessments.actions.recording import lock_attendee, refuse_unless_taught
from assessments.actions.reports import ask_for
from assessments.errors import NotTaughtHere
from assessments.models import Preview, Report, Signature
from assessments.queries.signing import newest_signatures
from assessments.reports import files
from assessments.reports.compose import compose
from assessments.reports.errors import ReportChanged, ReportStopped
from assessments.reports.languages import in_language_of, read_for, said_by
from assessments.reports.render import render
from school.actions import jobs
from school.actions.audit import note
from school.actions.seats import lock_school
from school.models import Account, Enrolment, School


def ask_preview(*, enrolment: Enrolment, actor: Account) -> Preview:
    """Have the pages made that an attendee's report would have now.

    There is one row an attendee. Asked for again, it starts afresh: who is at it has read what may
    have changed since.

    Raises NotEnrolled or NotTaughtHere.
    """
    with transaction.atomic(durable=True):
        attendee = lock_attendee(enrolment)
        _refuse_unless_may_sign(attendee, actor)
        preview = Preview.objects.filter(enrolment=attendee).first()
        if preview is None:
            preview = Preview.objects.create(enrolment=attendee, requested_by=actor)
            jobs.wake_on_commit(preview)
        else:
            jobs.start_afresh(preview, requested_by=actor)
        note(actor=actor, verb="ask_preview", subject=preview)
    return preview


def render_preview(pk: int) -> bool:
    """Do the job if it is due and free; True if this call published the pages."""
    return do_if_due(Preview, pk, files.PREVIEWS, _make)


def _make(pk: int, token: UUID) -> bool:
    preview = Preview.objects.select_related("enrolment__golfer").get(pk=pk)
    if not preview.enrolment.is_seated:
        raise ReportStopped("The attendee no longer has a seat in this school.")
    contents, said = read_for(preview.enrolment)
    with in_language_of(preview.enrolment.golfer):
        pdf = render(compose(contents))
    name = files.PREVIEWS.name_of(pk, token)
    files.put(name, pdf.content)
    return jobs.publish(
        Preview, pk, token, reason="", file=name, content_sha256=said, pages=pdf.pages
    )


def sign_report(*, enrolment: Enrolment, actor: Account, content_sha256: str) -> Signature:
    """Put the actor's name under what the report says, of which `content_sha256` was looked at.

    In a closed school the report is asked for at once, in an open one when it closes. What is
    signed already is signed once.

    Raises NotEnrolled, NotTaughtHere, NothingMeasured, and ReportChanged if the report would now
    say something else than was looked at.
    """
    with transaction.atomic(durable=True):
        school = lock_school(enrolment.school)
        attendee = lock_attendee(enrolment)
        _refuse_unless_may_sign(attendee, actor)
        if said_by(attendee) != content_sha256:
            raise ReportChanged(
                "Something was recorded or corrected since these pages were made. "
                "Look at them again, then sign."
            )
        signature = newest_signatures([attendee]).get(attendee.pk)
        if signature is None or signature.content_sha256 != content_sha256:
            signature = Signature.objects.create(
                enrolment=attendee, signed_by=actor, content_sha256=content_sha256
            )
            note(actor=actor, verb="sign_report", subject=attendee)
        is_asked_for = Report.objects.filter(is_current=True, signature=signature).exists()
        if school.state == School.State.CLOSED and not is_asked_for:
            ask_for(attendee, signature=signature, actor=actor)
    return signature


def _refuse_unless_may_sign(attendee: Enrolment, account: Account) -> None:
    """Who is at the front desk sees every school, and speaks for those alone that they taught."""
    refuse_unless_taught(attendee, account)
    if not may_sign(account, attendee.school):
        raise NotTaughtHere(f"{account} does not teach in {attendee.school}, so cannot sign.")
