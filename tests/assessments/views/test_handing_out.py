"""The desk hands reports out, and whoever has an address fetches one."""

from collections.abc import Callable
from datetime import timedelta

import pytest
from django.core.files.storage import default_storage
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from assessments.actions.links import hand_out, sealed
from assessments.models import Bundle, Report, ReportLink
from school.models import Account, Golfer
from tests.assessments.factories import made_report
from tests.factories import EnrolmentFactory
from tests.house_signing import ONE_PAGE

pytestmark = pytest.mark.django_db
ClientOf = Callable[[Account | None], Client]


@pytest.fixture
def report() -> Report:
    return made_report(EnrolmentFactory.create(golfer__email="gail@example.org"), content=ONE_PAGE)


@pytest.fixture
def address(report: Report) -> str:
    link = hand_out(report)
    assert link is not None
    return reverse("report_by_link", args=[sealed(link)])


def page_of(client: Client, report: Report) -> str:
    return client.get(reverse("school_reports", args=[report.enrolment.school_id])).content.decode()


def test_looking_at_an_address_opens_nothing(client: Client, address: str) -> None:
    answer = client.get(address)
    assert answer.status_code == 200
    assert "Download the report" in answer.content.decode()
    assert ReportLink.objects.get().opened_at is None


def test_pressing_the_button_gives_the_file(client: Client, address: str) -> None:
    answer = client.post(address)
    assert b"".join(answer.streaming_content) == ONE_PAGE  # type: ignore[attr-defined]
    assert "no-store" in answer.headers["Cache-Control"]
    assert Report.objects.get().opened_at is not None


def test_an_ended_address_says_what_to_do(client: Client, address: str) -> None:
    ReportLink.objects.update(revoked_at=timezone.now())
    answer = client.get(address)
    assert answer.status_code == 410
    assert "sign in with a code" in answer.content.decode()
    assert client.post(address).headers["Location"] == address


def test_a_made_up_address_is_not_there(client: Client, address: str) -> None:
    assert client.get(reverse("report_by_link", args=["0" * 32 + ":seal"])).status_code == 404


def test_the_desk_sees_whether_it_was_opened(
    client_of: ClientOf, front_desk: Account, report: Report, address: str
) -> None:
    desk = client_of(front_desk)
    assert "not opened yet" in page_of(desk, report)
    client_of(None).post(address)
    page = page_of(desk, report)
    assert "not opened yet" not in page
    assert "gail@example.org" in page


def test_the_desk_ends_an_address_and_sends_a_new_one(
    client_of: ClientOf, front_desk: Account, report: Report, address: str
) -> None:
    desk = client_of(front_desk)
    desk.post(reverse("report_link_revoke", args=[ReportLink.objects.get().pk]))
    assert "address ended" in page_of(desk, report)
    desk.post(reverse("report_send", args=[report.pk]))
    assert ReportLink.objects.filter(revoked_at=None).count() == 1


def test_a_bundle_is_asked_for_watched_and_fetched(
    client_of: ClientOf, front_desk: Account, report: Report, work_in_place: None
) -> None:
    desk = client_of(front_desk)
    asked = reverse("bundle_ask", args=[report.enrolment.school_id, "archive"])
    desk.post(asked)
    bundle = Bundle.objects.get()
    assert bundle.state == "queued"
    assert "waiting for the worker" in page_of(desk, report)
    Bundle.objects.update(state="done", file=report.file, reports=1, finished_at=timezone.now())
    assert reverse("bundle_download", args=[bundle.pk]) in page_of(desk, report)
    answer = desk.get(reverse("bundle_download", args=[bundle.pk]))
    assert answer.headers["Content-Type"] == "application/zip"


def test_no_other_kinds_of_bundle(client_of: ClientOf, front_desk: Account, report: Report) -> None:
    asked = reverse("bundle_ask", args=[report.enrolment.school_id, "paper"])
    assert client_of(front_desk).post(asked).status_code == 404


def test_an_address_past_its_day_is_told_so(client: Client, address: str) -> None:
    past = timezone.now() - timedelta(days=1)
    ReportLink.objects.update(made_at=past - timedelta(days=1), expires_at=past)
    assert "It worked until" in client.get(address).content.decode()


def test_a_lost_file_is_said_in_words_and_opens_nothing(
    client: Client, report: Report, address: str
) -> None:
    default_storage.delete(report.file)
    answer = client.post(address)
    assert answer.status_code == 404
    assert "The front desk can have it made again." in answer.content.decode()
    assert Report.objects.get().opened_at is None


def test_the_golfer_is_told_on_their_page_that_the_file_is_lost(
    client_of: ClientOf, golfer: Account
) -> None:
    report = made_report(EnrolmentFactory.create(golfer=golfer.golfer))
    default_storage.delete(report.file)
    answer = client_of(golfer).post(reverse("report_fetch", args=[report.pk]), follow=True)
    assert "cannot be found" in answer.content.decode()


def test_an_address_that_ran_out_is_not_offered_to_be_ended(
    client_of: ClientOf, front_desk: Account, report: Report, address: str
) -> None:
    past = timezone.now() - timedelta(days=1)
    ReportLink.objects.update(made_at=past - timedelta(days=1), expires_at=past)
    page = page_of(client_of(front_desk), report)
    assert f"address ended {past:%-d}" in page
    assert "End the address" not in page


def test_the_desk_is_told_when_the_e_mail_is_another_by_now(
    client_of: ClientOf, front_desk: Account, report: Report, address: str
) -> None:
    desk = client_of(front_desk)
    assert "e-mail changed since" not in page_of(desk, report)
    Golfer.objects.update(email="gail@example.com")
    assert "e-mail changed since" in page_of(desk, report)
    desk.post(reverse("report_send", args=[report.pk]))
    assert "e-mail changed since" not in page_of(desk, report)


def test_instructors_see_that_it_went_and_was_opened_but_no_e_mail(
    client_of: ClientOf, report: Report, address: str
) -> None:
    page = page_of(client_of(report.enrolment.school.lead_instructor.account), report)
    assert "not opened yet" in page
    assert "gail@example.org" not in page


def test_what_never_went_out_is_sent_for_the_first_time(
    client_of: ClientOf, front_desk: Account, report: Report
) -> None:
    page = page_of(client_of(front_desk), report)
    assert "not sent by e-mail" in page
    assert "Send by e-mail" in page


def test_a_bundle_older_than_a_report_says_so(
    client_of: ClientOf, front_desk: Account, report: Report
) -> None:
    desk, school = client_of(front_desk), report.enrolment.school
    bundle = Bundle.objects.create(
        school=school, kind="print", state="done", file="prints/a.pdf", reports=1
    )
    Bundle.objects.filter(pk=bundle.pk).update(finished_at=timezone.now())
    assert "reports have changed since" not in page_of(desk, report)
    Report.objects.update(finished_at=timezone.now())
    assert "reports have changed since" in page_of(desk, report)


def test_programs_that_ask_only_whether_it_is_there_are_answered(
    client: Client, address: str
) -> None:
    assert client.head(address).status_code == 200
    assert ReportLink.objects.get().opened_at is None
