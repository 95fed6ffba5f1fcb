"""Beside what is usual: who is called low or high, in which words, and what comes first."""

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assessments.models import Entry, Measure
from assessments.queries.findings import Group, finding_of
from assessments.queries.placings import (
    Placing,
    PlacingVerdict,
    Yardstick,
    placing_of,
    placings_for,
    placings_from,
)
from assessments.queries.ranking import needs_of, ranked
from assessments.stations import registry
from assessments.stations.base import MeasureKind, MeasureValue, StationModule, Typical
from assessments.statistics.usual import UsualRange
from assessments.units import Units
from school.models import Enrolment
from tests.assessments.factories import EntryFactory, MeasureFactory, StillFactory, marking
from tests.assessments.queries.test_history import house
from tests.factories import EnrolmentFactory
from tests.school.counting import queries_of

CARRY = MeasureKind("carry_m", "carry", "m", 0, better="higher", primary=True, is_long=True)
SPREAD = MeasureKind("carry_spread_m", "spread of carry", "m", 0, better="lower", is_long=True)
LAUNCH = MeasureKind("launch_deg", "launch angle", "deg", 1)
OFFSET = "forearm_line_offset_bd"
IRON = Group("ball_flight", False, "iron")
BOOK = Yardstick(UsualRange(120.0, 150.0), "by A Book (1999), table 2", "A Book (1999), table 2")


def placed(
    value: float, kind: MeasureKind = CARRY, arm: float | None = 4.0, **more: Any
) -> Placing:
    measured = MeasureValue(kind.name, value, kind.unit, None, None, None, "mean")
    out = None if arm is None else (arm, arm)
    options = {"yardstick": BOOK, "may_be_out": out} | more
    return placing_of(IRON, "Ball flight", kind, measured, "exit", **options)


def said(placing: Placing) -> str:
    return placing.sentence.replace("\N{NO-BREAK SPACE}", " ")


@pytest.mark.parametrize(
    ("value", "verdict"),
    [(110, "LOW"), (117, "UNSURE"), (120, "USUAL"), (150, "USUAL"), (153, "UNSURE"), (156, "HIGH")],
)
def test_only_past_what_it_may_be_out_by_is_it_outside(value: float, verdict: str) -> None:
    assert placed(value).verdict == PlacingVerdict[verdict]


@given(st.floats(0, 300), st.floats(0.1, 60), st.sampled_from([CARRY, SPREAD, LAUNCH]))
def test_nobody_is_both_and_only_who_is_outside_is_either(
    value: float, arm: float, kind: MeasureKind
) -> None:
    found = placed(value, kind, arm)
    assert found.is_strength + found.is_fault == found.is_outside
    assert found.is_outside == (found.weight > 1)


def test_which_side_is_good_is_for_the_measure_to_say() -> None:
    high = {kind.name: placed(200, kind) for kind in (CARRY, SPREAD, LAUNCH)}
    assert [one.is_strength for one in high.values()] == [True, False, False]
    assert [one.is_fault for one in high.values()] == [False, True, True]


def test_the_sentence_has_the_value_the_range_and_whose_it_is() -> None:
    assert said(placed(110)) == (
        "110 m on the last day, below what is usual: 120 to 150 m, by A Book (1999), table 2."
    )
    assert said(placed(130)).startswith("130 m on the last day, within what is usual: 120 to 150 m")
    assert "by no more than chance may do" in said(placed(118))


def test_what_is_not_known_to_be_sure_claims_nothing() -> None:
    assert "nothing is claimed" in said(placed(10, arm=None))
    assert placed(10, arm=None).verdict == PlacingVerdict.UNSURE
    assert said(placed(10, yardstick=None)).endswith("There is nothing to compare it with yet.")


@pytest.mark.parametrize(
    ("usual", "words"),
    [(UsualRange(None, 150.0), "at most 150 m"), (UsualRange(120.0, None), "at least 120 m")],
)
def test_an_open_range_has_one_end(usual: UsualRange, words: str) -> None:
    assert words in said(placed(10, yardstick=replace(BOOK, usual=usual)))


def test_words_are_in_the_units_that_the_golfer_reads() -> None:
    found = placed(91.44, units=Units("yd", "mph"))
    assert said(found).startswith("100 yd on the last day, below what is usual: 131 to 164 yd")
    assert found.value.value == 91.44


def changed(kind: MeasureKind, before: float, after: float, arm: float = 5.0) -> Any:
    sides = [
        [Measure(value=value, low=value - arm, high=value + arm, standard_uncertainty=arm / 1.96)]
        for value in (before, after)
    ]
    return finding_of(IRON, "Ball flight", kind, *sides)


def test_what_costs_strokes_comes_first_and_the_dearest_leads() -> None:
    costs = {"a": None, "b": 0.2, "c": 0.9}
    placings = [
        placed(50 if name == "a" else 100, replace(CARRY, name=name), cost_strokes=cost)
        for name, cost in costs.items()
    ]
    assert [point.measure.name for point in ranked([], placings).faults] == ["c", "b", "a"]


@pytest.mark.parametrize(("carry", "cost"), [(200, 0.4), (100, -0.4)])
def test_a_strength_never_costs_and_a_fault_never_saves(carry: float, cost: float) -> None:
    found = ranked([], [placed(carry, cost_strokes=cost)])
    (point,) = (*found.strengths, *found.faults)
    assert (point.cost_strokes, point.cost_words) == (None, "")


def test_without_costs_the_farthest_past_comes_first() -> None:
    placings = [placed(value, replace(CARRY, name=str(value))) for value in (112, 90, 160, 190)]
    found = ranked([], placings)
    assert [point.measure.name for point in found.faults] == ["90", "112"]
    assert [point.measure.name for point in found.strengths] == ["190", "160"]


def test_who_got_better_but_still_lies_low_has_a_fault() -> None:
    found = ranked([changed(CARRY, 60, 100)], [placed(100)])
    assert (len(found.strengths), len(found.faults)) == (0, 1)


def test_a_change_alone_is_a_strength_or_a_fault() -> None:
    found = ranked([changed(CARRY, 60, 100), changed(SPREAD, 10, 60)], [])
    assert [point.measure for point in found.strengths] == [CARRY]
    assert [point.measure for point in found.faults] == [SPREAD]


def test_needs_say_how_it_was_found_in_words() -> None:
    needs = needs_of([changed(CARRY, 140, 110), changed(SPREAD, 60, 10)], [placed(110)])
    assert [(need.measure, need.when) for need in needs] == [
        ("carry_m", "low"),
        ("carry_m", "worse"),
        ("carry_spread_m", "better"),
    ]
    words = {key: text.replace("\N{NO-BREAK SPACE}", " ") for key, text in needs[0].words.items()}
    assert words == {
        "measure": "carry",
        "value": "110 m",
        "usual": "120 to 150 m",
        "change": "down by 30 m",
    }
    assert needs[0].title == "Ball flight, iron: carry"


pytest_db = pytest.mark.django_db


def found_for(entry: Entry) -> list[Placing]:
    return placings_for(as_stored(entry.enrolment))


def as_stored(enrolment: Enrolment) -> Enrolment:
    return Enrolment.objects.select_related("golfer").get(pk=enrolment.pk)


def putted(value: float, low: float, high: float, **fields: Any) -> Entry:
    entry: Entry = EntryFactory.create(**fields)
    MeasureFactory.create(entry=entry, value=value, low=low, high=high)
    return entry


@pytest_db
def test_the_house_is_asked_before_any_book() -> None:
    house(12)
    own = putted(1, 0, 2, enrolment=EnrolmentFactory.create(golfer__handicap_index="15.0"))
    [found] = found_for(own)
    assert found.yardstick is not None
    assert found.yardstick.n == 12
    assert "eight in ten of 12 golfers here with handicaps 13 to 20" in found.sentence


@pytest_db
def test_the_newest_day_is_compared() -> None:
    own = putted(1, 0, 2)
    putted(3, 2, 4, enrolment=own.enrolment, phase="practice")
    assert [one.value.value for one in found_for(own)] == [1]
    putted(2, 1, 3, enrolment=own.enrolment, phase="exit")
    assert [one.value.value for one in found_for(own)] == [2]


def station_with(monkeypatch: pytest.MonkeyPatch, **changes: Any) -> StationModule:
    putting = registry()["putting"]
    measure = replace(
        next(kind for kind in putting.measures if kind.name == "make_rate_2m"),
        typical=changes.pop("typical", ()),
    )
    station = replace(putting, measures=(measure,), **changes)
    monkeypatch.setitem(registry(), "putting", station)
    return station


@pytest_db
@pytest.mark.parametrize(
    ("index", "source"), [("15.0", "of 10 to 20"), ("20.4", "of 10 to 20"), ("25.0", "of all")]
)
def test_of_what_was_published_the_most_fitting_is_taken(
    monkeypatch: pytest.MonkeyPatch, index: str, source: str
) -> None:
    typical = (Typical(40, 60, "of all"), Typical(50, 70, "of 10 to 20", "", 10, 20))
    station_with(monkeypatch, typical=typical)
    own = putted(1, 0, 2, enrolment=EnrolmentFactory.create(golfer__handicap_index=index))
    [found] = found_for(own)
    assert found.yardstick is not None
    assert (found.yardstick.source, found.yardstick.n) == (source, 0)


@pytest_db
def test_a_station_says_what_a_measure_costs(monkeypatch: pytest.MonkeyPatch) -> None:
    station_with(monkeypatch, costs=lambda means: {"make_rate_2m": means["make_rate_2m"].value})
    assert [one.cost_strokes for one in found_for(putted(1, 0, 2))] == [1]


@pytest_db
def test_a_still_may_be_out_by_more_than_its_marks() -> None:
    """Two balls below all others is no more than a swing and a camera may do."""
    for value in (0.0, *(2 + number / 100 for number in range(12))):
        entry = EntryFactory.create(kind="impact", still=StillFactory.create(), payload=marking())
        MeasureFactory.create(
            entry=entry, name=OFFSET, value=value, low=value - 0.1, high=value + 0.1
        )
    entry = Entry.objects.filter(measures__value=0.0).get()
    [found] = found_for(entry)
    assert found.verdict == PlacingVerdict.UNSURE


@pytest_db
@pytest.mark.parametrize("count", [2, 4])
def test_n_entries_cost_what_2n_cost(count: int) -> None:
    enrolment = as_stored(EnrolmentFactory.create())
    for _ in range(count):
        putted(1, 0, 2, enrolment=enrolment)
    assert queries_of(lambda: placings_for(enrolment)) == 3
    entries = list(Entry.objects.prefetch_related("measures"))
    assert queries_of(lambda: placings_from(entries, enrolment.golfer)) == 1


@pytest_db
def test_nobody_measured_asks_nothing() -> None:
    assert placings_for(EnrolmentFactory.create()) == []
