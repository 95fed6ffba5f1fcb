"""The page on which an instructor looks at a report and signs it."""

from collections.abc import Callable

import pytest
from django.core.files.storage import default_storage
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from assessments.models import Preview, Report, Signature
from assessments.queries.signing import said_now
from assessments.reports import files
from school.models import Account, Enrolment, School, Staff
from tests.assessments.factories import EntryFactory, attendee_of, session_at
from tests.assessments.reports.scene import signed
from tests.house_signing import ONE_PAGE

pytestmark = pytest.mark.django_db
ClientOf = Callable[[Account | None], Client]


@pytest.fixture
def attendee(instructor: Account) -> Enrolment:
    found = attendee_of(session_at(instructor, "coach_paragraph", "exit"))
    EntryFactory.create(enrolment=found)
    return found


@pytest.fixture
def client(instructor: Account, client_of: ClientOf) -> Client:
    return client_of(instructor)


def address(name: str, attendee: Enrolment) -> str:
    return reverse(name, args=[attendee.school_id, attendee.pk])


def page(client: Client, attendee: Enrolment) -> str:
    words = client.get(address("report_sign", attendee)).content.decode()
    return " ".join(words.split())


def shown(attendee: Enrolment) -> Preview:
    """Pages that are ready and say what a report would say now."""
    files.put("previews/made.pdf", ONE_PAGE)
    return Preview.objects.create(
        enrolment=attendee,
        state="done",
        file="previews/made.pdf",
        content_sha256=said_now([attendee])[attendee.pk],
        pages=1,
    )


def write(attendee: Enrolment) -> None:
    EntryFactory.create(
        enrolment=attendee, kind="coach_paragraph", phase="exit", payload={"text": "Well struck."}
    )


def test_first_it_offers_to_make_the_pages(client: Client, attendee: Enrolment) -> None:
    words = page(client, attendee)
    assert "Show the pages" in words
    assert "Coach’s paragraph" in words
    assert "Edit the coach’s paragraph" in words
    assert "Sign the report" not in words
    assert not Preview.objects.exists()


def test_asking_for_the_pages_shows_that_they_are_being_made(
    client: Client, attendee: Enrolment
) -> None:
    client.post(address("report_preview", attendee))
    words = page(client, attendee)
    assert "You can leave this page" in words
    assert 'hx-select="#pages"' in words


def test_the_pages_stand_one_under_another_over_the_button(
    client: Client, attendee: Enrolment
) -> None:
    preview = shown(attendee)
    words = page(client, attendee)
    assert 'alt="Page 1 of 1"' in words
    assert reverse("preview_file", args=[preview.pk]) in words
    assert words.index("Page 1 of 1") < words.index("Sign the report")
    assert "By signing, you, Ines Instructor, say" in words
    assert "hx-get" not in words


def test_what_changed_since_is_looked_at_again_before_it_is_signed(
    client: Client, attendee: Enrolment
) -> None:
    shown(attendee)
    write(attendee)
    words = page(client, attendee)
    assert "Changed since you looked" in words
    assert "Show the pages as they are now" in words
    assert "Sign the report" not in words


def test_what_stopped_the_pages_is_said(client: Client, attendee: Enrolment) -> None:
    Preview.objects.create(enrolment=attendee, state="parked", reason="The exit still is gone.")
    assert "The exit still is gone." in page(client, attendee)


def test_nothing_recorded_is_said(client: Client, attendee: Enrolment) -> None:
    attendee.entries.all().delete()
    words = page(client, attendee)
    assert "Nothing was recorded" in words
    assert "Show the pages" not in words


def test_signing_says_so_and_takes_the_button_away(client: Client, attendee: Enrolment) -> None:
    sent = {"content_sha256": shown(attendee).content_sha256}
    answer = client.post(address("report_sign", attendee), sent, follow=True)
    words = " ".join(answer.content.decode().split())
    assert "You signed the report of" in words
    assert "by Ines Instructor" in words
    assert "made when the school closes" in words
    assert "Sign the report" not in words


def test_signing_what_was_not_looked_at_is_refused_with_words(
    client: Client, attendee: Enrolment
) -> None:
    sent = {"content_sha256": shown(attendee).content_sha256}
    write(attendee)
    answer = client.post(address("report_sign", attendee), sent, follow=True)
    assert "Look at them again, then sign." in answer.content.decode()
    assert not Signature.objects.exists()


def test_what_became_of_a_signed_report_is_said(client: Client, attendee: Enrolment) -> None:
    signed(attendee)
    School.objects.update(state="closed", closed_at=timezone.now())
    report = Report.objects.create(enrolment=attendee, signature=attendee.signatures.get())
    words = page(client, attendee)
    assert "The report is being made." in words
    assert 'hx-select="#stands"' in words
    done = {"file": "reports/a.pdf", "content_sha256": "0" * 64, "pages": 4}
    Report.objects.update(state="done", finished_at=timezone.now(), **done)
    assert f"{reverse('report_download', args=[report.pk])}" in page(client, attendee)
    write(attendee)
    assert "Changed since it was signed" in page(client, attendee)
    assert "stands until the report is signed again" in page(client, attendee)


def test_a_report_that_went_unsigned_may_be_signed_yet(client: Client, attendee: Enrolment) -> None:
    done = {"file": "reports/a.pdf", "content_sha256": "0" * 64, "pages": 4}
    Report.objects.create(enrolment=attendee, state="done", finished_at=timezone.now(), **done)
    assert "Sent without a signature" in page(client, attendee)


def test_a_page_is_a_picture_that_the_browser_asks_about_each_time(
    client: Client, attendee: Enrolment
) -> None:
    at = reverse("preview_page", args=[shown(attendee).pk, 1])
    answer = client.get(at)
    assert answer.content.startswith(b"\x89PNG")
    assert answer.headers["Cache-Control"] == "private, no-cache"
    assert client.get(at, headers={"if-none-match": answer.headers["ETag"]}).status_code == 304
    Preview.objects.update(file="previews/other.pdf")
    assert client.get(at, headers={"if-none-match": answer.headers["ETag"]}).status_code == 404


def test_a_page_that_is_not_there_is_not_found(client: Client, attendee: Enrolment) -> None:
    preview = shown(attendee)
    for number in (0, 2):
        at = reverse("preview_page", args=[preview.pk, number])
        assert client.get(at).status_code == 404
    default_storage.delete(preview.file)
    for name, at_page in (("preview_page", [1]), ("preview_file", [])):
        at = reverse(name, args=[preview.pk, *at_page])
        assert client.get(at).status_code == 404


def test_pages_being_made_anew_are_not_shown(client: Client, attendee: Enrolment) -> None:
    preview = shown(attendee)
    Preview.objects.update(state="queued")
    assert client.get(reverse("preview_file", args=[preview.pk])).status_code == 404


@pytest.mark.parametrize("name", ["report_sign", "report_preview"])
def test_another_school_opens_nothing(
    name: str, attendee: Enrolment, other_instructor: Account, client_of: ClientOf
) -> None:
    session = session_at(other_instructor, "coach_paragraph")
    own, other = attendee_of(session), address(name, attendee)
    crossed = reverse(name, args=[own.school_id, attendee.pk])
    for at in (other, crossed):
        assert client_of(other_instructor).post(at).status_code == 404


def test_who_does_both_jobs_opens_only_what_they_taught(
    attendee: Enrolment, other_instructor: Account, client_of: ClientOf
) -> None:
    Staff.objects.filter(account=other_instructor).update(at_front_desk=True)
    both, preview = client_of(other_instructor), shown(attendee)
    for at in (address("report_sign", attendee), reverse("preview_file", args=[preview.pk])):
        assert both.get(at).status_code == 404
    list_of_reports = both.get(reverse("school_reports", args=[attendee.school_id]))
    assert "Look and sign" not in list_of_reports.content.decode()


def test_who_presses_second_is_told_whose_name_stands(
    client: Client, attendee: Enrolment, client_of: ClientOf
) -> None:
    lead = attendee.school.lead_instructor.account
    sent = {"content_sha256": shown(attendee).content_sha256}
    client_of(lead).post(address("report_sign", attendee), sent)
    answer = client.post(address("report_sign", attendee), sent, follow=True)
    assert f"{lead} had signed the report of" in answer.content.decode()
    assert "You signed" not in answer.content.decode()


def test_who_signed_sees_whether_the_golfer_opened_it(client: Client, attendee: Enrolment) -> None:
    signed(attendee)
    done = {"file": "reports/a.pdf", "content_sha256": "0" * 64, "pages": 4, "state": "done"}
    signature, now = attendee.signatures.get(), timezone.now()
    Report.objects.create(enrolment=attendee, signature=signature, finished_at=now, **done)
    assert "has not opened it yet" in page(client, attendee)
    Report.objects.update(opened_at=now)
    assert "The golfer opened it on" in page(client, attendee)


def test_the_plan_and_the_findings_are_at_hand(client: Client, attendee: Enrolment) -> None:
    words = page(client, attendee)
    for name in ("practice_plan", "attendee_findings"):
        assert address(name, attendee) in words
    findings = client.get(address("attendee_findings", attendee)).content.decode()
    assert address("report_sign", attendee) in findings
