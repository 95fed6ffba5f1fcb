"""All reports of a school as one file, made by the worker."""

from zipfile import ZipFile

import pikepdf
import pytest
from django.core.files.storage import default_storage

from assessments.actions.bundles import ask_bundle, make_bundle
from assessments.models import Bundle, Report
from assessments.reports.errors import BundleRefused
from school.models import Account, Enrolment, School
from tests.assessments.factories import made_report
from tests.factories import EnrolmentFactory, SchoolFactory
from tests.house_signing import ONE_PAGE

pytestmark = pytest.mark.django_db


@pytest.fixture
def school() -> School:
    made: School = SchoolFactory.create()
    for name in ("Ann Ash", "Bea Birch"):
        attendee = EnrolmentFactory.create(school=made, golfer__full_name=name)
        made_report(attendee, content=ONE_PAGE)
    return made


def test_a_zip_holds_every_report(school: School, front_desk: Account) -> None:
    bundle = ask_bundle(school=school, kind="archive", actor=front_desk)
    assert make_bundle(bundle.pk)
    bundle.refresh_from_db()
    assert (bundle.state, bundle.reports) == ("done", 2)
    with default_storage.open(bundle.file) as file, ZipFile(file) as archive:
        assert archive.namelist() == ["01 Ann Ash.pdf", "02 Bea Birch.pdf"]


def test_what_is_printed_has_a_sheet_for_each(school: School, front_desk: Account) -> None:
    bundle = ask_bundle(school=school, kind="print", actor=front_desk)
    make_bundle(bundle.pk)
    bundle.refresh_from_db()
    with pikepdf.open(default_storage.path(bundle.file)) as whole:
        assert len(whole.pages) == 4


def test_older_versions_and_lost_seats_stay_out(school: School, front_desk: Account) -> None:
    first, second = school.enrolments.order_by("seat")
    Report.objects.filter(enrolment=first).update(is_current=False)
    made_report(first, version=2, content=ONE_PAGE)
    Enrolment.objects.filter(pk=second.pk).update(
        state="cancelled", seat=None, cancelled_at=second.enrolled_at
    )
    bundle = ask_bundle(school=school, kind="archive", actor=front_desk)
    make_bundle(bundle.pk)
    bundle.refresh_from_db()
    assert bundle.reports == 1


def test_putting_together_anew_removes_the_old_file(
    school: School, front_desk: Account, django_capture_on_commit_callbacks: object
) -> None:
    old = ask_bundle(school=school, kind="archive", actor=front_desk)
    make_bundle(old.pk)
    old.refresh_from_db()
    with django_capture_on_commit_callbacks(execute=True):  # type: ignore[operator]
        new = ask_bundle(school=school, kind="archive", actor=front_desk)
    assert not default_storage.exists(old.file)
    assert Bundle.objects.get(is_current=True) == new


def test_one_at_a_time(school: School, front_desk: Account) -> None:
    ask_bundle(school=school, kind="print", actor=front_desk)
    with pytest.raises(BundleRefused, match="already"):
        ask_bundle(school=school, kind="print", actor=front_desk)


def test_nothing_is_bound_before_a_report_is_made(front_desk: Account) -> None:
    with pytest.raises(BundleRefused, match="No report"):
        ask_bundle(school=SchoolFactory.create(), kind="print", actor=front_desk)


def test_a_report_whose_file_is_gone_stops_it_with_its_name(
    school: School, front_desk: Account
) -> None:
    bundle = ask_bundle(school=school, kind="archive", actor=front_desk)
    default_storage.delete(Report.objects.earliest("pk").file)
    make_bundle(bundle.pk)
    bundle.refresh_from_db()
    assert bundle.state == "parked"
    assert "Ann Ash" in bundle.reason
