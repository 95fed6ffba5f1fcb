"""Claim, render, put in place, publish: who may and who may not, whatever dies on the way."""

import errno
import hashlib
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from typing import NoReturn
from uuid import UUID, uuid4

import pytest
from django.core.files.storage import default_storage
from django.utils import timezone

from assessments.actions import reports as action
from assessments.actions.links import sealed
from assessments.models import Report, Signature
from assessments.reports import files
from assessments.reports.errors import StillUnreadable
from assessments.reports.files import REPORTS
from assessments.reports.gather import Edition
from school.actions import jobs
from school.errors import PdfLibraryMissing
from school.models import Account, Enrolment, Message
from school.printing import Pdf
from tests.factories import EnrolmentFactory

pytestmark = pytest.mark.django_db

Press = Callable[[object], Pdf]
SAID = "5a" * 32


@pytest.fixture
def report() -> Report:
    return Report.objects.create(enrolment=EnrolmentFactory.create())


@pytest.fixture
def press(monkeypatch: pytest.MonkeyPatch) -> Callable[[Press], None]:
    """Put something else in place of the slow steps."""

    def use(render: Press) -> None:
        monkeypatch.setattr(action, "read_for", lambda enrolment, edition: (enrolment, SAID))
        monkeypatch.setattr(action, "compose", lambda contents: contents)
        monkeypatch.setattr(action, "render", render)

    use(lambda composed: Pdf(b"%PDF-1.7 a report", 5))
    return use


def files_left() -> list[str]:
    return sorted(path.name for path in Path(default_storage.path(REPORTS.folder)).glob("*"))


def lapse(report: Report) -> None:
    Report.objects.filter(pk=report.pk).update(lease_until=timezone.now() - timedelta(seconds=1))


def due(report: Report) -> None:
    Report.objects.filter(pk=report.pk).update(not_before=timezone.now())


def test_a_report_is_made_once(report: Report, press: object) -> None:
    assert action.render_report(report.pk)
    report.refresh_from_db()
    assert (report.state, report.pages, report.claims) == ("done", 5, 1)
    assert default_storage.open(report.file).read() == b"%PDF-1.7 a report"


def test_a_doubled_message_renders_once(report: Report, press: object) -> None:
    assert action.render_report(report.pk)
    assert not action.render_report(report.pk)
    assert len(files_left()) == 1


def test_nobody_else_may_start_while_the_lease_holds(
    report: Report, press: Callable[[Press], None]
) -> None:
    started: list[bool] = []

    def render(composed: object) -> Pdf:
        started.append(action.render_report(report.pk))
        return Pdf(b"%PDF", 4)

    press(render)
    assert action.render_report(report.pk)
    assert started == [False]


def test_a_worker_paused_past_its_lease_publishes_nothing(
    report: Report, press: Callable[[Press], None]
) -> None:
    """The slow one wakes up after another has taken over and finished."""

    def slow(composed: object) -> Pdf:
        lapse(report)
        press(lambda composed: Pdf(b"%PDF of the second", 6))
        assert action.render_report(report.pk)
        return Pdf(b"%PDF of the first", 5)

    press(slow)
    assert not action.render_report(report.pk)
    report.refresh_from_db()
    assert (report.pages, report.claims) == (6, 2)
    assert default_storage.open(report.file).read() == b"%PDF of the second"
    assert files_left() == [Path(report.file).name]


def test_a_worker_that_fails_past_its_lease_counts_no_failure(
    report: Report, press: Callable[[Press], None]
) -> None:
    def slow(composed: object) -> NoReturn:
        lapse(report)
        assert jobs.claim(Report, report.pk)
        raise RuntimeError

    press(slow)
    action.render_report(report.pk)
    report.refresh_from_db()
    assert (report.state, report.failures) == ("running", 0)


def test_what_a_killed_worker_left_goes_when_the_next_one_publishes(
    report: Report, press: object
) -> None:
    folder = Path(default_storage.path(REPORTS.folder))
    folder.mkdir(parents=True)
    (folder / f"report-{report.pk}-dead.pdf.part").write_bytes(b"half")
    (folder / f"report-{report.pk}-dead.pdf").write_bytes(b"never published")
    jobs.claim(Report, report.pk)
    lapse(report)
    assert action.render_report(report.pk)
    report.refresh_from_db()
    assert files_left() == [Path(report.file).name]


def test_what_a_worker_put_in_place_too_late_goes_with_the_next_report_made(
    report: Report, press: object
) -> None:
    """It outlasted its lease, another published, and it died before it could look."""
    late = REPORTS.name_of(report.pk, claimed(report))
    lapse(report)
    assert action.render_report(report.pk)
    files.put(late, b"too late")
    another = Report.objects.create(enrolment=EnrolmentFactory.create())
    assert action.render_report(another.pk)
    made = Report.objects.values_list("file", flat=True)
    assert files_left() == sorted(Path(file).name for file in made)


def test_what_others_have_at_work_or_finished_is_left_alone(report: Report, press: object) -> None:
    claimed(report)
    lapse(report)
    at_work = REPORTS.name_of(report.pk, claimed(report))
    unknown = REPORTS.name_of(report.pk + 1000, uuid4())
    for name in (at_work, f"{at_work}.part", unknown):
        files.put(name, b"x")
    another = Report.objects.create(enrolment=EnrolmentFactory.create())
    assert action.render_report(another.pk)
    assert len(files_left()) == 4


def test_what_a_dead_worker_left_goes_when_the_report_is_given_up(
    report: Report, press: Callable[[Press], None]
) -> None:
    files.put(REPORTS.name_of(report.pk, claimed(report)), b"never published")
    lapse(report)
    press(fail(RuntimeError("boom")))
    action.render_report(report.pk)
    assert files_left() == []


def claimed(report: Report) -> UUID:
    token = jobs.claim(Report, report.pk)
    assert token is not None
    return token


def fail(error: Exception) -> Press:
    def render(composed: object) -> NoReturn:
        raise error

    return render


def test_an_error_is_tried_again_later_and_said(
    report: Report, press: Callable[[Press], None]
) -> None:
    press(fail(RuntimeError("boom")))
    action.render_report(report.pk)
    report.refresh_from_db()
    assert (report.state, report.failures) == ("queued", 1)
    assert "RuntimeError" in report.reason
    assert report.not_before > timezone.now()


def test_an_error_that_stays_parks_the_report_with_words(
    report: Report, press: Callable[[Press], None]
) -> None:
    press(fail(RuntimeError("boom")))
    for _ in range(Report.MAX_FAILURES):
        due(report)
        action.render_report(report.pk)
    report.refresh_from_db()
    assert (report.state, report.failures) == ("parked", 3)
    assert "Ask for it again" in report.reason


def test_lapsed_leases_alone_never_park(report: Report, press: object) -> None:
    for _ in range(6):
        jobs.claim(Report, report.pk)
        lapse(report)
    assert action.render_report(report.pk)
    report.refresh_from_db()
    assert (report.claims, report.failures) == (7, 0)


@pytest.mark.parametrize(
    ("error", "words"),
    [
        (OSError(errno.ENOSPC, "No space left on device"), "disk is full"),
        (PdfLibraryMissing("Reports need the library pango."), "pango"),
    ],
)
def test_trouble_with_the_machine_is_named(
    error: Exception, words: str, report: Report, press: Callable[[Press], None]
) -> None:
    press(fail(error))
    action.render_report(report.pk)
    report.refresh_from_db()
    assert report.state == "queued"
    assert words in report.reason


def test_what_only_a_person_can_put_right_parks_at_once(
    report: Report, press: Callable[[Press], None]
) -> None:
    press(fail(StillUnreadable("The exit still cannot be read.")))
    action.render_report(report.pk)
    report.refresh_from_db()
    assert (report.state, report.failures) == ("parked", 0)
    assert report.reason == "The exit still cannot be read."
    assert files_left() == []


def test_a_seat_given_up_meanwhile_parks_with_words(report: Report, press: object) -> None:
    Enrolment.objects.filter(pk=report.enrolment_id).update(
        state="cancelled", seat=None, cancelled_at=timezone.now()
    )
    action.render_report(report.pk)
    report.refresh_from_db()
    assert report.state == "parked"
    assert "seat" in report.reason


def test_the_row_names_the_hash_of_the_file(report: Report, press: object) -> None:
    action.render_report(report.pk)
    report.refresh_from_db()
    content = default_storage.open(report.file).read()
    assert report.content_sha256 == hashlib.sha256(content).hexdigest()
    assert report.said_sha256 == SAID


def test_the_golfer_is_told_once_that_it_is_ready(report: Report, press: object) -> None:
    action.render_report(report.pk)
    action.render_report(report.pk)
    message = Message.objects.get()
    assert (message.kind, message.to) == ("report_ready", report.enrolment.golfer.email)
    assert f"/r/{sealed(report.links.get())}/" in message.body


def signed_by(report: Report, account: Account, said: str = SAID) -> Signature:
    signature = Signature.objects.create(
        enrolment=report.enrolment, signed_by=account, content_sha256=said
    )
    Report.objects.filter(pk=report.pk, signature=None).update(signature=signature)
    return signature


def test_a_signed_report_is_made(report: Report, press: object, instructor: Account) -> None:
    signed_by(report, instructor)
    assert action.render_report(report.pk)


@pytest.mark.parametrize("said", ["0b" * 32, SAID])
def test_what_changed_or_was_signed_anew_meanwhile_is_not_made(
    said: str, report: Report, press: object, instructor: Account
) -> None:
    signed_by(report, instructor, said)
    if said == SAID:
        signed_by(report, instructor, "0b" * 32)
    assert not action.render_report(report.pk)
    report.refresh_from_db()
    assert report.state == "parked"
    assert "has changed since Ines Instructor signed" in report.reason


def test_a_report_knows_its_edition(
    report: Report, press: Callable[[Press], None], monkeypatch: pytest.MonkeyPatch
) -> None:
    assert action.render_report(report.pk)
    report.refresh_from_db()
    Report.objects.update(is_current=False)
    second = Report.objects.create(enrolment=report.enrolment, version=2)
    seen: list[Edition] = []

    def read_for(enrolment: Enrolment, edition: Edition) -> tuple[Enrolment, str]:
        seen.append(edition)
        return enrolment, SAID

    monkeypatch.setattr(action, "read_for", read_for)
    assert action.render_report(second.pk)
    assert report.finished_at
    made_on = report.finished_at.astimezone(report.enrolment.school.zone).date()
    assert seen == [Edition(version=2, replaces=made_on, signed_by="", signed_on=None)]
