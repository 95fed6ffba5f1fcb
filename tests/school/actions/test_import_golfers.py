"""Enrolling a whole list, or nobody."""

from datetime import date
from pathlib import Path

import pytest

from school.actions.enrolment import enrol
from school.actions.imports import import_golfers
from school.errors import ImportRefused, NoConsentText, SchoolIsNotOpen
from school.models import (
    Account,
    AuditEntry,
    Consent,
    ConsentKind,
    ConsentText,
    Enrolment,
    Golfer,
    School,
)
from tests.factories import ConsentTextFactory, GolferFactory, SchoolFactory

pytestmark = pytest.mark.django_db

FIXTURES = Path(__file__).parents[3] / "fixtures" / "tarnholm"


@pytest.fixture
def school(db: None) -> School:
    for kind in ConsentKind.values:
        ConsentTextFactory.create(kind=kind)
    return SchoolFactory.create(starts_on=date(2027, 5, 7))


def cohort() -> bytes:
    return (FIXTURES / "cohort.csv").read_bytes()


def test_a_cohort_is_seated_in_the_order_of_its_list(school: School) -> None:
    import_golfers(school=school, data=cohort(), actor=None)
    seated = school.enrolments.filter(state="seated").order_by("seat")
    assert [e.seat for e in seated] == list(range(1, 13))
    assert seated[0].golfer.full_name == "Maren Thistlewood"
    assert seated[11].golfer.full_name == "Wren Castellane"


def test_consents_come_along_and_a_minors_are_the_guardians(school: School) -> None:
    import_golfers(school=school, data=cohort(), actor=None)
    assert Consent.objects.count() == 46
    wren = Consent.objects.filter(enrolment__golfer__full_name="Wren Castellane")
    assert {(c.given_by, c.by_guardian) for c in wren} == {("Marguerite Castellane", True)}


def test_importing_the_same_again_changes_nothing(school: School) -> None:
    import_golfers(school=school, data=cohort(), actor=None)
    before = (Golfer.objects.count(), Enrolment.objects.count(), Consent.objects.count())
    plan = import_golfers(school=school, data=cohort(), actor=None)
    assert plan.joining == []
    assert before == (Golfer.objects.count(), Enrolment.objects.count(), Consent.objects.count())


def test_what_does_not_fit_waits_as_the_plan_said(school: School) -> None:
    school.capacity = 10
    school.save(update_fields=["capacity"])
    plan = import_golfers(school=school, data=cohort(), actor=None)
    assert [row.place for row in plan.rows if row.place] == [1, 2]
    waiting = school.enrolments.filter(state="waiting").order_by("enrolled_at", "pk")
    assert [e.golfer.full_name for e in waiting] == ["Rufus Applegarth", "Wren Castellane"]


def test_the_plan_names_the_seats_that_are_then_given(school: School) -> None:
    enrol(school=school, golfer=GolferFactory.create(), actor=None)
    plan = import_golfers(school=school, data=cohort(), actor=None)
    given = {e.golfer.full_name: e.seat for e in school.enrolments.filter(state="seated")}
    assert all(given.get(row.details.full_name) == row.seat for row in plan.rows)


def test_a_golfer_from_another_school_is_known_again(school: School) -> None:
    import_golfers(school=school, data=cohort(), actor=None)
    other = SchoolFactory.create()
    plan = import_golfers(
        school=other, data=(FIXTURES / "next_cohort.csv").read_bytes(), actor=None
    )
    assert [row.is_known for row in plan.rows] == [False, False, False, False, True]
    assert Golfer.objects.filter(full_name="Maren Thistlewood").count() == 1


def test_one_wrong_cell_and_nobody_is_imported(school: School) -> None:
    data = cohort() + b"\nBo,bo@example.org,,,both\n"
    with pytest.raises(ImportRefused, match="1 cell is in error"):
        import_golfers(school=school, data=data, actor=None)
    assert not Golfer.objects.exists()


def test_a_failure_half_way_leaves_nobody(school: School) -> None:
    """Only the last row asks for the consent whose text is gone."""
    data = (
        "name,handed,email,consent risk,consent by\nA,left,a@b.example,,\nB,left,b@b.example,yes,B"
    )
    ConsentText.objects.filter(kind="risk").delete()
    with pytest.raises(NoConsentText):
        import_golfers(school=school, data=data, actor=None)
    assert not Golfer.objects.exists()


def test_a_closed_school_imports_nobody() -> None:
    with pytest.raises(SchoolIsNotOpen):
        import_golfers(school=SchoolFactory.create(state="draft"), data=cohort(), actor=None)


def test_the_trail_counts_the_rows(school: School, front_desk: Account) -> None:
    import_golfers(school=school, data=cohort(), actor=front_desk)
    trail = AuditEntry.objects.get(verb="import_golfers")
    assert (trail.actor, trail.detail) == (front_desk, {"rows": 12, "joined": 12})
