"""Handicap arithmetic against the Rules of Handicapping and their published examples."""

import json
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from assessments.statistics import handicap

PUBLISHED = json.loads((Path(__file__).parent / "handicap.json").read_text(), parse_float=Decimal)
RULES, EXAMPLES = PUBLISHED["rules"], PUBLISHED["published_examples"]
COMPUTED = PUBLISHED["computed_cases"]
# the words of Appendix C for the formats in which the side plays off a part of each handicap
OF_SIDES = {
    "50% of combined": (50, 50),
    "60% low/40% high": (60, 40),
}
NAMES = {
    "stroke play individual": "stroke_play",
    "individual Stableford": "stableford",
    "individual par/bogey": "par_bogey",
    "individual maximum score": "maximum_score",
    "four-ball stroke": "four_ball_stroke_play",
    "four-ball Stableford": "four_ball_stableford",
    "four-ball par/bogey": "four_ball_par_bogey",
    "match play individual": "match_play",
    "match play four-ball": "four_ball_match_play",
    "Pinehurst/Chapman": "chapman",
    "4 of 4": "all_4",
    "4 of 4 par/bogey": "all_4_par_bogey",
}


@pytest.mark.parametrize(
    "case", [*COMPUTED["differentials"], next(e for e in EXAMPLES if "differential" in e)]
)
def test_a_score_differential_is_that_of_rule_5_1a(case: dict[str, Any]) -> None:
    found = handicap.score_differential(
        case["adjusted_gross"], case["course_rating"], case["slope"], case["pcc"]
    )
    assert found == case["differential"]


@pytest.mark.parametrize("row", RULES["fewer_than_20"]["table"], ids=lambda row: f"{row['n']}")
def test_the_table_of_fewer_scores_is_that_of_rule_5_2a(row: dict[str, int]) -> None:
    assert handicap.COUNTED[row["n"]] == (row["lowest"], row["adjustment"])


def test_the_table_has_no_other_row() -> None:
    assert len(handicap.COUNTED) == len(RULES["fewer_than_20"]["table"])


@pytest.mark.parametrize("case", COMPUTED["index_from_differentials"])
def test_an_index_is_that_of_rule_5_2(case: dict[str, Any]) -> None:
    assert handicap.handicap_index(case["differentials_oldest_first"]) == case["index"]


def test_an_index_of_three_scores_is_the_published_one() -> None:
    example = next(e for e in EXAMPLES if "differentials" in e)
    assert handicap.handicap_index(example["differentials"]) == example["index"]


@pytest.mark.parametrize("case", [*COMPUTED["caps"], next(e for e in EXAMPLES if "low_index" in e)])
def test_the_caps_are_those_of_rule_5_8(case: dict[str, Any]) -> None:
    assert handicap.capped_index(case["average_best8"], case["low_index"]) == case["index"]
    twenty = [case["average_best8"]] * 20
    assert handicap.handicap_index(twenty, case["low_index"]) == case["index"]


def test_the_maximum_is_that_of_rule_5_3() -> None:
    most = RULES["maximum_index"]["value"]
    assert handicap.handicap_index([Decimal("70.1")] * 20) == most


@pytest.mark.parametrize(
    ("differential", "reduction"),
    [("13.1", 0), ("13.0", 1), ("10.1", 1), ("10.0", 2), ("-3", 2), ("25", 0)],
)
def test_an_exceptional_score_takes_off_what_rule_5_9_says(
    differential: str, reduction: int
) -> None:
    assert [row["reduction"] for row in RULES["exceptional_score"]["table"]] == [-1, -2]
    assert handicap.exceptional_reduction(Decimal(differential), Decimal("20.0")) == reduction


@pytest.mark.parametrize("case", COMPUTED["playing_handicap"])
def test_course_and_playing_handicap_are_those_of_rule_6(case: dict[str, Any]) -> None:
    course = handicap.course_handicap(
        case["index"], case["slope"], case["course_rating"], case["par"]
    )
    assert float(course) == pytest.approx(float(case["course_handicap_unrounded"]), abs=1e-6)
    assert handicap.whole(course) == case["course_handicap_rounded"]
    assert handicap.playing_handicap([course], [case["allowance_pct"]]) == case["playing_handicap"]


def test_front_and_back_make_the_course_rating() -> None:
    """Rule 6: two halves of one course have the course rating of the whole between them."""
    told = next(e for e in EXAMPLES if "front_back_example" in e)["front_back_example"]
    front, back = (Fraction(told[half][0]) for half in ("front", "back"))
    rating, slope = told["course_rating_18"], told["slope_18"]
    assert handicap.course_handicap(10, slope, front + back, 72) == handicap.course_handicap(
        10, slope, rating, 72
    )


@pytest.mark.parametrize(("words", "told"), RULES["allowances"]["table"].items(), ids=str)
def test_an_allowance_is_that_of_appendix_c(words: str, told: int | str) -> None:
    name = NAMES.get(words, words.replace(" ", "_").replace("/", "_"))
    if isinstance(told, str):
        parts = OF_SIDES.get(told) or tuple(int(part) for part in told.split("/"))
    else:
        parts = (told,)
    assert handicap.ALLOWANCES[name].parts == parts


def test_every_allowance_is_published() -> None:
    assert len(handicap.ALLOWANCES) == len(RULES["allowances"]["table"])


@pytest.mark.parametrize("case", COMPUTED["stroke_allocation"])
def test_strokes_fall_by_stroke_index(case: dict[str, Any]) -> None:
    found = [handicap.strokes_on_hole(case["playing_handicap"], n) for n in range(1, 19)]
    assert found == case["strokes_by_stroke_index"]


def test_a_plus_handicap_gives_strokes_back_from_18_upward() -> None:
    """Appendix C: +2 gives back at stroke indexes 18 and 17."""
    given = {n: handicap.strokes_on_hole(-2, n) for n in range(1, 19)}
    assert {n for n, strokes in given.items() if strokes} == {17, 18}
    assert given[17] == given[18] == -1


@pytest.mark.parametrize(
    ("par", "received", "most"),
    [(4, 0, 6), (4, 1, 7), (5, 3, 10), (3, 4, 8), (3, 5, 8), (4, -1, 5), (4, None, 9)],
)
def test_the_most_that_counts_on_a_hole_is_that_of_rule_3_1(
    par: int, received: int | None, most: int
) -> None:
    assert handicap.highest_counted(par, received) == most
