"""Asking for reports: when the school closes, and again."""

from collections.abc import Callable
from contextlib import AbstractContextManager

import pytest

from assessments.actions.reports import make_report_again, queue_reports
from assessments.models import Report
from assessments.reports.errors import ReportAtWork
from school.models import Account, Enrolment, School
from school.signals import school_closed
from tests.factories import EnrolmentFactory, SchoolFactory

pytestmark = pytest.mark.django_db

Capture = Callable[..., AbstractContextManager[list[Callable[[], object]]]]


@pytest.fixture
def school() -> School:
    school: School = SchoolFactory.create()
    EnrolmentFactory.create_batch(3, school=school)
    EnrolmentFactory.create(school=school, state="waiting", seat=None)
    return school


def done(enrolment: Enrolment) -> Report:
    return Report.objects.create(
        enrolment=enrolment, state="done", file="reports/a.pdf", content_sha256="0" * 64, pages=4
    )


def test_each_seated_attendee_gets_one(school: School, front_desk: Account) -> None:
    queue_reports(school=school, actor=front_desk)
    seats = Report.objects.values_list("enrolment__seat", flat=True)
    assert set(seats) == {1, 2, 3}


def test_asking_twice_changes_nothing(school: School, front_desk: Account) -> None:
    queue_reports(school=school, actor=front_desk)
    assert queue_reports(school=school, actor=front_desk) == []
    assert Report.objects.count() == 3


def test_each_wakes_the_worker_on_commit(
    school: School, front_desk: Account, django_capture_on_commit_callbacks: Capture
) -> None:
    with django_capture_on_commit_callbacks() as callbacks:
        queue_reports(school=school, actor=front_desk)
    assert len(callbacks) == 3


def test_the_closing_of_a_school_asks_for_them(school: School, front_desk: Account) -> None:
    school_closed.send(School, school=school, actor=front_desk)
    assert Report.objects.filter(requested_by=front_desk).count() == 3


def test_again_makes_a_new_version_current(school: School, front_desk: Account) -> None:
    old = done(school.enrolments.get(seat=1))
    new = make_report_again(report=old, actor=front_desk)
    old.refresh_from_db()
    assert (new.version, new.state, new.is_current, old.is_current) == (2, "queued", True, False)


def test_again_starts_a_stopped_one_afresh(school: School, front_desk: Account) -> None:
    parked = Report.objects.create(
        enrolment=school.enrolments.get(seat=1), state="parked", reason="disk", failures=3
    )
    again = make_report_again(report=parked, actor=front_desk)
    assert (again.pk, again.state, again.failures, again.reason) == (parked.pk, "queued", 0, "")


def test_again_waits_for_one_at_work(school: School, front_desk: Account) -> None:
    queued = Report.objects.create(enrolment=school.enrolments.get(seat=1))
    with pytest.raises(ReportAtWork, match="being made"):
        make_report_again(report=queued, actor=front_desk)


def test_again_is_asked_of_the_current_version(school: School, front_desk: Account) -> None:
    old = done(school.enrolments.get(seat=1))
    make_report_again(report=old, actor=front_desk)
    with pytest.raises(ReportAtWork, match="newer"):
        make_report_again(report=old, actor=front_desk)
