"""Ball flight from an instrument's table: each step of the page, and what a refusal keeps."""

from collections.abc import Callable
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from assessments.flight_csv import SAMPLE
from assessments.models import Entry, Instrument
from lessons.models import Session
from school.models import Account
from tests.assessments.factories import attendee_of, session_at
from tests.assessments.instruments import InstrumentFactory

pytestmark = pytest.mark.django_db
ClientOf = Callable[[Account | None], Client]
READ = {"column_club": "Club", "column_carry_m": "Carry (m)", "unit_carry_m": "m", "side_sign": "1"}
OTHER = "Wurf;Weite\n1;130\n"


@pytest.fixture
def client(instructor: Account, client_of: ClientOf) -> Client:
    return client_of(instructor)


@pytest.fixture
def session(instructor: Account) -> Session:
    return session_at(instructor, "ball_flight")


@pytest.fixture
def send(client: Client, session: Session) -> Callable[..., Any]:
    """Press a button of the page: `do` with what stands in the form."""
    at = reverse("flight_table", args=[session.pk, attendee_of(session).pk, "ball_flight"])
    return lambda do, **typed: client.post(at, {**typed, "do": do})


def record_from(page: Any, send: Callable[..., Any], **changed: Any) -> Any:
    """Press Record under the shots that the page shows."""
    sitting = page.context["sitting"]
    typed = {**sitting.form.data, **sitting.columns.data, **sitting.clubs.data}
    del typed["do"]
    return send("record", **{**typed, "seen": sitting.seen, **changed})


def words_of(answer: Any) -> str:
    return " ".join(answer.content.decode().split())


def test_the_entry_page_leads_to_the_table(client: Client, session: Session) -> None:
    place = [session.pk, attendee_of(session).pk, "ball_flight"]
    page = client.get(reverse("entry_new", args=place)).content.decode()
    assert reverse("flight_table", args=place) in page


def test_a_station_without_tables_has_no_such_page(client: Client, instructor: Account) -> None:
    session = session_at(instructor, "putting")
    at = reverse("flight_table", args=[session.pk, attendee_of(session).pk, "putting"])
    assert client.get(at).status_code == 404


def test_a_file_with_known_headings_is_shown_at_once(send: Callable[..., Any]) -> None:
    upload = SimpleUploadedFile("shots.csv", SAMPLE.encode("utf-16"))
    page = send("read", upload=upload)
    assert "Record 2 shots" in words_of(page)
    assert "Club;Carry (m)" in page.context["form"]["table"].value()
    assert not Entry.objects.exists()


def test_the_shots_that_were_seen_are_recorded_once(
    send: Callable[..., Any], session: Session
) -> None:
    page = send("read", table=SAMPLE)
    answers = [record_from(page, send) for _ in range(2)]
    assert [answer.status_code for answer in answers] == [302, 302]
    entry = Entry.objects.get()
    assert (entry.payload["club"], len(entry.payload["shots"])) == ("7i", 2)
    assert entry.payload["shots"][1] == {
        "carry_m": 139.0,
        "side_m": -2.0,
        "ball_speed_mps": 52.9,
        "club_speed_mps": 38.4,
    }


def test_several_clubs_become_several_entries(send: Callable[..., Any]) -> None:
    page = send("read", table="Club,Carry (m)\nPW,90\n7i,130\nPW,92\n")
    record_from(page, send)
    payloads = Entry.objects.values_list("payload", flat=True)
    assert {each["club"]: len(each["shots"]) for each in payloads} == {"pw": 2, "7i": 1}


def test_what_nobody_told_is_asked_for(send: Callable[..., Any]) -> None:
    page = send("read", table="Carry\n150\n")
    assert "Say what the carry is written in" not in words_of(page)
    page = send("look", table="Carry\n150\n", column_carry_m="Carry", side_sign="1")
    assert "Say what the carry is written in" in words_of(page)
    page = send("look", table="Carry\n150\n", **{**READ, "column_carry_m": "Carry"})
    assert "Select a valid choice" in words_of(page)  # there is no column of clubs


def test_a_table_without_clubs_asks_for_the_club(send: Callable[..., Any]) -> None:
    typed = {"column_carry_m": "Carry", "unit_carry_m": "yd", "side_sign": "1"}
    page = send("look", table="Carry\n150\n", **typed)
    assert "Say which club was hit" in words_of(page)
    (name,) = page.context["sitting"].clubs.fields
    page = send("look", table="Carry\n150\n", **typed, **{name: "iron"})
    record_from(page, send)
    assert Entry.objects.get().payload["shots"] == [{"carry_m": 137.16}]


def test_what_is_refused_is_shown_in_words_and_stays_out(send: Callable[..., Any]) -> None:
    page = send("read", table="Club,Carry (m)\n7i,130\n7i,1300\n7i,far\nAverage,130\n")
    words = words_of(page)
    assert "Carry must be a number from 0 to 400 m." in words
    assert "“far” is no number" in words
    assert "“Average” sums up other rows" in words
    record_from(page, send)
    assert len(Entry.objects.get().payload["shots"]) == 1


def test_only_what_was_seen_is_recorded(send: Callable[..., Any]) -> None:
    page = send("read", table="Club,Carry (m),Side (m)\n7i,130,4\n")
    page = record_from(page, send, side_sign="-1")
    assert "The shots are read differently now" in words_of(page)
    assert not Entry.objects.exists()
    record_from(page, send)
    assert Entry.objects.get().payload["shots"][0]["side_m"] == -4


def test_a_table_that_cannot_be_read_is_kept_in_the_form(send: Callable[..., Any]) -> None:
    page = send("read", upload=SimpleUploadedFile("shots.csv", b"1,2\n3,4\n"))
    assert "No row names the columns" in words_of(page)
    assert page.context["form"]["table"].value() == "1,2\n3,4\n"


def test_nothing_sent_is_said(send: Callable[..., Any]) -> None:
    assert "Paste a list or choose a file" in words_of(send("read"))


def test_leaving_every_club_out_records_nothing(send: Callable[..., Any]) -> None:
    page = send("read", table=SAMPLE)
    (name,) = page.context["sitting"].clubs.fields
    page = record_from(page, send, **{name: "-"})
    assert "no shot here that can be recorded" in words_of(page)


def test_an_instrument_is_kept_and_offered_first_next_time(
    send: Callable[..., Any], client: Client, session: Session
) -> None:
    send("keep", table=OTHER, **kept_as("Box", "Weite", "yd"))
    box = Instrument.objects.get()
    assert (box.columns, box.units) == ({"carry_m": "Weite"}, {"carry_m": "yd"})
    at = reverse("flight_table", args=[session.pk, attendee_of(session).pk, "ball_flight"])
    assert client.get(at).context["form"].initial["instrument"] == box
    page = send("read", table="by nobody\nWurf;Weite\n1;140\n", instrument=box.pk)
    assert page.context["sitting"].columns.data["column_carry_m"] == "Weite"


def test_keeping_under_the_same_name_changes_it(send: Callable[..., Any]) -> None:
    box = InstrumentFactory.create(name="Box")
    typed = {"table": OTHER, "instrument": box.pk, **kept_as("box", "Weite", "yd")}
    send("keep", **typed)
    box.refresh_from_db()
    assert (box.name, box.columns) == ("box", {"carry_m": "Weite"})


@pytest.mark.parametrize(("name", "words"), [("", "a name"), ("BOX", "of this name already")])
def test_a_name_that_will_not_do(send: Callable[..., Any], name: str, words: str) -> None:
    InstrumentFactory.create(name="Box")
    page = send("keep", table=OTHER, **kept_as(name, "Weite", "yd"))
    assert words in words_of(page)
    assert page.context["form"]["table"].value() == OTHER


@pytest.mark.parametrize("cookie", ["999", "two", "²", "9" * 30])
def test_an_instrument_that_is_gone_is_nobodys(
    client: Client, session: Session, cookie: str
) -> None:
    client.cookies["instrument"] = cookie
    at = reverse("flight_table", args=[session.pk, attendee_of(session).pk, "ball_flight"])
    assert client.get(at).context["form"].initial["instrument"] is None


def test_a_longer_table_costs_no_more_queries(
    send: Callable[..., Any], django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    with django_assert_max_num_queries(40) as one:
        send("read", table=SAMPLE)
    rows = "".join(f"club {n};130,5;1;50;40\n" for n in range(40))
    with django_assert_max_num_queries(len(one)):
        send("read", table=SAMPLE + rows)


def kept_as(name: str, heading: str, unit: str) -> dict[str, str]:
    columns = {"column_carry_m": heading, "unit_carry_m": unit, "side_sign": "1"}
    return {**columns, "instrument_name": name}
