"""Reports are handed out under addresses that end."""

from datetime import timedelta

import pytest
from django.core.files.storage import default_storage
from django.utils import timezone

from assessments.actions.links import (
    LINK_DAYS,
    hand_out,
    link_of,
    open_link,
    read_report,
    revoke_link,
    sealed,
    send_report,
)
from assessments.models import Report, ReportLink
from assessments.reports.errors import FileGone, LinkEnded, NowhereToSend, ReportNotDue
from school.models import Account, AuditEntry, Enrolment, Message
from tests.assessments.factories import made_report
from tests.factories import EnrolmentFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def report() -> Report:
    return made_report(EnrolmentFactory.create(golfer__email="gail@example.org"))


def link_for(report: Report) -> ReportLink:
    link = hand_out(report)
    assert link is not None
    return link


def test_the_golfer_is_sent_an_address_that_ends(report: Report) -> None:
    link = link_for(report)
    assert link.expires_at - link.made_at > timedelta(days=LINK_DAYS - 1)
    message = Message.objects.get()
    assert (message.kind, message.to) == ("report_ready", "gail@example.org")
    assert f"/r/{sealed(link)}/" in message.body


def test_an_address_carries_its_key_under_our_seal(report: Report) -> None:
    link = link_for(report)
    assert link_of(sealed(link)) == link
    assert link_of(link.pk.hex) is None
    assert link_of(f"{link.pk.hex}:made-up") is None


def test_whose_e_mail_is_not_known_gets_none() -> None:
    report = made_report(EnrolmentFactory.create(golfer__email=""))
    assert hand_out(report) is None
    assert not Message.objects.exists()


def test_a_minor_without_e_mail_is_reached_through_the_guardian() -> None:
    born = timezone.now().date() - timedelta(days=12 * 365)
    attendee: Enrolment = EnrolmentFactory.create(
        golfer__email="", golfer__guardian_email="gil@example.org", golfer__birth_date=born
    )
    assert link_for(made_report(attendee)).sent_to == "gil@example.org"
    assert Message.objects.get().to == "gil@example.org"


def test_sending_again_ends_the_old_address(report: Report, front_desk: Account) -> None:
    old = link_for(report)
    new = send_report(report=report, actor=front_desk)
    old.refresh_from_db()
    assert old.revoked_at is not None
    assert new.revoked_at is None
    assert Message.objects.count() == 2


def test_a_newer_version_ends_the_address_of_the_older(report: Report) -> None:
    old = link_for(report)
    Report.objects.filter(pk=report.pk).update(is_current=False)
    link_for(made_report(report.enrolment, version=2))
    with pytest.raises(LinkEnded):
        open_link(link=old)


@pytest.mark.parametrize("columns", [{"is_current": False}, {"state": "queued"}])
def test_only_the_newest_report_is_sent_once_made(
    columns: dict[str, object], report: Report, front_desk: Account
) -> None:
    Report.objects.filter(pk=report.pk).update(**columns)
    with pytest.raises(ReportNotDue):
        send_report(report=report, actor=front_desk)


def test_without_an_e_mail_the_desk_is_told(front_desk: Account) -> None:
    report = made_report(EnrolmentFactory.create(golfer__email=""))
    with pytest.raises(NowhereToSend, match="no e-mail"):
        send_report(report=report, actor=front_desk)


def test_opening_is_noted_once_on_link_and_report(report: Report) -> None:
    link = link_for(report)
    assert open_link(link=link).read() == b"%PDF-"
    first = ReportLink.objects.get().opened_at
    open_link(link=link)
    report.refresh_from_db()
    assert ReportLink.objects.get().opened_at == first
    assert report.opened_at is not None


def test_an_address_past_its_day_opens_nothing(report: Report) -> None:
    link = link_for(report)
    past = timezone.now() - timedelta(seconds=1)
    ReportLink.objects.update(made_at=past - timedelta(days=1), expires_at=past)
    with pytest.raises(LinkEnded):
        open_link(link=link)
    report.refresh_from_db()
    assert report.opened_at is None


def test_taking_back_is_noted_once(report: Report, front_desk: Account) -> None:
    link = link_for(report)
    revoke_link(link=link, actor=front_desk)
    revoke_link(link=link, actor=front_desk)
    assert AuditEntry.objects.filter(verb="revoke_link").count() == 1
    with pytest.raises(LinkEnded):
        open_link(link=link)


def test_the_golfer_who_signs_in_and_fetches_it_has_opened_it(report: Report) -> None:
    assert read_report(report=report).read() == b"%PDF-"
    report.refresh_from_db()
    assert report.opened_at is not None


def test_what_cannot_be_given_was_not_opened(report: Report) -> None:
    link = link_for(report)
    default_storage.delete(report.file)
    with pytest.raises(FileGone, match="made again"):
        open_link(link=link)
    with pytest.raises(FileGone):
        read_report(report=report)
    report.refresh_from_db()
    assert (report.opened_at, ReportLink.objects.get().opened_at) == (None, None)
