"""Shots of a table, judged by the station and divided by club."""

from assessments.flight_csv import COLUMNS, guessed, read_shots, read_table
from assessments.stations import registry
from assessments.stations.ball_flight_shots import QUANTITIES
from assessments.stations.base import Context
from assessments.stations.flight_shots import ClubShots, clubs_in, shots_by_club

HEADINGS = "Club,Carry (yd),Side (yd),Ball speed (mph),Club speed (mph)\n"


def divided(text: str, **codes: str) -> list[ClubShots]:
    table = read_table(HEADINGS + text)
    reading = guessed(table)
    return shots_by_club(read_shots(table, reading), reading, codes)


def test_tables_and_the_station_read_the_same_quantities() -> None:
    assert {column.key for column in COLUMNS} == {quantity.key for quantity in QUANTITIES}


def test_each_club_has_its_own_payload() -> None:
    seven, wedge = divided("A,150,1 L,118,84\nB,100,0,90,70\nA,152,2 R,119,85\n", A="7i", B="wedge")
    assert [len(shots["shots"]) for shots in (*seven.payloads, *wedge.payloads)] == [2, 1]
    assert (seven.payloads[0]["club"], seven.payloads[0]["club_class"]) == ("7i", "iron")
    assert "club" not in wedge.payloads[0]
    assert seven.payloads[0]["shots"][0]["side_m"] == -0.9144


def test_what_would_be_recorded_is_taken_by_the_station() -> None:
    (seven,) = divided("A,150,1 L,118,84\n", A="7i")
    measures = registry()["ball_flight"].compute(seven.payloads[0], Context()).measures
    assert {measure.name for measure in measures} >= {"carry_m", "ball_speed_mps"}


def test_what_the_station_refuses_stays_out_with_its_words() -> None:
    (seven,) = divided("A,150,1,118,84\nA,1500,0,118,84\nA,,0,118,84\nA,150,0,118,40\n", A="7i")
    assert seven.good == 1
    too_far, none, too_fast = (shot.words[0] for shot in seven.shots[1:])
    assert too_far == "carry must be a number from 0 to 437 yd."
    assert none == "the carry is missing."
    assert "check both speeds" in too_fast


def test_more_shots_than_an_entry_takes_become_two() -> None:
    (seven,) = divided("".join(f"A,{120 + n},0,118,84\n" for n in range(31)), A="7i")
    assert [len(payload["shots"]) for payload in seven.payloads] == [30, 1]


def test_a_club_without_a_code_is_left_out() -> None:
    table = read_table(f"{HEADINGS}A,150,1,118,84\nB,100,0,90,70\n")
    reading = guessed(table)
    sheet = read_shots(table, reading)
    assert clubs_in(sheet) == ["A", "B"]
    assert [group.club for group in shots_by_club(sheet, reading, {"B": "pw"})] == ["B"]


def test_cells_are_shown_in_the_units_of_the_table() -> None:
    (seven,) = divided("A,150,4 L,118,-\n", A="7i")
    assert dict(seven.shots[0].cells) == {
        "Carry,\N{NO-BREAK SPACE}yd": "150",
        "Side,\N{NO-BREAK SPACE}yd": "−4",
        "Ball speed,\N{NO-BREAK SPACE}mph": "118",
    }


def test_feet_are_shown_in_metres() -> None:
    table = read_table("Carry (ft)\n300\n")
    reading = guessed(table)
    (shots,) = shots_by_club(read_shots(table, reading), reading, {"": "iron"})
    assert shots.payloads[0]["entered_in"]["distance"] == "m"
    assert shots.shots[0].cells == (("Carry,\N{NO-BREAK SPACE}m", "91.4"),)
