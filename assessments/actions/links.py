"""Handing a report out by an address that ends, can be taken back, and shows if it was used."""

from __future__ import annotations

from datetime import timedelta
from uuid import UUID

from django.core.files import File
from django.core.files.storage import default_storage
from django.core.signing import BadSignature, Signer
from django.db import transaction
from django.db.models import QuerySet
from django.urls import reverse
from django.utils import timezone

from assessments.models import Report, ReportLink
from assessments.queries.reports import address_of
from assessments.reports.errors import FileGone, LinkEnded, NowhereToSend, ReportNotDue
from school.actions.audit import note
from school.actions.messages import send
from school.models import Account, Enrolment, MessageKind

LINK_DAYS = 90

_signer = Signer(salt="assessments.report_link")


def sealed(link: ReportLink) -> str:
    """What the address carries: the key, and our seal on it."""
    return _signer.sign(link.pk.hex)


def link_of(text: str) -> ReportLink | None:
    """The link of an address, ended or not; None for a made-up one."""
    try:
        key = UUID(_signer.unsign(text))
    except (BadSignature, ValueError):
        return None
    found = ReportLink.objects.select_related("report__enrolment__golfer")
    return found.select_related("report__enrolment__school").filter(pk=key).first()


def hand_out(report: Report) -> ReportLink | None:
    """Write to the golfer that the report is ready; joins the transaction that made it so.

    Addresses of earlier versions end. None if there is nobody to write to.
    """
    with transaction.atomic(savepoint=False):
        to = address_of(report.enrolment)
        _working(report.enrolment).update(revoked_at=timezone.now())
        if not to:
            return None
        ends = timezone.now() + timedelta(days=LINK_DAYS)
        link = ReportLink.objects.create(report=report, sent_to=to, expires_at=ends)
        send(
            kind=MessageKind.REPORT_READY,
            to=report.enrolment.golfer.email,
            once_key=f"report_ready:{link.pk}",
            context={
                "link": reverse("report_by_link", args=[sealed(link)]),
                "link_ends": ends.astimezone(report.enrolment.school.zone).date(),
            },
            enrolment=report.enrolment,
        )
    return link


def send_report(*, report: Report, actor: Account) -> ReportLink:
    """Send a report that was made once more, under a new address; the old one ends.

    Raises ReportNotDue unless it is the newest and was made, NowhereToSend without an e-mail.
    """
    with transaction.atomic(durable=True):
        held = Report.objects.select_for_update().get(pk=report.pk)
        if not held.is_current or held.state != Report.State.DONE:
            raise ReportNotDue("Only the newest version of a report is sent, once it is made.")
        link = hand_out(report)
        if link is None:
            golfer = report.enrolment.golfer
            raise NowhereToSend(f"There is no e-mail of {golfer}. Hand the report over instead.")
        note(actor=actor, verb="send_report", subject=report, to=link.sent_to)
    return link


def revoke_link(*, link: ReportLink, actor: Account) -> None:
    """End an address before its time; revoking it twice changes nothing."""
    with transaction.atomic(durable=True):
        working = ReportLink.objects.filter(pk=link.pk, revoked_at__isnull=True)
        if working.update(revoked_at=timezone.now()):
            note(actor=actor, verb="revoke_link", subject=link.report, to=link.sent_to)


def open_link(*, link: ReportLink) -> File[bytes]:
    """The report's file; notes that it was fetched by this address.

    Raises LinkEnded if the address has ended or was taken back, FileGone.
    """
    with transaction.atomic(durable=True):
        held = ReportLink.objects.select_for_update().get(pk=link.pk)
        if held.has_ended:
            raise LinkEnded("This address has ended.")
        file = _file_of(link.report)
        if held.opened_at is None:
            held.opened_at = timezone.now()
            held.save(update_fields=["opened_at"])
        _note_opened(link.report)
    return file


def read_report(*, report: Report) -> File[bytes]:
    """The file for the golfer who asks for it; notes that it was opened. Raises FileGone."""
    with transaction.atomic(durable=True):
        file = _file_of(report)
        _note_opened(report)
    return file


def _file_of(report: Report) -> File[bytes]:
    """Opened before anything is noted: what cannot be given was not opened."""
    try:
        return default_storage.open(report.file)
    except FileNotFoundError as error:
        raise FileGone(
            "The file of this report cannot be found. The front desk can have it made again."
        ) from error


def _note_opened(report: Report) -> None:
    unopened = Report.objects.filter(pk=report.pk, opened_at__isnull=True)
    unopened.update(opened_at=timezone.now())


def _working(enrolment: Enrolment) -> QuerySet[ReportLink]:
    return ReportLink.objects.filter(report__enrolment=enrolment, revoked_at__isnull=True)
