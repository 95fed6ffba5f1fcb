"""The trail, read."""

from datetime import UTC, date, datetime
from decimal import Decimal

import pytest

from school.actions.audit import note
from school.actions.consents import give_consent
from school.actions.enrolment import enrol
from school.actions.merge import merge_golfers
from school.actions.money import record_payment
from school.actions.move import move_enrolment
from school.models import Account, AuditEntry, Enrolment
from school.queries.audit import PAGE, TrailFilter, latest, trail, verbs_used
from tests.assessments.factories import EntryFactory
from tests.factories import (
    ConsentTextFactory,
    EnrolmentFactory,
    GolferFactory,
    SchoolFactory,
)
from tests.school.counting import queries_of

pytestmark = pytest.mark.django_db


def words(wanted: TrailFilter) -> list[str]:
    return [line.words for line in trail(wanted).lines]


@pytest.fixture
def enrolment(front_desk: Account) -> Enrolment:
    school = SchoolFactory.create(name="Spring school")
    return enrol(school=school, golfer=GolferFactory.create(full_name="Gail"), actor=front_desk)


def test_a_line_says_who_did_what_and_leads_there(
    enrolment: Enrolment, front_desk: Account
) -> None:
    line = trail(TrailFilter(verb="seat")).lines[0]
    assert (line.who, line.words) == (
        "Dana Desk",
        "gave seat 1 to Gail in Spring school, 7 May 2027",
    )
    assert line.url == f"/attendees/{enrolment.pk}/"


def test_filters_narrow_to_a_person_a_verb_and_a_school(
    enrolment: Enrolment, front_desk: Account, owner: Account
) -> None:
    other = enrol(school=SchoolFactory.create(), golfer=GolferFactory.create(), actor=owner)
    assert len(words(TrailFilter(actor=owner))) == 2
    assert len(words(TrailFilter(school=enrolment.school))) == 2
    assert len(words(TrailFilter(golfer=other.golfer))) == 2
    assert len(words(TrailFilter(verb="enrol"))) == 2
    assert words(TrailFilter(actor=owner, school=enrolment.school)) == []
    assert verbs_used() == ["enrol", "seat"]


def test_days_are_the_houses_and_both_included(enrolment: Enrolment) -> None:
    AuditEntry.objects.all().delete()
    for hour, day in ((22, 1), (23, 1), (22, 2), (23, 2)):  # in London an hour later, in summer
        note(actor=None, verb="enrol", subject=enrolment)
        at = datetime(2027, 7, day, hour, 30, tzinfo=UTC)
        AuditEntry.objects.filter(pk=AuditEntry.objects.latest("pk").pk).update(at=at)
    second = date(2027, 7, 2)
    found = trail(TrailFilter(since=second, until=second)).lines
    assert [line.at.day for line in found] == [2, 2]
    assert [line.at.hour for line in found] == [23, 0]


def test_a_schools_trail_has_what_belongs_to_it(enrolment: Enrolment) -> None:
    ConsentTextFactory.create(kind="terms")
    give_consent(enrolment=enrolment, kind="terms", given_by="Gail", actor=None)
    note(actor=None, verb="close_school", subject=enrolment.school)
    assert len(words(TrailFilter(school=enrolment.school))) == 4


def test_rows_of_the_upper_apps_belong_too(enrolment: Enrolment) -> None:
    entry = EntryFactory.create(enrolment=enrolment)
    note(actor=None, verb="record_entry", subject=entry, kind="putting", phase="intake")
    said = "recorded putting for Gail in Spring school, 7 May 2027 at the intake"
    assert said in words(TrailFilter(school=enrolment.school))
    assert said in words(TrailFilter(golfer=enrolment.golfer))


def test_a_golfers_trail_goes_on_after_merging_and_moving(
    enrolment: Enrolment, front_desk: Account
) -> None:
    keep = GolferFactory.create(full_name="Gail Marsh")
    note(actor=None, verb="invite", subject=enrolment.golfer)
    merge_golfers(keep=keep, gone=enrolment.golfer, take={}, actor=front_desk)
    enrolment.refresh_from_db()
    move_enrolment(enrolment=enrolment, to=SchoolFactory.create(name="Autumn"), actor=front_desk)
    said = " | ".join(words(TrailFilter(golfer=keep)))
    assert "made a sign-in link for Gail" in said
    assert "merged a second entry of Gail into Gail Marsh" in said
    assert "moved Gail Marsh in Spring school, 7 May 2027 to Autumn, 7 May 2027" in said


def test_amounts_stand_in_the_schools_currency(enrolment: Enrolment) -> None:
    record_payment(enrolment=enrolment, amount=Decimal(9), method="cash", actor=None)
    move_enrolment(enrolment=enrolment, to=SchoolFactory.create(), actor=None)
    said = " | ".join(words(TrailFilter(golfer=enrolment.golfer)))
    assert "a payment of £9.00" in said
    assert "with £9.00 (cash)" in said


def test_what_was_deleted_since_is_still_named() -> None:
    AuditEntry.objects.create(verb="add", subject="school.programme 99")
    AuditEntry.objects.create(verb="add", subject="gone.model 3")
    assert words(TrailFilter()) == [
        "added model 3, since deleted to the tables",
        "added programme 99, since deleted to the tables",
    ]


def test_fifty_on_a_page_and_twelve_at_a_glance(enrolment: Enrolment) -> None:
    for _ in range(PAGE):
        note(actor=None, verb="enrol", subject=enrolment)
    assert len(trail(TrailFilter()).lines) == PAGE
    assert len(trail(TrailFilter(), 2).lines) == 2
    assert len(latest(TrailFilter(golfer=enrolment.golfer))) == 12


def test_the_same_queries_however_many() -> None:
    school, counts = SchoolFactory.create(), []
    for size in (4, 8):
        for _ in range(size):
            made = EnrolmentFactory.create(school=school)
            note(actor=None, verb="enrol", subject=made)
        counts.append(queries_of(lambda: trail(TrailFilter(school=school))))
    assert counts == [3, 3]
