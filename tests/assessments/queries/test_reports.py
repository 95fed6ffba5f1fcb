"""What the page of reports says of each attendee, and why one cannot go yet."""

import pytest
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from assessments.models import Report
from assessments.queries.reports import ReportRow, progress
from assessments.queries.signing import said_now, signing_of
from lessons.access import teachers_of
from school.models import Account, Enrolment, Staff
from tests.assessments.factories import EntryFactory, attendee_of, session_at
from tests.assessments.reports.scene import signed

pytestmark = pytest.mark.django_db


@pytest.fixture
def attendee(instructor: Account) -> Enrolment:
    found = attendee_of(session_at(instructor, "coach_paragraph", "exit"))
    EntryFactory.create(enrolment=found)
    return found


def row_of(attendee: Enrolment) -> ReportRow:
    (row,) = progress(attendee.school).rows
    return row


def write(attendee: Enrolment) -> None:
    EntryFactory.create(
        enrolment=attendee, kind="coach_paragraph", phase="exit", payload={"text": "Well struck."}
    )


def made(attendee: Enrolment, version: int = 1) -> Report:
    Report.objects.filter(enrolment=attendee).update(is_current=False)
    return Report.objects.create(
        enrolment=attendee,
        version=version,
        signature=attendee.signatures.order_by("pk").last(),
        state="done",
        file="reports/a.pdf",
        content_sha256="0" * 64,
        said_sha256=said_now([attendee])[attendee.pk],
        pages=4,
        finished_at=timezone.now(),
    )


def test_who_teaches_or_leads_may_sign(attendee: Enrolment, instructor: Account) -> None:
    lead = attendee.school.lead_instructor.account
    assert set(progress(attendee.school).teachers) == {instructor, lead}
    Staff.objects.filter(account=instructor).update(teaches=False, at_front_desk=True)
    assert list(teachers_of(attendee.school)) == [lead]


def test_of_whom_nothing_was_recorded_nothing_can_go(attendee: Enrolment) -> None:
    attendee.entries.all().delete()
    row = row_of(attendee)
    assert (row.is_recorded, row.may_go_unsigned, row.report) == (False, False, None)
    assert "Coach’s paragraph" in row.missing


def test_what_is_not_signed_may_go_unsigned(attendee: Enrolment) -> None:
    row = row_of(attendee)
    assert (row.is_signed, row.is_changed_since_signed, row.may_go_unsigned) == (False, False, True)


def test_what_is_signed_waits_for_nobody(attendee: Enrolment) -> None:
    row = row_of(signed(attendee))
    assert (row.is_signed, row.may_go_unsigned, row.is_overdue) == (True, False, True)
    assert progress(attendee.school).signed == 1


def test_what_was_sent_as_signed_is_done_with(attendee: Enrolment) -> None:
    report = made(signed(attendee))
    row = row_of(attendee)
    assert (row.sent, row.is_overdue, row.is_changed_since_sent) == (report, False, False)
    assert (row.may_go_unsigned, row.older) == (False, ())


def test_a_correction_shows_as_a_change_since_signing_and_sending(attendee: Enrolment) -> None:
    made(signed(attendee))
    write(attendee)
    row = row_of(attendee)
    assert row.is_changed_since_signed
    assert row.is_changed_since_sent
    assert row.may_go_unsigned


def test_a_correction_shows_although_nobody_signed_what_was_sent(attendee: Enrolment) -> None:
    made(attendee)
    assert not row_of(attendee).may_go_unsigned
    write(attendee)
    assert row_of(attendee).is_changed_since_sent


def test_every_version_stays_in_the_record(attendee: Enrolment) -> None:
    old = made(signed(attendee))
    write(attendee)
    new = made(signed(attendee), version=2)
    row = row_of(attendee)
    assert (row.sent, row.older) == (new, (old,))


def test_the_older_version_stands_while_the_next_is_made(attendee: Enrolment) -> None:
    old = made(signed(attendee))
    Report.objects.update(is_current=False)
    coming = Report.objects.create(enrolment=attendee, version=2)
    row = row_of(attendee)
    assert (row.report, row.sent, row.older) == (coming, old, ())


def test_a_report_to_sign_costs_the_same_however_much_was_recorded(
    attendee: Enrolment, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    made(signed(attendee))
    for _ in range(2):
        write(attendee)
        with django_assert_num_queries(10):
            signing_of(attendee)


def test_the_coachs_words_are_edited_in_the_session_of_the_squad(
    attendee: Enrolment, other_instructor: Account
) -> None:
    session = attendee.squad_member.squad.sessions.get()
    assert signing_of(attendee).paragraph == session
    session_at(other_instructor, "coach_paragraph")
    assert signing_of(attendee).paragraph == session


def test_what_can_be_made_again_as_it_went(attendee: Enrolment) -> None:
    made(attendee)
    assert row_of(attendee).may_be_made_again
    write(attendee)
    assert not row_of(attendee).may_be_made_again
    signed(attendee)
    assert row_of(attendee).may_be_made_again
    Report.objects.update(state="queued")
    assert not row_of(attendee).may_be_made_again
