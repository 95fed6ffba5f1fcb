"""Looking before signing, and signing: who may, what is signed, and what it leads to."""

from collections.abc import Callable
from contextlib import AbstractContextManager
from pathlib import Path
from typing import Any

import pytest
from django.core.files.storage import default_storage
from django.utils import timezone

from assessments.actions import signing as action
from assessments.actions.signing import ask_preview, render_preview, sign_report
from assessments.errors import NotTaughtHere
from assessments.models import Preview, Report, Signature
from assessments.queries.signing import said_now, standing_signatures
from assessments.reports.errors import NothingMeasured, ReportChanged
from assessments.reports.files import PREVIEWS
from school.actions import jobs
from school.errors import NotEnrolled
from school.models import Account, Enrolment, School, Staff
from school.printing import Pdf
from tests.assessments.factories import EntryFactory, attendee_of, session_at

pytestmark = pytest.mark.django_db

Capture = Callable[..., AbstractContextManager[list[Callable[[], object]]]]


@pytest.fixture
def attendee(instructor: Account) -> Enrolment:
    """Of whom putts were recorded, in an open school that the instructor teaches in."""
    found = attendee_of(session_at(instructor, "coach_paragraph", "exit"))
    EntryFactory.create(enrolment=found)
    return found


@pytest.fixture
def press(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(action, "compose", lambda contents: contents)
    monkeypatch.setattr(action, "render", lambda composed: Pdf(b"%PDF-1.7 pages", 5))


def write(attendee: Enrolment, text: str = "Well struck.") -> None:
    EntryFactory.create(
        enrolment=attendee, kind="coach_paragraph", phase="exit", payload={"text": text}
    )


def said(attendee: Enrolment) -> str:
    return said_now([attendee])[attendee.pk]


def sign(attendee: Enrolment, actor: Account) -> Signature:
    return sign_report(enrolment=attendee, actor=actor, content_sha256=said(attendee))


def close(attendee: Enrolment) -> None:
    School.objects.filter(pk=attendee.school_id).update(state="closed", closed_at=timezone.now())


def previews_left() -> list[str]:
    return sorted(path.name for path in Path(default_storage.path(PREVIEWS.folder)).glob("*"))


def test_asking_wakes_the_worker(
    attendee: Enrolment, instructor: Account, django_capture_on_commit_callbacks: Capture
) -> None:
    with django_capture_on_commit_callbacks() as callbacks:
        preview = ask_preview(enrolment=attendee, actor=instructor)
    assert (preview.state, len(callbacks)) == ("queued", 1)


def test_the_pages_are_put_in_place_with_what_they_say(
    attendee: Enrolment, instructor: Account, press: None
) -> None:
    preview = ask_preview(enrolment=attendee, actor=instructor)
    assert render_preview(preview.pk)
    preview.refresh_from_db()
    assert (preview.state, preview.pages, preview.content_sha256) == ("done", 5, said(attendee))
    assert default_storage.open(preview.file).read() == b"%PDF-1.7 pages"


def test_newer_pages_take_the_place_of_the_older(
    attendee: Enrolment, instructor: Account, press: None
) -> None:
    for _ in range(2):
        preview = ask_preview(enrolment=attendee, actor=instructor)
        assert render_preview(preview.pk)
    preview.refresh_from_db()
    assert Preview.objects.count() == 1
    assert previews_left() == [Path(preview.file).name]


def test_who_is_at_work_on_older_pages_publishes_nothing(
    attendee: Enrolment, instructor: Account, press: None
) -> None:
    preview = ask_preview(enrolment=attendee, actor=instructor)
    slow = jobs.claim(Preview, preview.pk)
    assert slow
    ask_preview(enrolment=attendee, actor=instructor)
    assert not jobs.publish(Preview, preview.pk, slow, file="x", content_sha256="x", pages=1)
    assert render_preview(preview.pk)


def test_nothing_recorded_stops_the_pages_with_words(
    attendee: Enrolment, instructor: Account
) -> None:
    attendee.entries.all().delete()
    preview = ask_preview(enrolment=attendee, actor=instructor)
    assert not render_preview(preview.pk)
    preview.refresh_from_db()
    assert preview.state == "parked"
    assert "Nothing was recorded" in preview.reason


def test_a_seat_given_up_meanwhile_stops_the_pages(
    attendee: Enrolment, instructor: Account, press: None
) -> None:
    preview = ask_preview(enrolment=attendee, actor=instructor)
    give_up(attendee)
    assert not render_preview(preview.pk)
    preview.refresh_from_db()
    assert "no longer has a seat" in preview.reason


def give_up(attendee: Enrolment) -> None:
    Enrolment.objects.filter(pk=attendee.pk).update(
        state="cancelled", seat=None, cancelled_at=timezone.now()
    )


@pytest.mark.parametrize("verb", [ask_preview, sign_report])
def test_only_who_teaches_there_looks_and_signs(
    verb: Callable[..., Any],
    attendee: Enrolment,
    front_desk: Account,
    other_instructor: Account,
) -> None:
    more = {"content_sha256": said(attendee)} if verb is sign_report else {}
    for account in (front_desk, other_instructor):
        with pytest.raises(NotTaughtHere, match="does not teach"):
            verb(enrolment=attendee, actor=account, **more)
    assert not Preview.objects.exists()
    assert not Signature.objects.exists()


def test_who_leads_the_school_may_sign(attendee: Enrolment) -> None:
    lead = attendee.school.lead_instructor.account
    assert sign(attendee, lead).signed_by == lead


def test_a_signature_is_of_what_is_said(attendee: Enrolment, instructor: Account) -> None:
    signature = sign(attendee, instructor)
    assert (signature.signed_by, signature.content_sha256) == (instructor, said(attendee))
    assert standing_signatures([attendee]) == {attendee.pk: signature}


def test_what_was_not_looked_at_is_not_signed(attendee: Enrolment, instructor: Account) -> None:
    looked_at = said(attendee)
    write(attendee)
    with pytest.raises(ReportChanged, match="Look at them again"):
        sign_report(enrolment=attendee, actor=instructor, content_sha256=looked_at)
    assert not Signature.objects.exists()


def test_nothing_recorded_is_nothing_to_sign(attendee: Enrolment, instructor: Account) -> None:
    attendee.entries.all().delete()
    with pytest.raises(NothingMeasured):
        sign_report(enrolment=attendee, actor=instructor, content_sha256="")


def test_nobody_signs_for_who_gave_up_the_seat(attendee: Enrolment, instructor: Account) -> None:
    give_up(attendee)
    with pytest.raises(NotEnrolled, match="no seat"):
        sign(attendee, instructor)


def test_signing_twice_signs_once(attendee: Enrolment, instructor: Account) -> None:
    assert sign(attendee, instructor) == sign(attendee, instructor)
    assert Signature.objects.count() == 1


def test_in_an_open_school_the_report_waits(attendee: Enrolment, instructor: Account) -> None:
    sign(attendee, instructor)
    assert not Report.objects.exists()


def test_in_a_closed_school_the_report_is_asked_for_at_once(
    attendee: Enrolment, instructor: Account
) -> None:
    close(attendee)
    signature = sign(attendee, instructor)
    report = Report.objects.get()
    assert (report.signature, report.state, report.requested_by) == (
        signature,
        "queued",
        instructor,
    )


def test_signing_a_correction_makes_the_next_version(
    attendee: Enrolment, instructor: Account
) -> None:
    close(attendee)
    sign(attendee, instructor)
    Report.objects.update(state="done", file="reports/a.pdf", content_sha256="0" * 64, pages=4)
    write(attendee)
    second = sign(attendee, instructor)
    versions = list(Report.objects.order_by("version").values_list("version", "is_current"))
    assert versions == [(1, False), (2, True)]
    assert Report.objects.get(version=2).signature == second


def test_what_was_never_made_is_no_version_of_its_own(
    attendee: Enrolment, instructor: Account
) -> None:
    """Signed again while a worker is at it: the worker loses, the number stays."""
    close(attendee)
    sign(attendee, instructor)
    at_work = jobs.claim(Report, Report.objects.get().pk)
    write(attendee)
    second = sign(attendee, instructor)
    report = Report.objects.get()
    assert (report.version, report.signature, report.state) == (1, second, "queued")
    assert at_work
    assert not jobs.publish(Report, report.pk, at_work, file="x", content_sha256="x", pages=1)


def test_a_signature_stands_again_when_a_correction_is_undone(
    attendee: Enrolment, instructor: Account
) -> None:
    signature = sign(attendee, instructor)
    write(attendee)
    assert standing_signatures([attendee]) == {}
    attendee.entries.filter(kind="coach_paragraph").delete()
    assert standing_signatures([attendee]) == {attendee.pk: signature}


def test_the_desk_signs_for_no_school_it_did_not_teach_though_it_teaches_elsewhere(
    attendee: Enrolment, other_instructor: Account
) -> None:
    Staff.objects.filter(account=other_instructor).update(at_front_desk=True)
    both = Account.objects.get(pk=other_instructor.pk)
    with pytest.raises(NotTaughtHere, match="cannot sign"):
        sign(attendee, both)
    with pytest.raises(NotTaughtHere):
        ask_preview(enrolment=attendee, actor=both)


def test_who_no_longer_teaches_signs_nothing(attendee: Enrolment, instructor: Account) -> None:
    Staff.objects.filter(account=instructor).update(teaches=False, at_front_desk=True)
    with pytest.raises(NotTaughtHere, match="cannot sign"):
        sign(attendee, Account.objects.get(pk=instructor.pk))
