"""Asking for reports: when the school closes, one by one, and again."""

from collections.abc import Callable
from contextlib import AbstractContextManager

import pytest
from django.utils import timezone

from assessments.actions.reports import make_report_again, queue_reports, queue_unsigned
from assessments.models import Report, Signature
from assessments.queries.signing import said_now
from assessments.reports.errors import (
    NothingMeasured,
    ReportAtWork,
    ReportNotDue,
    ReportUnsigned,
)
from school.errors import NotEnrolled
from school.models import Account, Enrolment, School
from school.signals import school_closed
from tests.assessments.factories import EntryFactory
from tests.assessments.reports.scene import signed
from tests.factories import EnrolmentFactory, SchoolFactory

pytestmark = pytest.mark.django_db

Capture = Callable[..., AbstractContextManager[list[Callable[[], object]]]]


@pytest.fixture
def school() -> School:
    """Closed, with three attendees of whom something was recorded, and one who waits."""
    school: School = SchoolFactory.create(state="closed", closed_at=timezone.now())
    for enrolment in EnrolmentFactory.create_batch(3, school=school):
        EntryFactory.create(enrolment=enrolment)
    EnrolmentFactory.create(school=school, state="waiting", seat=None)
    return school


@pytest.fixture
def attendee(school: School) -> Enrolment:
    return school.enrolments.get(seat=1)


def all_signed(school: School) -> None:
    for enrolment in school.enrolments.filter(state="seated"):
        signed(enrolment)


def correct(attendee: Enrolment) -> None:
    """Record something that the report says and did not say before."""
    EntryFactory.create(
        enrolment=attendee, kind="coach_paragraph", phase="exit", payload={"text": "Well struck."}
    )


def done(enrolment: Enrolment) -> Report:
    return Report.objects.create(
        enrolment=enrolment, state="done", file="reports/a.pdf", content_sha256="0" * 64, pages=4
    )


def test_each_signed_attendee_gets_one(school: School, front_desk: Account) -> None:
    all_signed(school)
    queue_reports(school=school, actor=front_desk)
    reports = Report.objects.select_related("enrolment", "signature")
    assert {report.enrolment.seat for report in reports} == {1, 2, 3}
    assert {report.signature for report in reports} == set(Signature.objects.all())


def test_who_is_not_signed_waits(school: School, attendee: Enrolment, front_desk: Account) -> None:
    signed(attendee)
    assert [one.enrolment for one in queue_reports(school=school, actor=front_desk)] == [attendee]


def test_a_signature_under_what_has_changed_does_not_count(
    school: School, attendee: Enrolment, front_desk: Account
) -> None:
    correct(signed(attendee))
    assert queue_reports(school=school, actor=front_desk) == []


def test_asking_twice_changes_nothing(school: School, front_desk: Account) -> None:
    all_signed(school)
    queue_reports(school=school, actor=front_desk)
    assert queue_reports(school=school, actor=front_desk) == []
    assert Report.objects.count() == 3


def test_each_wakes_the_worker_on_commit(
    school: School, front_desk: Account, django_capture_on_commit_callbacks: Capture
) -> None:
    all_signed(school)
    with django_capture_on_commit_callbacks() as callbacks:
        queue_reports(school=school, actor=front_desk)
    assert len(callbacks) == 3


def test_the_closing_of_a_school_asks_for_them(school: School, front_desk: Account) -> None:
    all_signed(school)
    school_closed.send(School, school=school, actor=front_desk)
    assert Report.objects.filter(requested_by=front_desk).count() == 3


def test_the_desk_may_send_one_that_nobody_signed(attendee: Enrolment, front_desk: Account) -> None:
    report = queue_unsigned(enrolment=attendee, actor=front_desk)
    assert (report.state, report.version, report.signature) == ("queued", 1, None)


def test_one_signed_meanwhile_goes_with_the_signature(
    attendee: Enrolment, front_desk: Account
) -> None:
    signed(attendee)
    report = queue_unsigned(enrolment=attendee, actor=front_desk)
    assert report.signature == attendee.signatures.get()


def test_unsigned_over_a_report_that_was_made_is_a_new_version(
    attendee: Enrolment, front_desk: Account
) -> None:
    old = done(attendee)
    new = queue_unsigned(enrolment=attendee, actor=front_desk)
    old.refresh_from_db()
    assert (new.version, new.is_current, old.is_current) == (2, True, False)


def test_what_is_being_made_is_not_sent_unsigned_twice(
    attendee: Enrolment, front_desk: Account
) -> None:
    queue_unsigned(enrolment=attendee, actor=front_desk)
    with pytest.raises(ReportAtWork, match="being made"):
        queue_unsigned(enrolment=attendee, actor=front_desk)


def test_nothing_goes_unsigned_before_the_school_is_closed(front_desk: Account) -> None:
    entry = EntryFactory.create()
    with pytest.raises(ReportNotDue, match="Close it first"):
        queue_unsigned(enrolment=entry.enrolment, actor=front_desk)


def test_of_whom_nothing_was_recorded_nothing_is_sent(school: School, front_desk: Account) -> None:
    with pytest.raises(NothingMeasured):
        queue_unsigned(enrolment=EnrolmentFactory.create(school=school), actor=front_desk)


def test_nothing_is_sent_to_who_has_no_seat(school: School, front_desk: Account) -> None:
    with pytest.raises(NotEnrolled, match="no seat"):
        queue_unsigned(enrolment=school.enrolments.get(state="waiting"), actor=front_desk)


def test_again_makes_a_new_version_current(attendee: Enrolment, front_desk: Account) -> None:
    old = done(signed(attendee))
    new = make_report_again(report=old, actor=front_desk)
    old.refresh_from_db()
    assert (new.version, new.state, new.is_current, old.is_current) == (2, "queued", True, False)
    assert new.signature == attendee.signatures.get()


def test_again_asks_for_a_signature_that_stands(attendee: Enrolment, front_desk: Account) -> None:
    old = done(signed(attendee))
    correct(attendee)
    with pytest.raises(ReportUnsigned, match="Nobody has signed"):
        make_report_again(report=old, actor=front_desk)


def test_again_starts_a_stopped_one_afresh(attendee: Enrolment, front_desk: Account) -> None:
    parked = Report.objects.create(enrolment=attendee, state="parked", reason="disk", failures=3)
    again = make_report_again(report=parked, actor=front_desk)
    assert (again.pk, again.state, again.failures, again.reason) == (parked.pk, "queued", 0, "")


def test_again_waits_for_one_at_work(attendee: Enrolment, front_desk: Account) -> None:
    queued = Report.objects.create(enrolment=attendee)
    with pytest.raises(ReportAtWork, match="being made"):
        make_report_again(report=queued, actor=front_desk)


def test_again_is_asked_of_the_current_version(attendee: Enrolment, front_desk: Account) -> None:
    old = done(signed(attendee))
    make_report_again(report=old, actor=front_desk)
    with pytest.raises(ReportAtWork, match="newer"):
        make_report_again(report=old, actor=front_desk)


def test_what_went_unsigned_does_not_go_twice_from_a_page_left_open(
    attendee: Enrolment, front_desk: Account
) -> None:
    queue_unsigned(enrolment=attendee, actor=front_desk)
    said = said_now([attendee])[attendee.pk]
    Report.objects.update(
        state="done", file="reports/a.pdf", content_sha256="0" * 64, said_sha256=said, pages=4
    )
    with pytest.raises(ReportAtWork, match="says the same"):
        queue_unsigned(enrolment=attendee, actor=front_desk)
    correct(attendee)
    assert queue_unsigned(enrolment=attendee, actor=front_desk).version == 2


def test_what_went_unsigned_is_made_again_while_it_says_the_same(
    attendee: Enrolment, front_desk: Account
) -> None:
    old = done(attendee)
    Report.objects.update(said_sha256=said_now([attendee])[attendee.pk])
    new = make_report_again(report=old, actor=front_desk)
    assert (new.version, new.signature) == (2, None)
