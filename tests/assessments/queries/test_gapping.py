"""The clubs of a golfer by carry."""

from typing import Any

import pytest

from assessments.models import Entry
from assessments.queries.gapping import Gapping, gapping_of
from assessments.stations.ball_flight import MEASURES
from school.models import Enrolment
from tests.assessments.reports.scene import record
from tests.factories import EnrolmentFactory
from tests.school.counting import queries_of

pytestmark = pytest.mark.django_db
CARRY = MEASURES[0]


def hit(enrolment: Enrolment, club: str, carry_m: float, **more: Any) -> Entry:
    """Nine shots, two metres apart."""
    shots = [{"carry_m": carry_m + 0.5 * step} for step in range(-4, 5)]
    payload = {"club": club, "club_class": "iron", "shots": shots}
    return record(enrolment, "ball_flight", more.pop("phase", "intake"), payload, **more)


def gapping(enrolment: Enrolment) -> Gapping:
    found = gapping_of(enrolment, "ball_flight", CARRY)
    assert found is not None
    return found


@pytest.fixture
def attendee() -> Enrolment:
    enrolment: Enrolment = EnrolmentFactory.create(golfer__distances_in="m")
    return enrolment


def test_clubs_stand_by_carry_with_the_gap_to_the_next(attendee: Enrolment) -> None:
    for club, carry in (("9i", 112), ("7i", 137), ("8i", 124)):
        hit(attendee, club, carry)
    rows = gapping(attendee).rows
    assert [row.club for row in rows] == ["7-iron", "8-iron", "9-iron"]
    assert [row.gap for row in rows] == ["13\N{NO-BREAK SPACE}m", "12\N{NO-BREAK SPACE}m", ""]
    assert rows[0].carry.startswith("137 ± ")
    assert gapping(attendee).sentences == ()


def test_two_clubs_that_do_the_same_are_named(attendee: Enrolment) -> None:
    hit(attendee, "8i", 130)
    hit(attendee, "7i", 134)
    (sentence,) = gapping(attendee).sentences
    assert sentence == (
        "8-iron and 7-iron lie 4\N{NO-BREAK SPACE}m apart: one of them does the other's work."
    )


def test_a_hole_is_named_in_the_units_of_the_golfer() -> None:
    attendee = EnrolmentFactory.create(golfer__distances_in="yd")
    hit(attendee, "9i", 100)
    hit(attendee, "7i", 127.432)
    (sentence,) = gapping(attendee).sentences
    assert "lie 30\N{NO-BREAK SPACE}yd apart: that leaves a hole" in sentence


def test_few_shots_claim_nothing(attendee: Enrolment) -> None:
    for club, carry in (("8i", 130), ("7i", 133)):
        payload = {"club": club, "club_class": "iron", "shots": [{"carry_m": carry}]}
        record(attendee, "ball_flight", "intake", payload)
    (sentence,) = gapping(attendee).sentences
    assert "only more shots can say" in sentence


def test_the_newest_of_a_club_counts_and_only_what_stands(attendee: Enrolment) -> None:
    hit(attendee, "8i", 120)
    old = hit(attendee, "7i", 135)
    hit(attendee, "7i", 139, supersedes=old)
    hit(attendee, "8i", 126, phase="exit")
    rows = gapping(attendee).rows
    assert [(row.club, row.carry[:3], row.phase) for row in rows] == [
        ("7-iron", "139", "intake"),
        ("8-iron", "126", "exit"),
    ]


def test_a_late_correction_of_the_intake_leaves_the_exit_the_newest(attendee: Enrolment) -> None:
    hit(attendee, "8i", 120)
    intake = hit(attendee, "7i", 135)
    hit(attendee, "7i", 141, phase="exit")
    hit(attendee, "7i", 134, supersedes=intake)
    first = gapping(attendee).rows[0]
    assert (first.club, first.carry[:3], first.phase) == ("7-iron", "141", "exit")


def test_a_club_that_nobody_named_and_one_club_alone_have_no_table(attendee: Enrolment) -> None:
    hit(attendee, "7i", 137)
    payload = {"club_class": "iron", "shots": [{"carry_m": 120.0}]}
    record(attendee, "ball_flight", "intake", payload)
    assert gapping_of(attendee, "ball_flight", CARRY) is None


@pytest.mark.parametrize("clubs", [2, 4])
def test_a_set_costs_two_queries_whatever_its_size(attendee: Enrolment, clubs: int) -> None:
    for number in range(5, 5 + clubs):
        hit(attendee, f"{number}i", 200 - 12.0 * number)
    assert queries_of(lambda: gapping_of(attendee, "ball_flight", CARRY)) == 2
