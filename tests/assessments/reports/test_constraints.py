"""What the database refuses, whoever asks and however."""

from typing import Any
from uuid import uuid4

import pytest
from django.utils import timezone

from assessments.models import Report
from school.models import Enrolment
from tests.constraints import refused
from tests.factories import EnrolmentFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def enrolment() -> Enrolment:
    made: Enrolment = EnrolmentFactory.create()
    return made


def refuses(name: str, **columns: Any) -> None:
    with refused(name):
        Report.objects.create(**columns)


def test_one_current_report_an_attendee(enrolment: Enrolment) -> None:
    Report.objects.create(enrolment=enrolment)
    refuses("enrolment|one_current", enrolment=enrolment, version=2)


def test_an_older_version_may_stand_beside_the_current_one(enrolment: Enrolment) -> None:
    Report.objects.create(enrolment=enrolment, is_current=False)
    Report.objects.create(enrolment=enrolment, version=2)
    assert enrolment.reports.filter(is_current=True).count() == 1


def test_a_version_exists_once(enrolment: Enrolment) -> None:
    Report.objects.create(enrolment=enrolment, is_current=False)
    refuses("version", enrolment=enrolment)


@pytest.mark.parametrize(
    "columns",
    [
        {"file": "", "content_sha256": "0" * 64, "pages": 4},
        {"file": "reports/a.pdf", "content_sha256": "", "pages": 4},
        {"file": "reports/a.pdf", "content_sha256": "0" * 64, "pages": 0},
    ],
)
def test_a_ready_report_has_its_file(columns: dict[str, Any], enrolment: Enrolment) -> None:
    refuses("report_done_has_its_file", enrolment=enrolment, state="done", **columns)


def test_running_needs_a_lease(enrolment: Enrolment) -> None:
    refuses("report_lease_iff_running", enrolment=enrolment, state="running", token=uuid4())


def test_a_lease_needs_running(enrolment: Enrolment) -> None:
    refuses("report_lease_iff_running", enrolment=enrolment, lease_until=timezone.now())


def test_a_stopped_job_says_why(enrolment: Enrolment) -> None:
    refuses("report_parked_says_why", enrolment=enrolment, state="parked")
