"""The pages of reports, each with only, and with all but, the job it needs."""

from collections.abc import Callable

import pytest
from django.core.files.storage import default_storage
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from assessments.actions.links import hand_out
from assessments.models import Bundle, Report
from assessments.queries.reports import progress, stamp_of
from assessments.reports import files
from school.models import Account, Enrolment
from tests.assessments.factories import putts
from tests.assessments.reports import scene
from tests.factories import EnrolmentFactory
from tests.lessons.factories import SessionFactory, VisitFactory, instructor_for

pytestmark = pytest.mark.django_db
ClientOf = Callable[[Account | None], Client]


@pytest.fixture
def enrolment(golfer: Account) -> Enrolment:
    golfer.golfer.full_name = "Łukasz “Ace” Żółć"
    golfer.golfer.save(update_fields=["full_name"])
    made: Enrolment = EnrolmentFactory.create(golfer=golfer.golfer, school__name="Dunes")
    return made


@pytest.fixture
def report(enrolment: Enrolment) -> Report:
    """A finished one, with its file."""
    files.put("reports/made.pdf", b"%PDF-1.7 made")
    return Report.objects.create(
        enrolment=enrolment,
        state="done",
        file="reports/made.pdf",
        content_sha256="0" * 64,
        pages=5,
    )


def status(client: Client, name: str, pk: int, method: str = "get") -> int:
    return int(getattr(client, method)(reverse(name, args=[pk])).status_code)


@pytest.mark.parametrize("name", ["school_reports", "report_progress"])
def test_the_desk_and_who_teaches_there_see_a_schools_reports(
    name: str, report: Report, front_desk: Account, instructor: Account, client_of: ClientOf
) -> None:
    school = report.enrolment.school
    SessionFactory.create(plan__school=school, instructor=instructor_for(instructor))
    for account in (front_desk, instructor, school.lead_instructor.account):
        assert status(client_of(account), name, school.pk) == 200


@pytest.mark.parametrize("name", ["school_reports", "report_progress"])
def test_nobody_else_does(
    name: str, report: Report, golfer: Account, instructor: Account, client_of: ClientOf
) -> None:
    for account in (golfer, instructor):
        assert status(client_of(account), name, report.enrolment.school_id) == 404


def test_only_the_desk_asks_again(
    report: Report, front_desk: Account, golfer: Account, instructor: Account, client_of: ClientOf
) -> None:
    scene.record(report.enrolment, "putting", "intake", putts(5))
    scene.signed(report.enrolment)
    for account in (golfer, instructor):
        assert status(client_of(account), "report_again", report.pk, "post") == 404
    assert status(client_of(front_desk), "report_again", report.pk, "post") == 302
    assert report.enrolment.reports.count() == 2


def test_asking_again_takes_a_post(
    report: Report, front_desk: Account, client_of: ClientOf
) -> None:
    assert status(client_of(front_desk), "report_again", report.pk) == 405


def test_what_stands_in_the_way_is_said(
    enrolment: Enrolment, front_desk: Account, client_of: ClientOf
) -> None:
    queued = Report.objects.create(enrolment=enrolment)
    answer = client_of(front_desk).post(reverse("report_again", args=[queued.pk]), follow=True)
    assert "is being made already" in answer.content.decode()


def test_its_golfer_the_desk_and_the_owner_download_a_report(
    report: Report, golfer: Account, front_desk: Account, owner: Account, client_of: ClientOf
) -> None:
    for account in (golfer, front_desk, owner):
        answer = client_of(account).get(reverse("report_download", args=[report.pk]))
        assert answer.getvalue() == b"%PDF-1.7 made"


def test_who_teaches_in_the_school_or_leads_it_downloads_a_report(
    report: Report, instructor: Account, client_of: ClientOf
) -> None:
    school = report.enrolment.school
    lead = school.lead_instructor.account
    SessionFactory.create(plan__school=school, instructor=instructor_for(instructor))
    for account in (instructor, lead):
        assert status(client_of(account), "report_download", report.pk) == 200


def test_nobody_else_downloads_it(
    report: Report,
    other_golfer: Account,
    other_instructor: Account,
    stranger: Account,
    client_of: ClientOf,
) -> None:
    for account in (other_golfer, other_instructor, stranger):
        assert status(client_of(account), "report_download", report.pk) == 404
    assert status(client_of(None), "report_download", report.pk) == 302


def test_an_unfinished_report_is_not_there(
    enrolment: Enrolment, golfer: Account, client_of: ClientOf
) -> None:
    queued = Report.objects.create(enrolment=enrolment)
    assert status(client_of(golfer), "report_download", queued.pk) == 404


def test_a_lost_file_is_not_there(report: Report, golfer: Account, client_of: ClientOf) -> None:
    default_storage.delete(report.file)
    assert status(client_of(golfer), "report_download", report.pk) == 404


def test_the_download_has_a_name_for_every_browser_and_stays_private(
    report: Report, golfer: Account, client_of: ClientOf
) -> None:
    answer = client_of(golfer).get(reverse("report_download", args=[report.pk]))
    name = answer.headers["Content-Disposition"]
    assert 'filename="Lukasz Ace Zolc, Dunes, 2027-05-07.pdf"' in name
    assert "filename*=UTF-8''%C5%81ukasz%20%E2%80%9CAce%E2%80%9D" in name
    assert answer.headers["Cache-Control"] == "private, no-store"


def test_the_page_says_what_is_missing_and_why_one_stopped(
    enrolment: Enrolment, front_desk: Account, client_of: ClientOf
) -> None:
    for phase in ("intake", "exit"):
        VisitFactory.create(
            programme=enrolment.school.programme, station__entry_kind="impact", phase=phase
        )
    scene.impact(enrolment, "intake")
    Report.objects.create(enrolment=enrolment, state="parked", reason="The still is gone.")
    page = client_of(front_desk).get(reverse("school_reports", args=[enrolment.school_id]))
    words = page.content.decode()
    assert "The still is gone." in words
    assert "Impact at exit" in words
    assert "Impact at intake" not in words
    assert "Make again" in words


def test_the_list_asks_for_itself_only_while_work_goes_on(
    enrolment: Enrolment, front_desk: Account, client_of: ClientOf
) -> None:
    report = Report.objects.create(enrolment=enrolment)
    address = reverse("report_progress", args=[enrolment.school_id])
    assert "hx-get" in client_of(front_desk).get(address).content.decode()
    Report.objects.filter(pk=report.pk).update(state="parked", reason="why")
    assert "hx-get" not in client_of(front_desk).get(address).content.decode()


def test_twice_as_many_attendees_cost_no_more_queries(
    enrolment: Enrolment, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    school = enrolment.school
    for _ in range(2):
        for one in EnrolmentFactory.create_batch(3, school=school):
            Report.objects.create(enrolment=one)
            scene.record(one, "putting", "intake", putts(5))
            scene.signed(one)
        with django_assert_num_queries(12):
            progress(school)


def test_the_list_is_not_worked_out_again_while_all_stands(
    enrolment: Enrolment, front_desk: Account, client_of: ClientOf
) -> None:
    desk, queued = client_of(front_desk), Report.objects.create(enrolment=enrolment)
    address = reverse("report_progress", args=[enrolment.school_id])
    seen = {"seen": desk.get(address).context["stamp"]}
    assert desk.get(address, seen).status_code == 204
    Report.objects.filter(pk=queued.pk).update(state="parked", reason="The still is gone.")
    assert "The still is gone." in desk.get(address, seen).content.decode()


@pytest.mark.parametrize("change", ["entry", "signature", "link", "bundle", "seat"])
def test_whatever_the_list_tells_of_makes_it_anew(change: str, report: Report) -> None:
    enrolment = report.enrolment
    scene.record(enrolment, "putting", "intake", putts(5))
    before = stamp_of(enrolment.school)
    match change:
        case "entry":
            scene.record(enrolment, "putting", "exit", putts(5))
        case "signature":
            scene.signed(enrolment)
        case "link":
            hand_out(report)
        case "bundle":
            Bundle.objects.create(school=enrolment.school, kind="print")
        case "seat":
            EnrolmentFactory.create(school=enrolment.school)
    assert stamp_of(enrolment.school) != before
