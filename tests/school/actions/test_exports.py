"""Taking the desk's files."""

import csv
from decimal import Decimal
from io import StringIO

import pytest

from school.actions.enrolment import enrol
from school.actions.exports import export_cohort, export_ledger
from school.actions.money import record_payment
from school.errors import ExportRefused
from school.exports import BOM
from school.models import Account, AuditEntry, School
from tests.factories import GolferFactory, SchoolFactory, consented

pytestmark = pytest.mark.django_db


@pytest.fixture
def school(db: None) -> School:
    school: School = SchoolFactory.create(capacity=1, price=Decimal(960))
    golfer = GolferFactory.create(full_name="=Żółć", care_notes="knee", phone="+44 1632")
    seated = consented(enrol(school=school, golfer=golfer, actor=None), "terms")
    record_payment(
        enrolment=seated, amount=Decimal(240), method="cash", actor=None, memo="@first; part"
    )
    enrol(school=school, golfer=GolferFactory.create(full_name="Ann"), actor=None)
    return school


def read(text: str) -> list[list[str]]:
    assert text.startswith(BOM)
    return list(csv.reader(StringIO(text.removeprefix(BOM), newline="")))


def test_the_cohort_has_the_columns_asked_for_and_no_others(school: School) -> None:
    text = export_cohort(school=school, columns=["balance", "name", "consent_terms"], actor=None)
    assert read(text) == [
        ["name", "consent: terms of the school", "balance"],
        ["'=Żółć", "yes", "720.00"],
        ["Ann", "no", "0.00"],
    ]
    assert "knee" not in text


def test_the_ledger_adds_up(school: School) -> None:
    rows = read(export_ledger(school=school, columns=["golfer", "amount", "memo"], actor=None))
    assert [row[1] for row in rows] == ["amount", "960.00", "-240.00"]
    assert rows[2] == ["'=Żółć", "-240.00", "'@first; part"]


def test_taking_a_file_leaves_a_trail(school: School, front_desk: Account) -> None:
    export_cohort(school=school, columns=["name", "email"], actor=front_desk)
    entry = AuditEntry.objects.get(verb="export")
    assert (entry.actor, entry.detail["columns"]) == (front_desk, ["name", "email"])
    assert entry.detail["rows"] == 2


@pytest.mark.parametrize("columns", [[], ["name", "password"]])
def test_no_columns_and_unknown_ones_are_refused(school: School, columns: list[str]) -> None:
    with pytest.raises(ExportRefused):
        export_cohort(school=school, columns=columns, actor=None)
    with pytest.raises(ExportRefused):
        export_ledger(school=school, columns=columns, actor=None)
    assert not AuditEntry.objects.filter(verb="export").exists()
