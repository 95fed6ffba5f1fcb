"""Whole lists: separators, encodings, headings, errors by row and column."""

import csv
import io
from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path
from unicodedata import normalize

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from school.details import Agreement, GolferDetails
from school.errors import ImportRefused
from school.golfer_csv import MAX_ROWS, SAMPLE, Sheet, read_golfers

TODAY = date(2027, 1, 15)
FIXTURES = Path(__file__).parents[3] / "fixtures" / "tarnholm"


def read(data: bytes | str) -> Sheet:
    return read_golfers(data, today=TODAY)


def errors(data: bytes | str) -> list[tuple[int, str]]:
    return [(error.row, error.column) for error in read(data).errors]


def words(data: str) -> str:
    return " ".join(error.words for error in read(data).errors)


def rows(*lines: str) -> str:
    return "\n".join(("name,handed,email,birth date", *lines))


def test_the_sample_reads_without_an_error() -> None:
    sheet = read(SAMPLE)
    assert (sheet.errors, sheet.notes) == ((), ())
    alma, pip = sheet.rows
    assert alma.details == GolferDetails(
        full_name="Alma Fenwright",
        handedness="left",
        email="alma@example.org",
        phone="01632 960301",
        birth_date=date(1979, 4, 30),
        handicap_index=Decimal("18.4"),
        emergency_contact="Jon Fenwright 01632 960302",
    )
    assert alma.agreement == Agreement(frozenset({"terms", "risk", "filming"}), "Alma Fenwright")
    assert (pip.number, pip.details.birth_date) == (3, date(2014, 9, 17))


@pytest.mark.parametrize(("name", "count"), [("cohort.csv", 12), ("next_cohort.csv", 5)])
def test_the_lists_of_the_demo_read_without_an_error(name: str, count: int) -> None:
    sheet = read((FIXTURES / name).read_bytes())
    assert (len(sheet.rows), sheet.errors, sheet.notes) == (count, (), ())


@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_any_of_three_separators(separator: str) -> None:
    sheet = read(
        separator.join(["name", "handed", "email"])
        + "\n"
        + separator.join(["Alma", "L", "a@b.example"])
    )
    assert sheet.rows[0].details.handedness == "left"


def test_a_semicolon_list_may_have_commas_in_its_cells() -> None:
    sheet = read("name;handed;email;handicap\nAlma, the elder;left;a@b.example;18,4")
    assert sheet.rows[0].details.handicap_index == Decimal("18.4")
    assert sheet.rows[0].details.full_name == "Alma, the elder"


def test_a_spreadsheets_hint_at_its_separator_is_passed_over() -> None:
    assert read("sep=;\r\nname;handed;email\r\nAlma;left;a@b.example").rows


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_encodings_that_say_what_they_are(encoding: str) -> None:
    sheet = read(rows("Łukasz Żółć,left,l@b.example,").encode(encoding))
    assert (sheet.rows[0].details.full_name, sheet.notes) == ("Łukasz Żółć", ())


def test_another_encoding_is_guessed_and_said() -> None:
    sheet = read(rows("Zoë Brændli,left,z@b.example,").encode("cp1252"))
    assert sheet.rows[0].details.full_name == "Zoë Brændli"
    assert "Windows-1252" in sheet.notes[0]


def test_one_name_is_one_name_however_its_accents_are_spelt() -> None:
    assert errors(rows("Zoe\u0308,left,z@b.example,", "Zo\u00eb,left,z@b.example,")) == [
        (3, "name")
    ]


@pytest.mark.parametrize(
    ("data", "words"),
    [
        ("", "empty"),
        (" \n\n ", "empty"),
        ("name,handed\n", "no golfers"),
        ("first,second\n1,2", "“name” and “handed”"),
        ("name,phone\nAlma,1", "“handed” is not"),
        ("name,handed,Golfer\nA,l,B", "Two columns"),
        ('name,handed\n"Alma,left', "quotation mark"),
        ('name,handed\n"Al"ma,left', "quotation mark"),
        (b"\x81\x8d\xff", "letters cannot be read"),
        (b"\xff\xfe\x00", "letters cannot be read"),
        (b"PK\x03\x04\x00\x00", "no text file"),
        ("x" * 500_001, "500,000"),
    ],
)
def test_what_is_no_list_is_refused(data: bytes | str, words: str) -> None:
    with pytest.raises(ImportRefused, match=words):
        read(data)


def test_too_many_rows_are_refused() -> None:
    with pytest.raises(ImportRefused, match=f"{MAX_ROWS} at most"):
        read(rows(*[f"Golfer {n},left,g{n}@b.example," for n in range(MAX_ROWS + 1)]))


def test_headings_are_known_by_other_names_in_any_order() -> None:
    sheet = read("E-Mail;Date of Birth;HANDEDNESS;Full name\na@b.example;1980-12-31;l;Alma")
    details = sheet.rows[0].details
    assert (details.full_name, details.birth_date) == ("Alma", date(1980, 12, 31))


def test_an_unknown_column_is_left_out_and_said() -> None:
    sheet = read("name,handed,email,Shoe size\nAlma,left,a@b.example,=41")
    assert (sheet.errors, sheet.notes) == ((), ("The column “Shoe size” is not used.",))


def test_rows_are_counted_as_a_spreadsheet_does() -> None:
    assert errors(rows("", "Alma,both,a@b.example,", "", "Bo,left,,31/31/1980")) == [
        (3, "handed"),
        (5, "birth date"),
    ]


def test_every_error_of_a_row_is_found_at_once() -> None:
    assert errors("name,handed,handicap,consent terms,email\n=1,both,99,perhaps,@b\n") == [
        (2, "name"),
        (2, "email"),
        (2, "handed"),
        (2, "handicap"),
        (2, "consent terms"),
    ]


def test_a_nameless_row_is_an_error() -> None:
    assert errors(rows(",left,a@b.example,")) == [(2, "name")]


def test_who_could_not_be_known_again_is_an_error() -> None:
    assert errors(rows("Alma,left,,")) == [(2, "email")]


def test_consents_that_nobody_gave_are_an_error() -> None:
    assert errors("name,handed,email,consent terms\nAlma,left,a@b.example,yes") == [
        (2, "consent by")
    ]


def test_a_birth_date_ahead_is_an_error() -> None:
    assert errors(rows("Alma,left,,2027-01-16")) == [(2, "birth date")]


def test_more_cells_than_headings_are_an_error() -> None:
    assert "quotation marks" in words(rows("Alma,left,a@b.example,1980-01-01,18,4"))


def test_fewer_cells_than_headings_are_empty_cells() -> None:
    assert read(rows("Alma,left,a@b.example")).rows[0].details.birth_date is None


@pytest.mark.parametrize(
    "twin", ["ALMA,left,A@B.example,", "Alma,right,,1980-12-31", "Alma,left,a@b.example,31/12/1980"]
)
def test_the_same_golfer_twice_is_an_error(twin: str) -> None:
    assert "row 2 again" in words(rows("Alma,left,a@b.example,1980-12-31", twin))


def test_a_family_shares_an_email() -> None:
    assert errors(rows("Alma,left,a@b.example,", "Bo,left,a@b.example,")) == []


def test_one_date_with_its_month_first_makes_the_others_doubtful() -> None:
    data = rows("A,left,,12/31/1980", "B,left,,3/4/1980", "C,left,,1980-03-05", "D,left,,30/4/1980")
    assert errors(data) == [(2, "birth date"), (3, "birth date")]
    assert "Row 2 has its month first" in words(data)


@settings(max_examples=300)
@given(st.one_of(st.binary(max_size=200), st.text(max_size=200)))
def test_whatever_comes_is_read_or_refused(data: bytes | str) -> None:
    try:
        sheet = read(data)
    except ImportRefused:
        return
    assert sheet.rows or sheet.errors


CELL = st.text(st.characters(codec="utf-8"), max_size=12)
HEADINGS = ["name", "handed", "email", "birth date", "handicap", "consent terms", "consent by"]


@settings(max_examples=300)
@given(
    st.lists(st.lists(CELL, min_size=7, max_size=8), min_size=1, max_size=4),
    st.sampled_from(",;\t"),
)
def test_whatever_stands_in_the_cells_is_read_or_named(table: list[list[str]], mark: str) -> None:
    out = io.StringIO()
    csv.writer(out, delimiter=mark).writerows([HEADINGS, *table])
    try:
        sheet = read(out.getvalue())
    except ImportRefused:
        return
    numbers = {row.number for row in sheet.rows} | {error.row for error in sheet.errors}
    assert numbers <= set(range(2, len(table) + 2))
    assert not {row.number for row in sheet.rows} & {error.row for error in sheet.errors}


NAME = st.text(st.characters(codec="utf-8", categories=["L"]), min_size=1, max_size=20)
GOLFER = st.builds(
    GolferDetails,
    full_name=NAME,
    handedness=st.sampled_from(["left", "right"]),
    email=st.emails().filter(lambda email: email[0] not in "=+-"),
    birth_date=st.none() | st.dates(min_value=date(1930, 1, 1), max_value=TODAY),
    handicap_index=st.none() | st.decimals(min_value="-10.0", max_value="54.0", places=1),
)


@given(GOLFER, st.sampled_from(",;\t"), st.sampled_from(["utf-8-sig", "utf-16"]))
def test_what_was_written_is_read_back(golfer: GolferDetails, mark: str, encoding: str) -> None:
    index = golfer.handicap_index
    handicap = "" if index is None else f"+{-index}" if index < 0 else f"{index}"
    out = io.StringIO()
    csv.writer(out, delimiter=mark).writerows(
        [
            ["name", "handed", "email", "birth date", "handicap"],
            [golfer.full_name, golfer.handedness, golfer.email, golfer.birth_date or "", handicap],
        ]
    )
    expected = replace(golfer, full_name=normalize("NFC", golfer.full_name))
    assert [row.details for row in read(out.getvalue().encode(encoding)).rows] == [expected]
