"""From a file to a table, whatever program wrote it."""

import pytest

from assessments.flight_csv import (
    SAMPLE,
    Reading,
    ShotSheet,
    Table,
    guessed,
    read_shots,
    read_table,
)
from school.errors import ImportRefused

PLAIN = "Club,Carry (yd),Ball Speed [mph],Launch Angle\n7 iron,150,118.5,16.2\n"


def test_headings_in_trade_words_name_their_columns_and_units() -> None:
    reading = guessed(read_table(PLAIN))
    assert reading.columns == {
        "club": "Club",
        "carry_m": "Carry (yd)",
        "ball_speed_mps": "Ball Speed [mph]",
        "launch_deg": "Launch Angle",
    }
    assert reading.units["carry_m"] == "yd"
    assert reading.units["ball_speed_mps"] == "mph"


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "latin-1"])
def test_encodings(encoding: str) -> None:
    table = read_table("Golfer;Carry;Launch °\nGuðrún;150;16\n".encode(encoding))
    assert table.headings == ("Golfer", "Carry", "Launch °")
    assert table.rows[0].cells[0] == "Guðrún"


def test_lines_above_and_a_row_of_units_below_the_headings() -> None:
    table = read_table(
        "Session of 7 May\n\nClub\tCarry\tClub head speed\n\t[yds]\t[mph]\n7i\t150\t85"
    )
    assert table.units == {"Carry": "yd", "Club head speed": "mph"}
    assert [row.number for row in table.rows] == [5]


def test_a_unit_may_stand_in_the_cells() -> None:
    assert guessed(read_table("Carry\n150 yd\n152 yd")).units["carry_m"] == "yd"
    assert "carry_m" not in guessed(read_table("Carry\n150 yd\n152 m")).units


def test_rows_that_sum_up_are_left_out_and_said() -> None:
    sheet = read(f"{PLAIN}Average,150,118.5,16.2\nStd. dev.,0,0,0\n")
    assert [row.number for row in sheet.rows] == [2]
    assert [(each.number, each.words) for each in sheet.left_out] == [
        (3, "“Average” sums up other rows."),
        (4, "“Std. dev.” sums up other rows."),
    ]


def test_headings_that_come_again_are_no_shots() -> None:
    assert len(read_table(PLAIN + PLAIN).rows) == 2


def test_a_row_without_a_reading_is_left_out_and_said() -> None:
    (left,) = read(f"{PLAIN}8 iron,,-,\n").left_out
    assert (left.number, left.words) == (3, "Nothing of a shot stands in it.")


def test_what_cannot_be_read_goes_with_its_row() -> None:
    _, row = read(f"{PLAIN}8 iron,far,118,17\n").rows
    assert row.words == ("carry: “far” is no number.",)
    assert row.values["launch_deg"] == 17


def test_more_cells_than_headings_is_said() -> None:
    _, row = read(f"{PLAIN}8 iron,140,5,118,17\n").rows
    assert "more cells than there are headings" in row.words[0]


def test_headings_nobody_knows_are_found_by_their_place() -> None:
    table = read_table("made by nobody\nSchläger;Länge;Höhe\nE7;137,5;29\n")
    assert table.headings == ("Schläger", "Länge", "Höhe")
    (shot,) = read_shots(table, Reading({"carry_m": "Länge"}, {"carry_m": "m"})).rows
    assert shot.values == {"carry_m": 137.5}


def test_headings_of_an_instrument_are_known() -> None:
    table = read_table("a;b\n1;2\nLänge;Höhe\n137;29\n", saved=frozenset(["Länge"]))
    assert table.headings == ("Länge", "Höhe")


def test_headings_that_stand_twice_or_are_empty_are_told_apart() -> None:
    assert read_table("Carry,,Carry\n1,2,3").headings == ("Carry", "column 2", "Carry (column 3)")


def test_letters_and_signs_say_the_side() -> None:
    table = read_table("Carry (m);Side (m)\n100;4 L\n100;4 R\n100;4\n100;-4\n")
    reading = guessed(table)
    assert sides(table, reading) == [-4, 4, 4, -4]
    assert sides(table, Reading(reading.columns, reading.units, side_sign=-1)) == [-4, 4, -4, 4]


def test_a_unit_of_another_dimension_is_refused() -> None:
    (shot,) = read("Carry (m)\n100 mph\n").rows
    assert shot.words == ("carry: It is written in miles an hour.",)


def test_the_sample_reads_without_a_word() -> None:
    assert [row.words for row in read(SAMPLE).rows] == [(), ()]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "is empty"),
        ("Carry\n", "no shots below"),
        ("1,2\n3,4\n", "No row names the columns"),
        ('Carry,Side\n1,"2\n', "quotation mark"),
        ("Carry\n" + "150\n" * 501, "501 rows"),
    ],
)
def test_what_is_no_table_is_refused(text: str, words: str) -> None:
    with pytest.raises(ImportRefused, match=words):
        read_table(text)


def test_a_file_that_is_no_text_is_refused() -> None:
    with pytest.raises(ImportRefused, match="no text file"):
        read_table(b"PK\x03\x04\x00\x00")


def read(text: str) -> ShotSheet:
    table = read_table(text)
    return read_shots(table, guessed(table))


def sides(table: Table, reading: Reading) -> list[float]:
    return [row.values["side_m"] for row in read_shots(table, reading).rows]


def test_a_golfer_called_max_sums_up_nothing() -> None:
    shots = "Max,7i,150\nMax,7i,152\nMax,8i,140\n"
    sheet = read(f"Player,Club,Carry (yd)\n{shots}Max,Average,147\n,Max,152\n")
    assert [row.number for row in sheet.rows] == [2, 3, 4]
    assert [row.number for row in sheet.left_out] == [5, 6]
