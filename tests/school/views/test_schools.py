"""The list of schools, a new one, and one school's page."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client

from school.actions.enrolment import cancel_enrolment, enrol
from school.models import Account, Programme, School
from tests.factories import (
    ConsentTextFactory,
    EnrolmentFactory,
    GolferFactory,
    ProgrammeFactory,
    SchoolFactory,
    StaffFactory,
    consented,
)
from tests.school.counting import queries_of

pytestmark = pytest.mark.django_db


def page(client: Client, url: str) -> str:
    return client.get(url).content.decode()


def test_an_empty_house_offers_the_one_thing_to_do(desk: Client) -> None:
    assert "Set up the first school" in page(desk, "/schools/")


def test_the_list_shows_seats_and_money(desk: Client) -> None:
    school = SchoolFactory.create(capacity=12, price=Decimal("1200.00"))
    enrol(school=school, golfer=GolferFactory.create(), actor=None)
    text = page(desk, "/schools/")
    assert "1 of 12" in text
    assert "£1,200.00" in text


def test_the_list_takes_as_many_queries_for_more_schools(desk: Client) -> None:
    counts = []
    for _ in range(2):
        for _ in range(3):
            enrol(school=SchoolFactory.create(), golfer=GolferFactory.create(), actor=None)
        counts.append(queries_of(lambda: desk.get("/schools/")))
    assert counts[0] == counts[1]


@pytest.fixture
def terms(db: None) -> dict[str, Any]:
    ProgrammeFactory.create(name="Three days", capacity=9)
    return {
        "name": "Spring school",
        "starts_on": "2027-05-07",
        "lead_instructor": StaffFactory.create(teaches=True).pk,
        "capacity": 8,
        "price": "880,50",
        "deposit": "200",
        "time_zone": "Europe/Paris",
    }


def test_a_new_school_is_suggested_by_its_programme(desk: Client, terms: dict[str, Any]) -> None:
    other = ProgrammeFactory.create(name="Two days", capacity=6)
    assert 'value="9"' in page(desk, "/schools/new/")
    assert 'value="6"' in page(desk, f"/schools/new/?programme={other.pk}")


@pytest.mark.parametrize("chosen", ["999", "two", "²", "9" * 30])
def test_a_programme_that_is_not_there_gives_the_first(
    desk: Client, terms: dict[str, Any], chosen: str
) -> None:
    assert "Three days" in page(desk, f"/schools/new/?programme={chosen}")


def test_a_new_school_is_set_up_and_shown(desk: Client, terms: dict[str, Any]) -> None:
    answer = desk.post("/schools/new/", terms, follow=True)
    school = School.objects.get()
    assert answer.redirect_chain == [(f"/schools/{school.pk}/", 302)]
    assert (school.capacity, school.price, school.deposit, school.time_zone, school.state) == (
        8,
        Decimal("880.50"),
        Decimal(200),
        "Europe/Paris",
        "draft",
    )


def test_a_school_may_print_on_other_paper_than_its_programme(
    desk: Client, terms: dict[str, Any]
) -> None:
    desk.post("/schools/new/", {**terms, "paper": "letter"})
    desk.post("/schools/new/", {**terms, "name": "Summer school"})
    assert list(School.objects.order_by("pk").values_list("paper", flat=True)) == ["letter", "a4"]


@pytest.mark.parametrize(
    ("field", "typed", "words"),
    [
        ("starts_on", "soon", "Enter a valid date"),
        ("capacity", "97", "less than or equal to 96"),
        ("price", "many", "Enter a number"),
        ("deposit", "880.51", "cannot be more than the price"),
        ("time_zone", "Moon/Base", "is no time zone"),
        ("lead_instructor", "", "required"),
    ],
)
def test_what_is_wrong_stands_beside_its_field_and_the_rest_is_kept(
    desk: Client, terms: dict[str, Any], field: str, typed: str, words: str
) -> None:
    answer = desk.post("/schools/new/", {**terms, field: typed})
    assert words in str(answer.context["form"].errors[field])
    assert "Spring school" in answer.content.decode()
    assert not School.objects.exists()


def test_a_school_that_exists_already_is_refused_in_words(
    desk: Client, terms: dict[str, Any]
) -> None:
    desk.post("/schools/new/", terms)
    assert "already starts on that day" in desk.post("/schools/new/", terms).content.decode()


def test_without_a_programme_the_page_says_what_to_do(desk: Client) -> None:
    assert "No programme is offered" in page(desk, "/schools/new/")


def test_enrolment_is_opened_by_its_button(desk: Client) -> None:
    school = SchoolFactory.create(state="draft")
    answer = desk.post(f"/schools/{school.pk}/open/", follow=True)
    assert "Enrolment is open" in answer.content.decode()
    assert "already open" in desk.post(f"/schools/{school.pk}/open/", follow=True).content.decode()


def test_the_cohort_says_what_is_missing_and_owed(desk: Client) -> None:
    ConsentTextFactory.create()
    school = SchoolFactory.create(starts_on=date(2027, 5, 7), capacity=1)
    golfer = GolferFactory.create(
        full_name="Pip Oldacre",
        handedness="left",
        handicap_index="-1.5",
        birth_date=date(2014, 1, 1),
        guardian_name="Hugh",
        guardian_phone="1",
    )
    consented(enrol(school=school, golfer=golfer, actor=None), "filming", "terms", "risk")
    enrol(school=school, golfer=GolferFactory.create(full_name="Wendy Waits"), actor=None)
    text = page(desk, f"/schools/{school.pk}/")
    for words in ("Pip Oldacre", "minor", "left-handed", "+1.5", "missing:", "owes £960.00"):
        assert words in text
    assert "stills shown in class" in text
    assert "Wendy Waits" in text


def test_offers_are_shown_with_their_end(desk: Client) -> None:
    school = SchoolFactory.create(time_zone="Europe/Paris")
    ends_at = datetime(2027, 4, 1, 16, 30, tzinfo=UTC)
    EnrolmentFactory.create(school=school, state="offered", offer_ends_at=ends_at)
    text = page(desk, f"/schools/{school.pk}/")
    assert "1 offered" in text
    assert "Thursday 1 April, 18:30" in text


def test_the_terms_are_shown_before_and_after(desk: Client, terms: dict[str, Any]) -> None:
    programme = Programme.objects.get()
    programme.refund_steps.create(days_before=28, percent=50)
    before = page(desk, "/schools/new/")
    after = desk.post("/schools/new/", terms, follow=True).content.decode()
    for text in (before, after):
        assert "28 days or more before the first day: 50 % of the price is given back" in text
    assert "£200.00, due at once" in after


def test_who_cancelled_stays_to_be_found(desk: Client) -> None:
    school = SchoolFactory.create()
    enrolment = enrol(school=school, golfer=GolferFactory.create(full_name="Cass"), actor=None)
    cancel_enrolment(enrolment=enrolment, why="", actor=None)
    assert "Cancelled: 1" in page(desk, f"/schools/{school.pk}/")


def test_the_page_takes_as_many_queries_for_a_larger_cohort(desk: Client) -> None:
    counts = []
    for size in (3, 6):
        school = SchoolFactory.create(capacity=size)
        for _ in range(size + 2):
            consented(enrol(school=school, golfer=GolferFactory.create(), actor=None), "terms")
        counts.append(queries_of(lambda school=school: desk.get(f"/schools/{school.pk}/")))  # type: ignore[misc]
    assert counts[0] == counts[1]


def test_the_number_of_seats_is_changed(desk: Client) -> None:
    school = SchoolFactory.create()
    answer = desk.post(f"/schools/{school.pk}/capacity/", {"capacity": 14}, follow=True)
    assert "now has 14 seats" in answer.content.decode()


def test_too_few_seats_are_refused_on_the_page(desk: Client) -> None:
    school = SchoolFactory.create()
    EnrolmentFactory.create_batch(2, school=school)
    answer = desk.post(f"/schools/{school.pk}/capacity/", {"capacity": 1})
    assert "2 golfers have a seat" in answer.content.decode()


def test_the_page_says_what_closing_will_do(desk: Client) -> None:
    school = SchoolFactory.create(starts_on=date(2025, 5, 7))
    words = page(desk, f"/schools/{school.pk}/")
    assert "sends the reports that are signed by then" in words
    assert f"/schools/{school.pk}/reports/" in words


def test_closing_leads_to_the_reports(desk: Client, front_desk: Account) -> None:
    school = SchoolFactory.create(starts_on=date(2025, 5, 7))
    answer = desk.post(f"/schools/{school.pk}/close/")
    assert answer.headers["Location"] == f"/schools/{school.pk}/reports/"
    school.refresh_from_db()
    assert school.state == "closed"


def test_closing_early_must_be_ticked(desk: Client) -> None:
    school = SchoolFactory.create(starts_on=datetime.now(UTC).date() + timedelta(days=9))
    url = f"/schools/{school.pk}/close/"
    assert "Say that you mean to close early" in desk.post(url).content.decode()
    desk.post(url, {"early": "on"})
    school.refresh_from_db()
    assert school.state == "closed"


def test_a_closed_school_has_no_buttons_left(desk: Client) -> None:
    school = SchoolFactory.create(state="closed", closed_at=datetime(2027, 5, 9, tzinfo=UTC))
    text = page(desk, f"/schools/{school.pk}/")
    assert "Add a golfer" not in text
    assert "Close the school" not in text
