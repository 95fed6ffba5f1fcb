"""The desk's pages about people: search, merge, move, the trail, files."""

from collections.abc import Callable
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from school.actions.enrolment import enrol
from school.actions.merge import merge_golfers
from school.actions.money import record_payment
from school.models import Account, Enrolment, Golfer
from tests.factories import EnrolmentFactory, GolferFactory, SchoolFactory, consented

ClientOf = Callable[[Account | None], Client]
NAMES = [
    "search",
    "duplicates",
    "golfer",
    "golfer_merge",
    "enrolment_move",
    "school_export",
    "audit_trail",
]


@pytest.fixture
def enrolment(db: None) -> Enrolment:
    golfer = GolferFactory.create(full_name="Łukasz Żółć", email="lz@example.org")
    school = SchoolFactory.create(name="Spring school", price=Decimal(960))
    made = enrol(school=school, golfer=golfer, actor=None)
    record_payment(enrolment=made, amount=Decimal(240), method="cash", actor=None)
    return made


@pytest.fixture
def double(enrolment: Enrolment) -> Golfer:
    return GolferFactory.create(
        full_name="Lukasz Zolc", email="LZ@example.org", phone="01632 960303"
    )


@pytest.fixture
def urls(enrolment: Enrolment, double: Golfer) -> dict[str, str]:
    args: dict[str, list[int]] = {
        "golfer": [enrolment.golfer_id],
        "golfer_merge": [enrolment.golfer_id, double.pk],
        "enrolment_move": [enrolment.pk],
        "school_export": [enrolment.school_id],
    }
    return {name: reverse(name, args=args.get(name, [])) for name in NAMES}


@pytest.mark.parametrize("who", ["front_desk", "owner"])
@pytest.mark.parametrize("name", NAMES)
def test_the_desk_sees_its_pages(
    request: pytest.FixtureRequest, client_of: ClientOf, urls: dict[str, str], who: str, name: str
) -> None:
    assert client_of(request.getfixturevalue(who)).get(urls[name]).status_code == 200


@pytest.mark.parametrize("who", ["instructor", "golfer", "stranger"])
@pytest.mark.parametrize("name", NAMES)
def test_to_others_there_is_no_such_page(
    request: pytest.FixtureRequest, client_of: ClientOf, urls: dict[str, str], who: str, name: str
) -> None:
    client = client_of(request.getfixturevalue(who))
    assert client.get(urls[name]).status_code == 404
    assert client.post(urls[name]).status_code == 404


@pytest.mark.parametrize("name", NAMES)
def test_signed_out_leads_to_signing_in(
    client_of: ClientOf, urls: dict[str, str], name: str
) -> None:
    answer = client_of(None).post(urls[name])
    assert answer.headers["Location"].startswith("/sign-in/")


def test_the_door_is_the_desks(desk: Client) -> None:
    page = desk.get("/people/").content.decode()
    assert '<a href="/people/" aria-current="true">People</a>' in page


def test_searching_without_accents(desk: Client, enrolment: Enrolment) -> None:
    EnrolmentFactory.create(golfer__full_name="Ann Bell")
    page = desk.get("/people/?q=zolc").content.decode()
    assert "1 golfer found for “zolc”." in page
    assert "Łukasz Żółć" in page
    assert "Spring school" in page
    assert "Ann Bell" not in page


def test_nobody_found_is_said(desk: Client, enrolment: Enrolment) -> None:
    page = desk.get("/people/?q=nemo").content.decode()
    assert "Nobody on file has “nemo”" in page


def test_an_empty_house_says_how_it_fills(desk: Client) -> None:
    assert "Nobody on file yet" in desk.get("/people/").content.decode()


def test_the_next_page_keeps_the_words(desk: Client, db: None) -> None:
    GolferFactory.create_batch(51, phone="01632 960303")
    page = desk.get("/people/?q=golfer+example").content.decode()
    assert 'href="?q=golfer+example&amp;page=2"' in page


def test_a_golfers_page_has_everything(desk: Client, enrolment: Enrolment, double: Golfer) -> None:
    consented(enrolment, "terms")
    page = desk.get(f"/people/{enrolment.golfer_id}/").content.decode()
    for said in (
        "Spring school, 7 May 2027",
        "owes £720.00",
        "£960.00",
        "Terms of the school, text 1",
        "Lukasz Zolc",
        "recorded a payment of £240.00",
        f"/attendees/{enrolment.pk}/move/",
    ):
        assert said in page


def test_a_merged_golfers_page_leads_to_who_it_became(
    desk: Client, enrolment: Enrolment, double: Golfer
) -> None:
    merge_golfers(keep=enrolment.golfer, gone=double, take={}, actor=None)
    answer = desk.get(f"/people/{double.pk}/")
    assert answer.headers["Location"] == f"/people/{enrolment.golfer_id}/"


def test_pairs_are_suggested_in_words(desk: Client, enrolment: Enrolment, double: Golfer) -> None:
    page = desk.get("/people/duplicates/").content.decode()
    assert "the same e-mail" in page
    assert f"/people/{enrolment.golfer_id}/merge/{double.pk}/" in page


def test_merging_as_chosen(desk: Client, urls: dict[str, str], double: Golfer) -> None:
    page = desk.get(urls["golfer_merge"]).content.decode()
    assert "Which value stays" in page
    answer = desk.post(
        urls["golfer_merge"], {"full_name": "gone", "email": "keep", "phone": "gone"}, follow=True
    )
    assert "are one golfer now" in answer.content.decode()
    double.refresh_from_db()
    assert double.merged_into is not None
    assert double.merged_into.full_name == "Lukasz Zolc"
    assert double.merged_into.phone == "01632 960303"


def test_an_unanswered_choice_is_asked_beside_its_field(desk: Client, urls: dict[str, str]) -> None:
    page = desk.post(urls["golfer_merge"], {"email": "keep"}).content.decode()
    assert "Not done." in page
    assert "This field is required." in page


def test_a_refused_merge_says_why_and_has_no_button(
    desk: Client, enrolment: Enrolment, double: Golfer, urls: dict[str, str]
) -> None:
    enrol(school=enrolment.school, golfer=double, actor=None)
    page = desk.get(urls["golfer_merge"]).content.decode()
    assert "Both are in Spring school, 7 May 2027." in page
    assert "Merge the two</button>" not in page


def test_moving_shows_first_and_then_does(desk: Client, enrolment: Enrolment) -> None:
    there = SchoolFactory.create(name="Autumn school", price=Decimal(800))
    url = f"/attendees/{enrolment.pk}/move/"
    page = desk.get(url, {"to": there.pk}).content.decode()
    assert "£240.00 counts as paid for Autumn school" in page
    assert there.enrolments.count() == 0
    answer = desk.post(url, {"to": there.pk}, follow=True)
    assert "has seat 1 in Autumn school" in answer.content.decode()
    assert there.enrolments.get().balance() == Decimal(560)


def test_a_school_in_another_currency_cannot_be_chosen(desk: Client, enrolment: Enrolment) -> None:
    abroad = SchoolFactory.create(currency="EUR")
    answer = desk.post(f"/attendees/{enrolment.pk}/move/", {"to": abroad.pk})
    assert "No other school in GBP is open" in answer.content.decode()
    assert abroad.enrolments.count() == 0


def test_a_cancelled_attendee_cannot_be_moved(desk: Client, enrolment: Enrolment) -> None:
    there = SchoolFactory.create()
    desk.post(f"/attendees/{enrolment.pk}/move/", {"to": there.pk})
    page = desk.get(f"/attendees/{enrolment.pk}/move/", {"to": there.pk}).content.decode()
    assert "is no longer enrolled in Spring school" in page


def test_the_trail_is_filtered(desk: Client, enrolment: Enrolment) -> None:
    everything = desk.get("/trail/").content.decode()
    assert "enrolled Łukasz Żółć in Spring school" in everything
    some = desk.get(f"/trail/?verb=seat&school={enrolment.school_id}").content.decode()
    assert "gave seat 1 to Łukasz Żółć" in some
    assert "enrolled Łukasz" not in some


def test_a_wrong_filter_is_said_beside_it(desk: Client, enrolment: Enrolment) -> None:
    page = desk.get("/trail/", {"since": "yesterday"}).content.decode()
    assert "Enter a valid date." in page
    assert 'value="yesterday"' in page


def test_a_file_is_taken(desk: Client, enrolment: Enrolment, urls: dict[str, str]) -> None:
    answer = desk.post(urls["school_export"], {"file": "cohort", "columns": ["name", "balance"]})
    assert answer.headers["Content-Disposition"].endswith('spring-school-2027-05-07-cohort.csv"')
    assert answer.content.startswith(b"\xef\xbb\xbf")
    assert "Łukasz Żółć" in answer.content.decode()


def test_a_file_without_columns_is_refused(desk: Client, urls: dict[str, str]) -> None:
    answer = desk.post(urls["school_export"], {"file": "ledger"})
    assert "Tick at least one column." in answer.content.decode()


def test_private_columns_are_not_ticked(desk: Client, urls: dict[str, str]) -> None:
    page = desk.get(urls["school_export"]).context["cohort"]
    assert "name" in page.fields["columns"].initial
    assert "care_notes" not in page.fields["columns"].initial


def test_the_schools_page_says_what_is_missing_from_whom(
    desk: Client, enrolment: Enrolment
) -> None:
    page = desk.get(f"/schools/{enrolment.school_id}/").content.decode()
    assert "Birth date or guardian: 1 attendee." in page
    assert "birth date, emergency contact" in page
    assert f"/schools/{enrolment.school_id}/export/" in page
    assert f"/trail/?school={enrolment.school_id}" in page


def test_the_attendees_page_leads_to_moving_and_the_golfer(
    desk: Client, enrolment: Enrolment
) -> None:
    page = desk.get(f"/attendees/{enrolment.pk}/").content.decode()
    assert f"/attendees/{enrolment.pk}/move/" in page
    assert f'href="/people/{enrolment.golfer_id}/"' in page
