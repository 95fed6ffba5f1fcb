"""Landmarks in words, and read from outside."""

import math
from typing import Any

import pytest

from assessments.impact.errors import StillRefused
from assessments.impact.landmarks import (
    REQUIRED,
    Landmark,
    Point,
    needed,
    parse_landmarks,
)


def test_six_landmarks_are_required_each_once() -> None:
    assert len(REQUIRED) == len(set(REQUIRED)) == 6


@pytest.mark.parametrize("mark", Landmark)
def test_every_landmark_says_where_to_click(mark: Landmark) -> None:
    assert mark.label
    assert mark.where.startswith("Click")
    assert mark.where.endswith(".")


def test_no_landmark_speaks_of_left_or_right() -> None:
    words = " ".join(f"{mark} {mark.label} {mark.where}" for mark in Landmark)
    assert "left" not in words
    assert "right" not in words


def test_labels_are_distinct() -> None:
    assert len({mark.label for mark in Landmark}) == len(Landmark)


def test_what_is_needed() -> None:
    point = Point(1, 1)
    assert needed("iron", {}) == REQUIRED
    assert Landmark.GROUND_CONTACT in needed("driver", {})
    assert Landmark.GROUND_B in needed("iron", {Landmark.GROUND_A: point})
    assert Landmark.GROUND_A in needed("iron", {Landmark.GROUND_B: point})


def test_parse() -> None:
    marks = parse_landmarks({"lead_wrist": [1, 2.5], "lead_elbow": (3.0, 4)})
    assert marks == {Landmark.LEAD_WRIST: Point(1.0, 2.5), Landmark.LEAD_ELBOW: Point(3.0, 4.0)}


def test_parse_leaves_what_is_not_finite_to_the_checks() -> None:
    assert math.isnan(parse_landmarks({"lead_wrist": [math.nan, 1.0]})[Landmark.LEAD_WRIST].u)


@pytest.mark.parametrize(
    "position", [None, [], [1.0], [1.0, 2.0, 3.0], ["1", "2"], [True, 1.0], 5.0, [10**400, 1.0]]
)
def test_parse_refuses_anything_but_a_pair_of_numbers(position: Any) -> None:
    with pytest.raises(StillRefused) as refused:
        parse_landmarks({"lead_wrist": position, "lead_elbow": [1.0, 2.0]})
    assert refused.value.codes == ("landmark_invalid",)
    assert "lead_wrist" in str(refused.value)
    assert "lead_elbow" not in str(refused.value)


def test_parse_refuses_an_unknown_name() -> None:
    with pytest.raises(StillRefused, match="left_wrist"):
        parse_landmarks({"left_wrist": [1.0, 2.0]})
