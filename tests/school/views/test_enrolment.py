"""Adding one golfer, or a list with a dry run."""

from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from school.actions.enrolment import enrol
from school.golfer_csv import SAMPLE
from school.models import ConsentKind, Golfer, School
from tests.factories import ConsentTextFactory, GolferFactory, SchoolFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def school(db: None) -> School:
    for kind in ConsentKind.values:
        ConsentTextFactory.create(kind=kind, body=f"I agree to {kind}.")
    return SchoolFactory.create(starts_on=date(2027, 5, 7), capacity=2)


def golfer(**typed: Any) -> dict[str, Any]:
    return {"full_name": "Alma Fenwright", "handedness": "left", **typed}


def test_each_consent_has_a_box_of_its_own_and_none_is_ticked(desk: Client, school: School) -> None:
    text = desk.get(f"/schools/{school.pk}/enrol/").content.decode()
    for kind in ConsentKind.values:
        assert f"I agree to {kind}." in text
    assert "checked" not in text.replace("data-light-chooser", "")


def test_a_golfer_is_enrolled_with_what_was_ticked(desk: Client, school: School) -> None:
    typed = golfer(handicap_index="+1,5", consent_terms="on", given_by="Alma Fenwright")
    answer = desk.post(f"/schools/{school.pk}/enrol/", typed, follow=True)
    assert "Alma Fenwright has seat 1." in answer.content.decode()
    enrolment = school.enrolments.get()
    assert enrolment.golfer.handicap_index == Decimal("-1.5")
    assert [c.text.kind for c in enrolment.consents.all()] == ["terms"]


def test_a_full_school_says_that_the_golfer_waits(desk: Client, school: School) -> None:
    for _ in range(2):
        enrol(school=school, golfer=GolferFactory.create(), actor=None)
    answer = desk.post(f"/schools/{school.pk}/enrol/", golfer(), follow=True)
    assert "Alma Fenwright is on the waiting list" in answer.content.decode()


@pytest.mark.parametrize(
    ("field", "typed", "words"),
    [
        ("full_name", "", "required"),
        ("handedness", "", "Choose right-handed or left-handed"),
        ("email", "no-address", "valid email"),
        ("handicap_index", "99", "between +10.0 and 54.0"),
        ("birth_date", "2999-01-01", "in the future"),
        ("consent_terms", "on", "Say who gave the consents"),
    ],
)
def test_what_is_wrong_stands_beside_its_field_and_the_rest_is_kept(
    desk: Client, school: School, field: str, typed: str, words: str
) -> None:
    given = golfer(**{"care_notes": "Hears badly", field: typed})
    answer = desk.post(f"/schools/{school.pk}/enrol/", given)
    shown = "given_by" if field == "consent_terms" else field
    assert words in str(answer.context["form"].errors[shown])
    assert "Hears badly" in answer.content.decode()
    assert not Golfer.objects.exists()


def test_what_the_action_refuses_stands_above_the_form(desk: Client, school: School) -> None:
    answer = desk.post(f"/schools/{school.pk}/enrol/", golfer(birth_date="2014-01-01"))
    assert "Enter the guardian" in answer.content.decode()
    assert not Golfer.objects.exists()


def test_a_dry_run_writes_nothing(desk: Client, school: School) -> None:
    answer = desk.post(f"/schools/{school.pk}/import/", {"golfers": SAMPLE})
    text = answer.content.decode()
    for words in ("Alma Fenwright", "new golfer", "seat 1", "seat 2", "Import 2 golfers"):
        assert words in text
    assert not Golfer.objects.exists()


def test_confirming_imports_and_says_what_was_done(desk: Client, school: School) -> None:
    typed = {"golfers": SAMPLE, "confirm": "yes"}
    answer = desk.post(f"/schools/{school.pk}/import/", typed, follow=True)
    assert "Imported: 2 golfers seated." in answer.content.decode()
    assert school.enrolments.count() == 2


def test_a_second_time_there_is_nothing_to_do(desk: Client, school: School) -> None:
    desk.post(f"/schools/{school.pk}/import/", {"golfers": SAMPLE, "confirm": "yes"})
    text = desk.post(f"/schools/{school.pk}/import/", {"golfers": SAMPLE}).content.decode()
    assert text.count("already enrolled, nothing to do") == 2
    assert 'name="confirm"' not in text


def test_errors_are_named_by_row_and_column_and_cannot_be_confirmed(
    desk: Client, school: School
) -> None:
    wrong = "name,handed,email\nAlma,both,a@b.example\nBo,left,b@b.example"
    url = f"/schools/{school.pk}/import/"
    for typed in ({"golfers": wrong}, {"golfers": wrong, "confirm": "yes"}):
        text = desk.post(url, typed).content.decode()
        assert "“both” is neither right nor left." in text
        assert 'name="confirm"' not in text
    assert not Golfer.objects.exists()


def test_a_row_in_error_is_not_among_those_without(desk: Client, school: School) -> None:
    answer = desk.post(
        f"/schools/{school.pk}/import/",
        {"golfers": "name,handed,birth date\nPip,left,2014-01-01\nBo,left,1980-01-01"},
    )
    assert [row.details.full_name for row in answer.context["plan"].rows] == ["Bo"]


def test_a_file_is_read_and_goes_on_in_the_page(desk: Client, school: School) -> None:
    upload = SimpleUploadedFile("list.csv", SAMPLE.encode("utf-16"))
    answer = desk.post(f"/schools/{school.pk}/import/", {"upload": upload})
    assert answer.context["form"].initial["golfers"] == SAMPLE
    assert len(answer.context["plan"].joining) == 2


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"golfers": ""}, "Paste a list or choose a file."),
        ({"golfers": "first,second\n1,2"}, "The first row must name the columns"),
        ({"upload": SimpleUploadedFile("a.csv", b"")}, "The list is empty."),
        ({"upload": SimpleUploadedFile("a.csv", b"x" * 2_000_001)}, "too large"),
        ({"golfers": "a\0b"}, "Null characters"),
    ],
)
def test_what_is_no_list_is_refused_in_words(
    desk: Client, school: School, typed: dict[str, Any], words: str
) -> None:
    text = desk.post(f"/schools/{school.pk}/import/", typed).content.decode()
    assert words in text


def test_what_changed_since_the_dry_run_is_said_and_nothing_is_lost(
    desk: Client, school: School
) -> None:
    school.state = School.State.DRAFT
    school.save(update_fields=["state"])
    answer = desk.post(f"/schools/{school.pk}/import/", {"golfers": SAMPLE, "confirm": "yes"})
    text = answer.content.decode()
    assert "takes nobody now" in text
    assert "Alma Fenwright" in text
