"""The house's own history: who counts, who does not, and that nobody can be told apart."""

from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from assessments.models import Entry
from assessments.queries.findings import Group
from assessments.queries.history import History, band_of, history_for
from assessments.statistics.usual import usual_range
from school.models import Enrolment, Golfer
from tests.assessments.factories import EntryFactory, MeasureFactory, StillFactory
from tests.factories import EnrolmentFactory, SchoolFactory
from tests.school.counting import queries_of

pytestmark = pytest.mark.django_db
PUTTING, RATE = Group("putting"), "make_rate_2m"


def measured(value: float, enrolment: Enrolment | None = None, **fields: Any) -> Entry:
    """An entry at intake of a golfer with handicap 15, unless it is said otherwise."""
    if enrolment is None:
        enrolment = EnrolmentFactory.create(golfer__handicap_index="15.0")
    entry: Entry = EntryFactory.create(enrolment=enrolment, **fields)
    MeasureFactory.create(entry=entry, value=value, name=RATE)
    return entry


def house(count: int = 12, **fields: Any) -> list[Entry]:
    school = SchoolFactory.create(capacity=96)
    return [
        measured(
            10.0 * number,
            EnrolmentFactory.create(school=school, golfer__handicap_index="15.0"),
            **fields,
        )
        for number in range(1, count + 1)
    ]


def asked_for(own: Entry) -> History:
    return history_for(Golfer.objects.get(pk=own.enrolment.golfer_id), [own])


def values_for(own: Entry, group: Group = PUTTING) -> list[float]:
    return sorted(asked_for(own).values.get((group, RATE), ()))


@pytest.fixture
def own() -> Entry:
    return measured(999)


@pytest.mark.parametrize(
    ("index", "words"),
    [
        ("-2.3", "with handicaps up to 5"),
        ("5.4", "with handicaps up to 5"),
        ("5.5", "with handicaps 6 to 12"),
        ("12.4", "with handicaps 6 to 12"),
        ("12.5", "with handicaps 13 to 20"),
        ("54.0", "with handicaps from 31"),
        (None, "without a handicap"),
    ],
)
def test_bands_take_half_a_stroke_upward(index: str | None, words: str) -> None:
    assert band_of(None if index is None else Decimal(index)).words == words


def test_twelve_others_say_what_is_usual(own: Entry) -> None:
    house(12)
    assert asked_for(own).usual(PUTTING, RATE) == usual_range([10.0 * n for n in range(1, 13)])


def test_eleven_others_say_nothing(own: Entry) -> None:
    house(11)
    assert asked_for(own).usual(PUTTING, RATE) is None


def test_the_golfer_is_none_of_those_compared_with(own: Entry) -> None:
    measured(50, EnrolmentFactory.create(golfer=own.enrolment.golfer))
    measured(60)
    assert values_for(own) == [60]


@pytest.mark.parametrize("index", ["12.4", "20.5", None])
def test_other_handicaps_are_left_out(own: Entry, index: str | None) -> None:
    measured(50, EnrolmentFactory.create(golfer__handicap_index=index))
    assert values_for(own) == []


@pytest.mark.parametrize("index", ["12.5", "20.4"])
def test_both_ends_of_the_band_are_in(own: Entry, index: str) -> None:
    measured(50, EnrolmentFactory.create(golfer__handicap_index=index))
    assert values_for(own) == [50]


def test_who_has_no_handicap_is_compared_with_others_without(own: Entry) -> None:
    Golfer.objects.update(handicap_index=None)
    own = Entry.objects.get()
    measured(50, EnrolmentFactory.create(golfer__handicap_index=None))
    measured(60)
    assert values_for(own) == [50]


def test_only_the_intake_that_stands_counts(own: Entry) -> None:
    first = measured(50)
    measured(55, first.enrolment, supersedes=first)
    measured(90, first.enrolment, phase="exit")
    measured(95, first.enrolment, phase="practice")
    assert values_for(own) == [55]


def test_one_value_a_golfer_that_of_the_last_school(own: Entry) -> None:
    old = measured(20)
    golfer = old.enrolment.golfer
    newer = EnrolmentFactory.create(golfer=golfer, school__starts_on=date(2028, 5, 5))
    measured(40, newer)
    measured(50, newer, kind="putting", payload={"again": True})
    assert values_for(own) == [45]


def test_schools_made_up_for_show_stay_apart(own: Entry) -> None:
    made_up = SchoolFactory.create(is_demo=True)
    measured(50, EnrolmentFactory.create(school=made_up, golfer__handicap_index="15.0"))
    assert values_for(own) == []
    other = measured(60, EnrolmentFactory.create(school=made_up, golfer__handicap_index="15.0"))
    assert values_for(other) == [50]


def test_clubs_stay_apart_class_by_class_and_one_by_one() -> None:
    for payload in ({"club_class": "iron", "club": "7i"}, {"club_class": "iron"}, {"club": "5i"}):
        measured(50, kind="ball_flight", payload=payload)
    own = measured(60, kind="ball_flight", payload={"club_class": "iron", "club": "7i"})
    found = asked_for(own).values
    assert set(found) == {
        (Group("ball_flight", False, "iron", "7i"), RATE),
        (Group("ball_flight", False, "iron"), RATE),
        (Group("ball_flight", False, "", "5i"), RATE),
    }


def test_doubtful_stills_are_left_out(own: Entry) -> None:
    measured(1, kind="impact", still=StillFactory.create())
    measured(2, kind="impact", still=StillFactory.create(), warnings=["shaft_bent"])
    measured(3, kind="impact", still=StillFactory.create(), warnings=["ball_soft"])
    still = measured(4, kind="impact", still=StillFactory.create(shot_kind="specialty"))
    assert values_for(still, Group("impact", False, "iron")) == [1, 3]


@pytest.mark.parametrize("count", [3, 6])
def test_n_golfers_cost_what_2n_cost(own: Entry, count: int) -> None:
    house(count)
    golfer = Golfer.objects.get(pk=own.enrolment.golfer_id)
    assert queries_of(lambda: history_for(golfer, [own])) == 1
