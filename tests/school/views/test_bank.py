"""The desk's pages of bank lines."""

from decimal import Decimal

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from school.actions.bank import match_line
from school.actions.enrolment import enrol
from school.bank_csv import payment_reference
from school.models import BankLine, Enrolment
from school.queries.bank import dealt_with, worklist
from tests.factories import BankLineFactory, GolferFactory, SchoolFactory
from tests.school.counting import queries_of

pytestmark = pytest.mark.django_db

TABLE = "date;amount;text\n1.3.2027;240,00;Maren Thistlewood\n2.3.2027;-9,00;rent\n"
LINES = "/cashbook/bank/lines/"


@pytest.fixture
def enrolment(db: None) -> Enrolment:
    golfer = GolferFactory.create(full_name="Maren Thistlewood")
    return enrol(school=SchoolFactory.create(), golfer=golfer, actor=None)


def line_of(enrolment: Enrolment) -> BankLine:
    return BankLineFactory.create(text=payment_reference(enrolment.pk))


def text(client: Client, url: str = LINES) -> str:
    return client.get(url).content.decode()


def test_a_dry_run_shows_the_lines_and_keeps_none(desk: Client, enrolment: Enrolment) -> None:
    page = desk.post("/cashbook/bank/", {"lines": TABLE, "currency": "GBP"}).content.decode()
    for words in ("£240.00", "Maren Thistlewood", "left out: 1 line", "Import 1 line"):
        assert words in page
    assert not BankLine.objects.exists()


def test_the_second_button_keeps_them(desk: Client, enrolment: Enrolment) -> None:
    typed = {"lines": TABLE, "currency": "GBP", "confirm": "yes"}
    page = desk.post("/cashbook/bank/", typed, follow=True).content.decode()
    assert "Imported: 1 line." in page
    again = desk.post("/cashbook/bank/", typed, follow=True).content.decode()
    assert "Imported: 0 lines." in again
    assert BankLine.objects.count() == 1


def test_a_file_is_read_and_its_text_is_kept_for_mending(
    desk: Client, enrolment: Enrolment
) -> None:
    upload = SimpleUploadedFile("bank.csv", TABLE.replace("240,00", "24O,00").encode("utf-16"))
    page = desk.post("/cashbook/bank/", {"upload": upload, "currency": "GBP"}).content.decode()
    assert "1 cell to put right" in page
    assert "“24O,00” is no amount" in page
    assert "1.3.2027;24O,00;Maren Thistlewood" in page


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"lines": "", "currency": "GBP"}, "Paste a list or choose a file."),
        ({"lines": TABLE, "currency": "SEK"}, "not one of the available choices"),
        ({"lines": "a,b\n1,2", "currency": "GBP"}, "there must be a heading “date”"),
    ],
)
def test_what_cannot_be_read_is_said_and_kept(
    desk: Client, enrolment: Enrolment, typed: dict[str, str], words: str
) -> None:
    page = desk.post("/cashbook/bank/", typed).content.decode()
    assert words in page
    assert typed["lines"].split("\n")[0] in page


def test_a_line_says_whose_it_may_be_and_why(desk: Client, enrolment: Enrolment) -> None:
    line_of(enrolment)
    page = text(desk)
    assert "1 line is certain" in page
    assert "The reference names Maren Thistlewood, and the amount is the whole balance." in page


def test_a_proposal_is_confirmed(desk: Client, enrolment: Enrolment) -> None:
    line = line_of(enrolment)
    typed = {"who": payment_reference(enrolment.pk)}
    page = desk.post(f"{LINES}{line.pk}/match/", typed, follow=True).content.decode()
    assert "£960.00 from Maren Thistlewood is recorded." in page
    assert enrolment.balance() == Decimal("0.00")


@pytest.mark.parametrize("who", ["", "Maren", "M999999", "M000001 M000002"])
def test_whoever_cannot_be_told_is_asked_for_again(
    desk: Client, enrolment: Enrolment, who: str
) -> None:
    line = line_of(enrolment)
    page = desk.post(f"{LINES}{line.pk}/match/", {"who": who}).content.decode()
    assert "This field is required" in page or "Choose somebody of the list" in page
    assert f'value="{who}"' in page or not who
    assert enrolment.ledger.count() == 1


def test_a_golfer_billed_in_another_currency_is_not_of_the_list(
    desk: Client, enrolment: Enrolment
) -> None:
    line = BankLineFactory.create(currency="EUR")
    typed = {"who": payment_reference(enrolment.pk)}
    page = desk.post(f"{LINES}{line.pk}/match/", typed).content.decode()
    assert "who is billed in EUR" in page


def test_somebody_was_quicker(desk: Client, enrolment: Enrolment) -> None:
    line = line_of(enrolment)
    match_line(line=line, enrolment=enrolment, actor=None)
    typed = {"who": payment_reference(enrolment.pk)}
    desk.post(f"{LINES}{line.pk}/match/", typed)
    assert enrolment.ledger.filter(kind="payment").count() == 1


def test_all_certain_ones_are_confirmed_at_once(desk: Client, enrolment: Enrolment) -> None:
    line = line_of(enrolment)
    pairs = [f"{line.pk}:{enrolment.pk}", "x:1", "99999999999999999999:1"]
    page = desk.post(f"{LINES}certain/", {"pair": pairs}, follow=True).content.decode()
    assert "Recorded: 1 payment." in page
    assert "left: somebody else was quicker" in page


def test_a_line_is_set_aside_and_taken_up_again(desk: Client, enrolment: Enrolment) -> None:
    line = line_of(enrolment)
    page = desk.post(f"{LINES}{line.pk}/aside/", {"why": "interest"}, follow=True)
    assert "set aside: interest" in page.content.decode()
    page = desk.post(f"{LINES}{line.pk}/again/", {"why": "it is hers"}, follow=True)
    assert "The line waits again." in page.content.decode()


@pytest.mark.parametrize("what", ["aside", "again"])
def test_a_reason_is_asked_for(desk: Client, enrolment: Enrolment, what: str) -> None:
    line = line_of(enrolment)
    if what == "again":
        match_line(line=line, enrolment=enrolment, actor=None)
    page = desk.post(f"{LINES}{line.pk}/{what}/", {"why": ""}).content.decode()
    assert "This field is required" in page


def test_an_empty_page_leads_to_the_import(desk: Client) -> None:
    assert "No line waits" in text(desk)


def test_a_banks_text_is_only_text(desk: Client, enrolment: Enrolment) -> None:
    BankLineFactory.create(text="<script>alert(1)</script>")
    assert "<script>alert" not in text(desk)


def test_the_worklist_takes_two_queries_however_long(enrolment: Enrolment) -> None:
    counts = []
    for _ in range(2):
        for _ in range(3):
            golfer = GolferFactory.create()
            line_of(enrol(school=SchoolFactory.create(), golfer=golfer, actor=None))
        counts.append(queries_of(worklist))
    assert counts == [2, 2]


def test_what_was_dealt_with_takes_one_query(enrolment: Enrolment) -> None:
    counts = []
    for _ in range(2):
        for _ in range(2):
            match_line(line=line_of(enrolment), enrolment=enrolment, actor=None)
        counts.append(
            queries_of(lambda: [str(done.entry.enrolment) for done in dealt_with(9) if done.entry])
        )
    assert counts == [1, 1]
