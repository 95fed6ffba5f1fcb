"""The cashbook's first page, closing days, instructor pay."""

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from school.actions.checkouts import start_checkout
from school.actions.days import close_day
from school.actions.enrolment import enrol
from school.actions.money import record_payment
from school.actions.pay import record_earned
from school.models import Account, BankLine, DayClose, Enrolment, PayEntry
from school.queries.cashbook import cashbook_page
from school.queries.days import house_today
from tests.factories import BankLineFactory, GolferFactory, SchoolFactory
from tests.school.counting import queries_of

pytestmark = pytest.mark.django_db
ClientOf = Callable[[Account | None], Client]


@pytest.fixture
def enrolment(db: None) -> Enrolment:
    school = SchoolFactory.create(deposit=Decimal("240.00"))
    return enrol(school=school, golfer=GolferFactory.create(full_name="Maren"), actor=None)


@pytest.fixture
def owners(owner: Account, client_of: ClientOf) -> Client:
    return client_of(owner)


def take(enrolment: Enrolment, amount: str = "100.00") -> None:
    record_payment(enrolment=enrolment, amount=Decimal(amount), method="cash", actor=None)


def start(enrolment: Enrolment) -> None:
    start_checkout(enrolment=enrolment, part="balance", return_url="http://x/", actor=None)


def test_the_first_page_shows_what_waits_and_what_came(desk: Client, enrolment: Enrolment) -> None:
    take(enrolment)
    start(enrolment)
    BankLineFactory.create()
    page = desk.get("/cashbook/").content.decode()
    for words in ("1 line waiting", f"{house_today():%Y-%m-%d}", "£100.00", "not finished"):
        assert words in page
    assert reverse("pay") not in page


def test_the_owner_also_finds_pay(owners: Client) -> None:
    page = owners.get("/cashbook/").content.decode()
    assert reverse("pay") in page
    assert "Nobody has paid yet." in page


def test_the_first_page_takes_five_queries_however_full(enrolment: Enrolment) -> None:
    counts = []
    for _ in range(2):
        for _ in range(3):
            take(enrolment, "1.00")
            start(enrolment)
            BankLineFactory.create()
        counts.append(queries_of(cashbook_page))
    assert counts == [5, 5]


def test_a_day_is_looked_at_and_closed(desk: Client, enrolment: Enrolment) -> None:
    take(enrolment)
    page = desk.get("/cashbook/days/").content.decode()
    assert "Close the day at £100.00" in page
    typed = {"day": f"{house_today()}", "currency": "GBP"}
    page = desk.post("/cashbook/days/", typed, follow=True).content.decode()
    assert "is closed in GBP" in page
    take(enrolment, "5.00")
    page = desk.get("/cashbook/days/").content.decode()
    assert "1 entry came later, £5.00 in all." in page
    assert "Close the day at" not in page


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"day": "soon", "currency": "GBP"}, "Choose a day."),
        ({"day": "2026-06-05", "currency": "pounds"}, "Choose a day."),
        ({}, "Choose a day."),
        ({"day": "2999-01-01", "currency": "GBP"}, "This day has not begun."),
    ],
)
def test_what_is_no_day_to_close(
    desk: Client, enrolment: Enrolment, typed: dict[str, str], words: str
) -> None:
    assert words in desk.post("/cashbook/days/", typed).content.decode()
    assert not DayClose.objects.exists()


def test_a_day_closed_by_somebody_else_says_so(desk: Client, enrolment: Enrolment) -> None:
    close_day(day=house_today(), currency="GBP", actor=None)
    typed = {"day": f"{house_today()}", "currency": "GBP"}
    assert "closed already" in desk.post("/cashbook/days/", typed).content.decode()


@pytest.mark.parametrize("day", ["2026-06-05", "soon", "2999-01-01", ""])
def test_any_day_may_be_asked_for(desk: Client, enrolment: Enrolment, day: str) -> None:
    answer = desk.get("/cashbook/days/", {"day": day})
    assert answer.status_code == 200
    is_ahead = day.startswith("2999")
    assert ("Close the day at" in answer.content.decode()) is not is_ahead


def pay(school: object, **typed: str) -> dict[str, object]:
    lead = school.lead_instructor.pk  # type: ignore[attr-defined]
    return {"kind": "earned", "staff": lead, "school": school.pk, "memo": "May", **typed}  # type: ignore[attr-defined]


def test_the_owner_records_hours_and_what_was_paid(owners: Client, enrolment: Enrolment) -> None:
    school = enrolment.school
    typed = pay(school, hours="12,25".replace(",", "."), rate="37,50")
    page = owners.post("/cashbook/pay/", typed, follow=True).content.decode()
    assert "earned £459.38: recorded." in page
    page = owners.post(
        "/cashbook/pay/", pay(school, kind="paid", amount="400"), follow=True
    ).content.decode()
    assert "was paid £400.00: recorded." in page
    assert "£59.38" in page


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({}, "Give the amount, or hours and rate."),
        ({"hours": "2"}, "Give the amount, or hours and rate."),
        ({"amount": "5", "rate": "5"}, "not both"),
        ({"amount": "five"}, "Enter a number"),
        ({"amount": "5", "memo": ""}, "required"),
        ({"amount": "0"}, "above zero"),
        ({"hours": "0", "rate": "30"}, "above zero"),
    ],
)
def test_pay_that_cannot_be_is_said_and_kept(
    owners: Client, enrolment: Enrolment, typed: dict[str, str], words: str
) -> None:
    page = owners.post("/cashbook/pay/", pay(enrolment.school, **typed)).content.decode()
    assert words in page
    assert not PayEntry.objects.exists()


def test_pay_is_reversed_with_a_reason(owners: Client, enrolment: Enrolment) -> None:
    school = enrolment.school
    entry = record_earned(
        school=school, staff=school.lead_instructor, amount=Decimal(5), memo="May", actor=None
    )
    url = f"/cashbook/pay/{entry.pk}/reverse/"
    assert "This field is required" in owners.post(url, {"why": ""}).content.decode()
    page = owners.post(url, {"why": "typed twice"}, follow=True).content.decode()
    assert "Both stay in the book." in page
    assert "undoes an entry" in page


DESK = ["cashbook", "bank_import", "bank_match", "day_close"]
DESK_POSTS = ["bank_match_certain", "bank_match_one", "bank_set_aside", "bank_take_up"]
OWNER = ["pay"]
OWNER_POSTS = ["pay_reverse"]


@pytest.fixture
def urls(enrolment: Enrolment) -> dict[str, str]:
    line: BankLine = BankLineFactory.create()
    school = enrolment.school
    entry = record_earned(
        school=school, staff=school.lead_instructor, amount=Decimal(5), memo="May", actor=None
    )
    pks = {"pay_reverse": entry.pk, **dict.fromkeys(DESK_POSTS[1:], line.pk)}
    names = DESK + DESK_POSTS + OWNER + OWNER_POSTS
    return {name: reverse(name, args=[pks[name]] if name in pks else []) for name in names}


@pytest.mark.parametrize("name", DESK + DESK_POSTS + OWNER + OWNER_POSTS)
def test_each_page_answers_those_it_is_for(
    front_desk: Account, owner: Account, client_of: ClientOf, urls: dict[str, str], name: str
) -> None:
    is_owners = name in OWNER + OWNER_POSTS
    desk_answer = client_of(front_desk).post(urls[name])
    assert (desk_answer.status_code == 404) == is_owners
    assert client_of(owner).post(urls[name]).status_code in (200, 302)
    if name in DESK_POSTS + OWNER_POSTS:
        assert client_of(owner).get(urls[name]).status_code == 405


@pytest.mark.parametrize("who", ["instructor", "golfer", "stranger"])
@pytest.mark.parametrize("name", DESK + DESK_POSTS + OWNER + OWNER_POSTS)
def test_to_others_there_is_no_such_page(
    request: pytest.FixtureRequest, client_of: ClientOf, urls: dict[str, str], who: str, name: str
) -> None:
    client = client_of(request.getfixturevalue(who))
    assert client.get(urls[name]).status_code == 404
    assert client.post(urls[name]).status_code == 404


@pytest.mark.parametrize(
    "url", ["/cashbook/bank/lines/999/match/", "/cashbook/bank/lines/999/aside/"]
)
def test_a_line_that_is_not_there(desk: Client, url: str) -> None:
    assert desk.post(url).status_code == 404


def test_yesterday_is_offered_for_closing(desk: Client, enrolment: Enrolment) -> None:
    yesterday = house_today() - timedelta(days=1)
    page = desk.get("/cashbook/days/", {"day": f"{yesterday}"}).content.decode()
    assert "No money moved on this day." in page
    assert "The day is not over" not in page
