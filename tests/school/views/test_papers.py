"""Receipts and statements: what they say, and to whom."""

import io
from collections.abc import Callable
from datetime import date, datetime
from decimal import Decimal
from functools import partial
from zoneinfo import ZoneInfo

import pikepdf
import pytest
from django.test import Client

from school.actions.enrolment import enrol
from school.actions.money import record_payment, reverse_entry
from school.errors import PdfLibraryMissing
from school.models import Account, Enrolment, LedgerEntry
from school.queries.papers import receipt_of, statement_of
from tests.factories import GolferFactory, SchoolFactory
from tests.school.counting import queries_of
from tests.school.pdf_text import text_of

pytestmark = pytest.mark.django_db
ClientOf = Callable[[Account | None], Client]


@pytest.fixture
def enrolment(golfer: Account) -> Enrolment:
    school = SchoolFactory.create(
        name="Spring school",
        venue="Tarnholm Links",
        currency="EUR",
        price=Decimal("1200.00"),
        deposit=Decimal("300.00"),
        starts_on=date(2999, 5, 7),
        time_zone="Europe/Helsinki",
    )
    enrolled: Enrolment = enrol(school=school, golfer=golfer.golfer, actor=None)
    return enrolled


def pay(enrolment: Enrolment, amount: str = "100.10", memo: str = "") -> LedgerEntry:
    return record_payment(
        enrolment=enrolment, amount=Decimal(amount), method="transfer", memo=memo, actor=None
    )


def receipt(client: Client, entry: LedgerEntry) -> str:
    return text_of(client.get(f"/receipts/{entry.pk}/").content)


def statement(client: Client, enrolment: Enrolment) -> str:
    return text_of(client.get(f"/statements/{enrolment.pk}/").content)


def test_a_receipt_says_who_what_when_and_what_is_left(desk: Client, enrolment: Enrolment) -> None:
    entry = pay(enrolment, memo="first part")
    text = receipt(desk, entry)
    for words in (
        "Tarnholm Links",
        f"Receipt {entry.pk}",
        "Gail Golfer",
        "€100.10",
        "EUR",
        "bank transfer",
        "first part",
        "Spring school, 7 May to 9 May 2999",
        "€1,099.90 still to pay",
    ):
        assert words in text, words


def test_a_receipt_keeps_the_balance_of_its_own_moment(desk: Client, enrolment: Enrolment) -> None:
    first, last = pay(enrolment, "200.00"), pay(enrolment, "1000.00")
    assert "€1,000.00 still to pay" in receipt(desk, first)
    assert "nothing left to pay" in receipt(desk, last)
    assert "€5.00 in the golfer's favour" in receipt(desk, pay(enrolment, "5.00")).replace("’", "'")


def test_a_receipt_has_the_time_of_the_school(enrolment: Enrolment) -> None:
    entry = LedgerEntry.objects.create(
        enrolment=enrolment,
        kind="payment",
        method="cash",
        amount=Decimal(-5),
        entered_at=datetime(2027, 1, 1, 23, 30, tzinfo=ZoneInfo("UTC")),
    )
    assert f"{receipt_of(entry).paid_at:%Y-%m-%d %H:%M}" == "2027-01-02 01:30"


def test_the_receipt_of_a_reversed_payment_is_no_longer_good(
    desk: Client, enrolment: Enrolment
) -> None:
    entry = pay(enrolment)
    reverse_entry(entry=entry, why="it bounced", actor=None)
    text = receipt(desk, entry)
    assert "This payment was reversed" in text
    assert "it bounced" in text


def test_a_statement_has_every_entry_and_when_the_rest_is_due(
    desk: Client, enrolment: Enrolment
) -> None:
    entry = pay(enrolment, "100.00")
    reverse_entry(entry=entry, why="it bounced", actor=None)
    pay(enrolment, "500.00")
    text = statement(desk, enrolment)
    for words in (
        "Tarnholm Links",
        "Spring school",
        "Amounts are in EUR",
        f"receipt {entry.pk}",
        "it bounced",
        "€1,200.00",
        "€1,100.00",
        "€700.00 still to pay",
        "€700.00 by 9 April 2999",
        f"M{enrolment.pk:06d}",
    ):
        assert words in text, words


def test_a_deposit_is_due_at_once_and_then_has_been(
    desk: Client, enrolment: Enrolment, monkeypatch: pytest.MonkeyPatch
) -> None:
    pay(enrolment, "100.00")
    assert "€200.00 is due today" in statement(desk, enrolment)
    monkeypatch.setattr("school.views.papers.today_at", lambda school: date(2990, 1, 1))
    text = statement(desk, enrolment)
    assert "€200.00 has been due since" in text
    assert "€900.00 by 9 April 2999" in text


def test_a_statement_after_everything_is_paid(desk: Client, enrolment: Enrolment) -> None:
    pay(enrolment, "1200.00")
    assert "Nothing left to pay" in statement(desk, enrolment)
    pay(enrolment, "10.00")
    assert "€10.00 in the golfer" in statement(desk, enrolment)


def test_what_is_still_to_pay_adds_up_to_the_balance(enrolment: Enrolment) -> None:
    for amount in ("0.01", "299.99", "333.33"):
        pay(enrolment, amount)
        found = statement_of(enrolment)
        assert sum(left for _, left in found.rest) == found.balance


def test_papers_are_tagged_and_their_headings_say_what_they_head(
    desk: Client, enrolment: Enrolment
) -> None:
    entry = pay(enrolment)
    scopes = set()
    for url in (f"/receipts/{entry.pk}/", f"/statements/{enrolment.pk}/"):
        with pikepdf.open(io.BytesIO(desk.get(url).content)) as pdf:
            assert pdf.Root.MarkInfo.Marked
            assert str(pdf.Root.Lang) == "en-GB"
            heads = [o for o in pdf.objects if isinstance(o, pikepdf.Dictionary)]
            scopes |= {str(o.A.Scope) for o in heads if o.get("/S") == "/TH"}
    assert scopes == {"/Row", "/Column"}


def test_a_name_cannot_break_out_of_a_paper(desk: Client, enrolment: Enrolment) -> None:
    golfer = GolferFactory.create(full_name='<img src="file:///etc/passwd"> "Łukasz"')
    other = enrol(school=enrolment.school, golfer=golfer, actor=None)
    answer = desk.get(f"/statements/{other.pk}/")
    assert "<img" in text_of(answer.content)
    assert "\n" not in answer.headers["Content-Disposition"]


def test_the_golfer_has_their_own_papers_and_no_one_elses(
    client_of: ClientOf, golfer: Account, other_golfer: Account, enrolment: Enrolment
) -> None:
    urls = [f"/receipts/{pay(enrolment).pk}/", f"/statements/{enrolment.pk}/"]
    assert [client_of(golfer).get(url).status_code for url in urls] == [200, 200]
    assert [client_of(other_golfer).get(url).status_code for url in urls] == [404, 404]


@pytest.mark.parametrize("who", ["instructor", "stranger"])
def test_to_others_there_are_no_papers(
    request: pytest.FixtureRequest, client_of: ClientOf, who: str, enrolment: Enrolment
) -> None:
    client = client_of(request.getfixturevalue(who))
    assert client.get(f"/receipts/{pay(enrolment).pk}/").status_code == 404
    assert client.get(f"/statements/{enrolment.pk}/").status_code == 404


def test_the_desk_and_the_golfer_find_their_papers(
    desk: Client, golfer: Account, client_of: ClientOf, enrolment: Enrolment
) -> None:
    entry = pay(enrolment)
    page = desk.get(f"/attendees/{enrolment.pk}/").content.decode()
    assert f"/receipts/{entry.pk}/" in page
    assert f"/statements/{enrolment.pk}/" in page
    mine = client_of(golfer).get("/mine/").content.decode()
    assert f"/pay-online/{enrolment.pk}/" in mine


def test_only_a_payment_has_a_receipt(desk: Client, enrolment: Enrolment) -> None:
    assert desk.get(f"/receipts/{enrolment.ledger.get().pk}/").status_code == 404
    assert desk.post(f"/statements/{enrolment.pk}/").status_code == 405


def test_a_paper_is_downloaded_and_kept_by_nobody_else(desk: Client, enrolment: Enrolment) -> None:
    answer = desk.get(f"/statements/{enrolment.pk}/")
    assert answer.headers["Content-Disposition"].startswith("attachment; filename=")
    assert answer.headers["Cache-Control"] == "private, no-store"


def test_a_missing_library_is_said_in_words(
    desk: Client, enrolment: Enrolment, monkeypatch: pytest.MonkeyPatch
) -> None:
    def missing(*args: object, **kwargs: object) -> None:
        raise PdfLibraryMissing("A PDF needs the library pango.")

    monkeypatch.setattr("school.views.papers.print_pdf", missing)
    answer = desk.get(f"/statements/{enrolment.pk}/", follow=True)
    assert "needs the library pango" in answer.content.decode()


def test_papers_take_as_many_queries_however_long(enrolment: Enrolment) -> None:
    counts = []
    for _ in range(2):
        for _ in range(3):
            entry = pay(enrolment, "1.00")
        counts.append(
            (queries_of(partial(receipt_of, entry)), queries_of(lambda: statement_of(enrolment)))
        )
    assert counts == [(1, 3), (1, 3)]
