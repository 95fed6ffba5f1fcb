"""What the database refuses, whoever asks and however."""

from typing import Any
from uuid import uuid4

import pytest
from django.utils import timezone

from assessments.models import Preview, Report, Signature
from school.models import Account, Enrolment
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


@pytest.mark.parametrize(
    "columns",
    [
        {"file": "", "content_sha256": "0" * 64, "pages": 4},
        {"file": "previews/a.pdf", "content_sha256": "", "pages": 4},
        {"file": "previews/a.pdf", "content_sha256": "0" * 64, "pages": 0},
    ],
)
def test_ready_pages_have_their_file(columns: dict[str, Any], enrolment: Enrolment) -> None:
    with refused("preview_done_has_its_file"):
        Preview.objects.create(enrolment=enrolment, state="done", **columns)


def test_pages_are_made_once_an_attendee(enrolment: Enrolment) -> None:
    Preview.objects.create(enrolment=enrolment)
    with refused("enrolment"):
        Preview.objects.create(enrolment=enrolment)


def test_pages_being_made_have_a_lease_and_stopped_ones_a_reason(enrolment: Enrolment) -> None:
    with refused("preview_lease_iff_running"):
        Preview.objects.create(enrolment=enrolment, state="running")
    with refused("preview_parked_says_why"):
        Preview.objects.create(enrolment=enrolment, state="parked")


def test_a_signature_is_of_something(enrolment: Enrolment, instructor: Account) -> None:
    with refused("signature_is_of_something"):
        Signature.objects.create(enrolment=enrolment, signed_by=instructor, content_sha256="")
