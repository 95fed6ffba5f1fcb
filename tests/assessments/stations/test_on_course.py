from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from assessments.errors import EntryRefused
from assessments.models import Entry
from assessments.stations.base import Context, MeasureValue
from assessments.stations.on_course import STATION
from assessments.stations.on_course_form import OnCourseForm
from assessments.stations.on_course_tees import IN_A_LESSON
from school.models import Account
from tests.assessments.factories import EntryFactory, attendee_of, session_at

ENTRY_ID = "3f0f2b1a-0000-4000-8000-000000000001"
PARS = (4, 5, 3, 4, 4, 3, 4, 5, 4)
TEES = {"course_rating": 71.4, "slope": 128, "par": 72}


def hole(number: int = 1, par: int = 4, strokes: int = 5, putts: int = 2, **more: Any) -> Any:
    return {"number": number, "par": par, "strokes": strokes, "putts": putts} | more


def round_of(holes: int = 18, over: int = 1, **more: Any) -> dict[str, Any]:
    """A card of so many holes, each `over` its par with two putts."""
    pars = (PARS * 2)[:holes]
    rows = [hole(n, par, par + over, stroke_index=n) for n, par in enumerate(pars, 1)]
    return {"holes": rows} | more


def measured(payload: dict[str, Any]) -> dict[str, MeasureValue]:
    return {value.name: value for value in STATION.compute(payload, Context()).measures}


def refusal(payload: dict[str, Any]) -> dict[str, str]:
    with pytest.raises(EntryRefused) as refused:
        STATION.compute(payload, Context())
    return refused.value.words


def details(payload: dict[str, Any]) -> dict[str, Any]:
    assert STATION.details
    return STATION.details(payload)


def lines(payload: dict[str, Any]) -> dict[str, str]:
    return {line.title: line.value for line in details(payload)["handicap"].lines}


def test_means_are_over_the_holes_played() -> None:
    """s = 1 of three holes: u² = 1/3 + 1/36, and t(2) is 4.303."""
    found = measured({"holes": [hole(1, 4, 5), hole(2, 5, 5), hole(3, 3, 5, 3)]})
    over = found["strokes_over_par_per_hole"]
    assert over.value == 1
    assert (over.low, over.high) == pytest.approx((-1.586, 3.586), abs=0.001)
    assert found["putts_per_hole"].value == pytest.approx(7 / 3)


def test_holes_alike_are_not_certain() -> None:
    putts = measured(round_of(9))["putts_per_hole"]
    assert putts.standard_uncertainty == pytest.approx(1 / 3 / 12**0.5)


def test_one_hole_says_nothing_of_how_holes_differ() -> None:
    assert measured({"holes": [hole()]})["putts_per_hole"].standard_uncertainty is None


def test_greens_and_up_and_downs_follow_from_strokes_and_putts() -> None:
    played = [hole(1, 4, 4, 2), hole(2, 4, 4, 1), hole(3, 4, 5, 2), hole(4, 4, 3, 0)]
    found = measured({"holes": played})
    assert (found["greens_rate"].value, found["greens_rate"].source[:6]) == (25, "1 of 4")
    assert found["scramble_rate"].source.startswith("2 of 3")


def test_a_rate_has_wilsons_interval() -> None:
    greens = measured({"holes": [hole(n, 4, 4, 2) for n in range(1, 11)]})["greens_rate"]
    assert greens.low == pytest.approx(72.2, abs=0.1)
    assert "scramble_rate" not in measured({"holes": [hole(1, 4, 4, 2)]})


def test_fairways_are_of_those_noted() -> None:
    played = [hole(1, fairway=True), hole(2, fairway=False), hole(3), hole(4, 3)]
    assert measured({"holes": played})["fairways_rate"].source.startswith("1 of 2")
    assert "fairways_rate" not in measured({"holes": [hole()]})


def test_no_penalty_in_nine_holes_is_not_certain() -> None:
    """Garwood (1936): of none, up to 3.689 are expected at 95 %."""
    found = measured(round_of(9))
    penalties = found["penalties_per_hole"]
    assert (penalties.value, penalties.low) == (0, 0)
    assert penalties.high == pytest.approx(3.689 / 9, abs=1e-4)


def test_penalties_cost_what_they_count_in_eighteen_holes() -> None:
    payload = {"holes": [hole(1, 4, 6, penalties=1), hole(2), hole(3)]}
    assert STATION.costs
    assert STATION.costs(measured(payload)) == {"penalties_per_hole": pytest.approx(6)}


HOLES = st.tuples(
    st.integers(3, 5), st.integers(0, 4), st.integers(0, 3), st.integers(0, 3), st.integers(1, 4)
)


@given(st.lists(HOLES, min_size=1, max_size=18))
def test_the_categories_add_up_to_the_score(counts: list[tuple[int, ...]]) -> None:
    rows = [
        hole(n, par, putts + penalties + short + rest, putts, penalties=penalties, short=short)
        for n, (par, putts, penalties, short, rest) in enumerate(counts, 1)
    ]
    for row in rows:
        told = details({"holes": [row]})
        assert sum(strokes for _, strokes in told["categories"]) == row["strokes"]
    told = details({"holes": rows})
    assert sum(strokes for _, strokes in told["categories"]) == told["strokes"]
    assert min(strokes for _, strokes in told["categories"]) >= 0


def test_the_short_game_is_a_measure_once_it_is_counted() -> None:
    assert "strokes_short" not in measured(round_of(9))
    found = measured({"holes": [hole(1, 4, 5, 2, short=1), hole(2, 3, 4, 2, short=1)]})
    assert (found["strokes_short"].value, found["strokes_approach"].value) == (1, 1)


@pytest.mark.parametrize(
    ("row", "place", "words"),
    [
        (hole(4, 4, 5, 5), "putts", "of 5 strokes, 5 cannot have been putts"),
        (hole(4, 4, 5, 2, penalties=3), "penalties", "leave none of 5 for the tee shot"),
        (hole(4, 4, 5, 2, short=3), "short", "leave none of 5 for the tee shot"),
        (hole(4, 3, 3, 2, fairway=True), "fairway", "a par 3 has no fairway"),
        (hole(4, 4, 5, 2, fairway="hit"), "fairway", "hit or missed"),
        (hole(4, 7), "par", "from 3 to 6"),
        (hole(4, strokes=0), "strokes", "from 1 to 30"),
        (hole(4) | {"putts": 1.5}, "putts", "whole number"),
        (hole(4, stroke_index=19), "stroke_index", "from 1 to 18"),
        (hole(4, pace=3), "unknown", "pace"),
        ({"number": 4, "par": 4, "strokes": 5}, "putts", "putts are missing"),
        ({"number": 4, "strokes": 5, "putts": 2}, "par", "par is missing"),
        ({"number": 4, "par": 4, "putts": 2}, "strokes", "enter the strokes"),
    ],
)
def test_what_cannot_be_right_is_said_beside_its_cell(row: Any, place: str, words: str) -> None:
    found = refusal({"holes": [hole(1), row]})
    assert set(found) == {f"holes.4.{place}"}
    assert found[f"holes.4.{place}"].startswith("Hole 4: ")
    assert words in found[f"holes.4.{place}"]


def test_a_stroke_index_stands_on_one_hole() -> None:
    found = refusal({"holes": [hole(1, stroke_index=7), hole(2, stroke_index=7)]})
    assert "another hole" in found["holes.2.stroke_index"]


def test_the_short_game_is_counted_on_all_holes_or_none() -> None:
    found = refusal({"holes": [hole(1, short=1), hole(2)]})
    assert "enter 0" in found["holes.2.short"]


@pytest.mark.parametrize(
    "holes",
    [None, [4], [], [{"par": 4}], [hole(0)], [hole(19)], [hole(2), hole(2)], [hole(True)]],
)
def test_what_is_no_card_is_refused_in_words(holes: Any) -> None:
    assert refusal({"holes": holes})["holes"].endswith(".")


def test_a_hole_that_was_not_played_may_keep_its_par() -> None:
    played = {"holes": [hole(1), {"number": 2, "par": 5, "stroke_index": 3}]}
    assert details(played)["count"] == 1


@pytest.mark.parametrize(
    ("key", "value", "place"),
    [
        ("tees", [71.4], "tees"),
        ("tees", {"course_rating": 171, "slope": 128}, "tees.course_rating"),
        ("tees", {"course_rating": 71.4, "slope": 54}, "tees.slope"),
        ("tees", {"course_rating": 71.4}, "tees.slope"),
        ("tees", TEES | {"par": 50}, "tees.par"),
        ("tees", TEES | {"par": 71}, "tees.par"),
        ("handicap_index", 54.1, "handicap_index"),
        ("handicap_index", "scratch", "handicap_index"),
        ("record", [12.0] * 21, "record"),
        ("record", ["12"], "record"),
        ("allowance", "foursomes", "allowance"),
    ],
)
def test_tees_and_handicaps_that_cannot_be_right_are_refused(
    key: str, value: Any, place: str
) -> None:
    assert set(refusal(round_of() | {key: value})) == {place}


def test_eighteen_holes_give_the_arithmetic_of_the_rules() -> None:
    """14.2 x 128/113 + 71.4 - 72 = 15.48; 95 % are 14.71; 90 strokes are 16.4 over the tees."""
    found = lines(round_of(tees=TEES, handicap_index=14.2))
    assert found["Course handicap"] == "15 (15.48)"
    assert found["Playing handicap, stroke play, individual, 95 %"] == "15"
    assert found["Adjusted gross score"] == "90"
    assert found["Score differential"] == "16.4"


def test_a_hole_counts_no_more_than_net_double_bogey() -> None:
    payload = round_of(tees=TEES, handicap_index=14.2)
    payload["holes"][17]["strokes"] = 12  # par 4 with no stroke received: 6 count
    payload["holes"][0]["strokes"] = 12  # par 4 with one: 7 count
    assert lines(payload)["Adjusted gross score"] == "93"


def test_without_an_index_a_hole_counts_at_most_five_over_par() -> None:
    payload = round_of(tees=TEES)
    payload["holes"][0]["strokes"] = 12
    assert lines(payload)["Adjusted gross score"] == "94"
    assert "par + 5" in details(payload)["handicap"].notes[0]


def test_nine_holes_give_no_differential_and_say_so() -> None:
    found = details(round_of(9, tees=TEES, handicap_index=14.2))["handicap"]
    assert found.lines[0].title == "Course handicap"
    assert not any("ifferential" in line.title for line in found.lines)
    assert "9 of eighteen holes give no score differential" in found.notes[0]


def test_a_score_of_a_lesson_is_called_what_it_is() -> None:
    assert details(round_of(tees=TEES))["handicap"].notes[-1] == IN_A_LESSON


def test_without_tees_the_card_says_what_they_would_give() -> None:
    assert "course rating" in details(round_of())["handicap"].notes[0]


def test_without_stroke_indexes_nothing_is_adjusted() -> None:
    payload = round_of(tees=TEES, handicap_index=14.2)
    del payload["holes"][3]["stroke_index"]
    assert "Adjusted gross score" not in lines(payload)
    assert "stroke index of every hole" in details(payload)["handicap"].notes[0]


def test_a_record_gives_an_index_and_what_the_score_would_make_of_it() -> None:
    """The lowest of three less 2; with 16.4 it is the lowest of four less 1."""
    found = lines(round_of(tees=TEES, handicap_index=14.2, record=[15.3, 15.2, 16.6]))
    assert found["Index by the record: 1 lowest of 3"] == "13.2"
    assert found["Index with this score, were it acceptable"] == "14.2"


def test_a_plus_handicap_is_written_as_golfers_write_it() -> None:
    """-2.5 x 128/113 + 71.4 - 72 = -3.43"""
    found = lines(round_of(tees=TEES, handicap_index=-2.5))
    assert found["Course handicap"] == "+3 (−3.43)"


def typed(**more: str) -> dict[str, str]:
    return {"entry_id": ENTRY_ID, "allowance": "match_play"} | more


def test_what_is_typed_becomes_a_payload_and_comes_back() -> None:
    first = {"par_1": "4", "strokes_1": "5", "putts_1": "2", "fairway_1": "missed"}
    tees = {"course_rating": "71.4", "slope": "128", "tees_par": "72", "handicap_index": "-1.5"}
    form = OnCourseForm(typed(**first, **tees, par_18="5", record="14.2; 15,3, −1.0"))
    assert form.is_valid(), form.errors
    payload = form.payload()
    assert payload["holes"] == [hole(fairway=False), {"number": 18, "par": 5}]
    assert (payload["tees"], payload["record"]) == (TEES, [14.2, 15.3, -1.0])
    again = OnCourseForm.initial_from(payload)
    assert again["record"] == "14.2 15.3 -1"
    same = OnCourseForm(typed(**{key: str(value) for key, value in again.items()}))
    assert same.is_valid(), same.errors
    assert same.payload() == payload


def test_an_empty_card_is_refused_in_words() -> None:
    form = OnCourseForm(typed())
    assert form.is_valid(), form.errors
    assert "at least one hole" in refusal(form.payload())["holes"]


def test_a_record_that_is_none_is_said_beside_the_field() -> None:
    form = OnCourseForm(typed(record="14.2 fine"))
    assert "fine is no differential" in form.errors["record"][0]


def test_a_refusal_stands_beside_the_cell_and_keeps_what_was_typed() -> None:
    form = OnCourseForm(typed(par_12="4", strokes_12="3", putts_12="3"))
    assert form.is_valid()
    form.show_refusal(refusal(form.payload()))
    assert "3 cannot have been putts" in form.errors["putts_12"][0]
    assert form["strokes_12"].value() == "3"
    assert form.has_back()


@pytest.mark.django_db
def test_the_form_knows_the_index_and_the_course_of_the_last_card(
    client_of: Callable[[Account | None], Client], instructor: Account
) -> None:
    session = session_at(instructor, "on_course", squad=2)
    attendee = attendee_of(session)
    attendee.golfer.handicap_index = Decimal("14.2")
    attendee.golfer.save(update_fields=["handicap_index"])
    played = round_of(9, tees=TEES, handicap_index=3.0)
    EntryFactory.create(enrolment=attendee_of(session, 1), kind="on_course", payload=played)
    address = reverse("entry_new", args=[session.pk, attendee.pk, "on_course"])
    form = client_of(instructor).get(address).context["form"]
    assert (form["handicap_index"].value(), form["slope"].value()) == (14.2, 128)
    assert (form["par_2"].value(), form["strokes_2"].value()) == (5, None)


@pytest.mark.django_db
def test_a_card_is_recorded_and_shown(
    client_of: Callable[[Account | None], Client], instructor: Account
) -> None:
    session = session_at(instructor, "on_course")
    address = reverse("entry_new", args=[session.pk, attendee_of(session).pk, "on_course"])
    card = {f"{key}_{n}": value for n in (1, 2) for key, value in hole(n).items()}
    sent = typed(**{key: str(value) for key, value in card.items()})
    answer = client_of(instructor).post(address, sent, follow=True)
    assert "10 strokes, +2 to par" in answer.content.decode()
    assert Entry.objects.get().measures.count() == 5
