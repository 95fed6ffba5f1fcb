"""How far a study is, what comes next for whom, and what it found, in words."""

from random import Random
from typing import Any

import pytest
from django.utils import timezone

from assessments.actions.studies import close_study, open_study
from assessments.models import Study
from assessments.queries.studies import (
    candidates,
    next_for,
    progress_of,
    study_lines,
    turn_to_record,
)
from assessments.queries.study_results import (
    MARKING_TITLES,
    RESULT_TITLES,
    in_short,
    marking_table,
    measures_left_out,
    measures_of_habits,
    result_rows,
    result_table,
)
from school.models import Account, Consent
from tests.assessments.factories import FilmingPlaceFactory, StudyFactory
from tests.assessments.study_scene import RESULT, mark, stills_at, wobbling
from tests.school.counting import queries_of

pytestmark = pytest.mark.django_db


def opened(instructor: Account, number: int = 8) -> Study:
    place = FilmingPlaceFactory.create()
    stills_at(place, instructor, number)
    return open_study(place=place, name="Spring", opened_by=instructor, rng=Random(1))


@pytest.fixture
def study(instructor: Account) -> Study:
    return opened(instructor)


def closed(**changes: Any) -> Study:
    result = {"shaft_lean_deg": RESULT["shaft_lean_deg"] | changes}
    made: Study = StudyFactory.create(closed_at=timezone.now(), result=result)
    return made


def order_of(study: Study, account: Account) -> tuple[int, int] | None:
    """Turn and order of what comes next."""
    found = next_for(study, account)
    return (found.turn, study.stills.get(still=found.still).order) if found else None


def test_stills_come_by_turn_and_order(study: Study, instructor: Account) -> None:
    assert order_of(study, instructor) == (1, 1)
    mark(study, 1, instructor, wobbling, stills=[1, 2, 4])
    assert order_of(study, instructor) == (1, 3)
    mark(study, 1, instructor, wobbling, stills=[3, 5, 6, 7, 8])
    assert order_of(study, instructor) == (2, 1)


def test_the_place_in_the_turn_is_told(study: Study, instructor: Account) -> None:
    mark(study, 1, instructor, wobbling, stills=[1, 2])
    found = next_for(study, instructor)
    assert found is not None
    assert (found.place, found.of) == (3, 8)


def test_another_person_takes_another_turn(
    study: Study, instructor: Account, front_desk: Account
) -> None:
    mark(study, 1, instructor, wobbling, stills=[1])
    assert order_of(study, front_desk) == (2, 1)


def test_nothing_comes_once_every_turn_is_begun_by_others(
    study: Study, instructor: Account, front_desk: Account
) -> None:
    for turn in (1, 2, 3):
        mark(study, turn, instructor, wobbling, stills=[1])
    assert order_of(study, front_desk) is None


def test_nothing_comes_of_a_school_one_does_not_teach_in(
    study: Study, other_instructor: Account
) -> None:
    assert order_of(study, other_instructor) is None


def test_a_still_is_passed_over_once_filming_is_withdrawn(
    study: Study, instructor: Account
) -> None:
    first = study.stills.get(order=1).still
    Consent.objects.filter(enrolment=first.enrolment).update(withdrawn_at=timezone.now())
    assert order_of(study, instructor) == (1, 2)


def test_whoever_loses_the_race_for_a_turn_gets_the_next(
    study: Study, instructor: Account, front_desk: Account
) -> None:
    assert turn_to_record(study, instructor, 1) == 1
    mark(study, 1, front_desk, wobbling, stills=[1])
    assert turn_to_record(study, instructor, 1) == 2
    mark(study, 2, instructor, wobbling, stills=[1])
    assert turn_to_record(study, instructor, 1) == 2
    mark(study, 3, front_desk, wobbling, stills=[1])
    assert turn_to_record(study, instructor, 3) == 3  # refused when it is recorded


def test_progress_says_who_marked_what(study: Study, instructor: Account) -> None:
    mark(study, 1, instructor, wobbling)
    mark(study, 2, instructor, wobbling, stills=[1, 2])
    progress = progress_of(study)
    assert [(turn.by, turn.marked, turn.state) for turn in progress.turns] == [
        (instructor, 8, "whole"),
        (instructor, 2, "under way"),
        (None, 0, "not begun"),
    ]
    assert (progress.marked, progress.missing) == (10, 14)


def test_few_stills_are_warned_of(study: Study, instructor: Account) -> None:
    assert "8 stills instead of 20. The true error may be 0.7 to 1.6" in progress_of(study).warning
    assert progress_of(opened(instructor, 20)).warning == ""


def test_the_list_says_where_studies_stand(study: Study, instructor: Account) -> None:
    mark(study, 1, instructor, wobbling)
    StudyFactory.create(closed_at=timezone.now())
    closed()
    Study.objects.filter(pk=closed().pk).update(is_in_force=True)
    lines = study_lines(Study.objects.order_by("pk"))
    assert [line.state for line in lines] == [
        "under way",
        "closed without a result",
        "closed",
        "in force",
    ]
    assert (lines[0].marked, lines[0].wanted) == (8, 24)


@pytest.mark.parametrize("number", [8, 16])
def test_n_cost_what_2n_cost(instructor: Account, number: int) -> None:
    study = opened(instructor, number)
    mark(study, 1, instructor, wobbling)
    assert [
        queries_of(lambda: study_lines(Study.objects.all())),
        queries_of(lambda: candidates(instructor)),
        queries_of(lambda: progress_of(study)),
        queries_of(lambda: next_for(study, instructor)),
        queries_of(lambda: list(marking_table(study))),
    ] == [1, 1, 2, 2, 2]


def test_a_result_is_written_with_its_intervals() -> None:
    (row,) = result_rows(closed())
    assert (row.title, row.unit, row.size) == ("shaft lean", "degrees", "20 stills × 3")
    assert (row.sem.value, row.sem.interval) == ("0.6", "0.5 to 0.7")
    assert (row.agreement.value, row.agreement.interval) == ("0.92", "0.83 to 0.96")
    assert (row.slips, row.habits) == ("0.6", "0.1")


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [
        (0.3, 0.5, "smaller than assumed"),
        (0.9, 1.2, "larger than assumed"),
        (0.5, 1.0, "as assumed, as far as this study can tell"),
        (0.5, None, "as assumed, as far as this study can tell"),
    ],
)
def test_the_error_stands_beside_the_assumed_one(
    low: float, high: float | None, words: str
) -> None:
    """Of shaft lean 0.72 and 0.3 are assumed, 0.78 together."""
    (row,) = result_rows(closed(sem={"value": 0.5, "low": low, "high": high}))
    assert (row.assumed, row.sentence) == ("0.8", words)


def test_what_changes_in_force_is_told() -> None:
    """2.576 √2 √(3.3² + 1.3² + click²), with 0.72 assumed and 2.0 found, held to 1 %."""
    (row,) = result_rows(closed(click_sd=2.0))
    assert (row.threshold_assumed, row.threshold_found) == ("13.2", "14.8")


def test_it_is_said_in_short(study: Study, instructor: Account) -> None:
    for turn in (1, 2):
        mark(study, turn, instructor, wobbling)
    found = close_study(study=study, actor=instructor)
    within = 1.96 * found.result["forearm_line_offset_bd"]["sem"]["value"]
    assert f"within {within:.1f} ball diameters" in in_short(found)
    assert in_short(closed()) == ""


def test_what_is_missing_is_named() -> None:
    assert len(measures_left_out(closed())) == 6
    assert "shaft lean" not in measures_left_out(closed())


@pytest.mark.parametrize(("habit", "named"), [(0.3, []), (0.5, ["shaft lean"])])
def test_habits_that_make_the_interval_too_narrow_are_named(habit: float, named: list[str]) -> None:
    assert measures_of_habits(closed(rater_sd=habit)) == named


def test_the_tables_have_a_cell_under_every_title(study: Study, instructor: Account) -> None:
    for turn in (1, 2):
        mark(study, turn, instructor, wobbling)
    close_study(study=study, actor=instructor)
    study.refresh_from_db()
    results, markings = list(result_table(study)), list(marking_table(study))
    assert {len(row) for row in results} == {len(RESULT_TITLES)}
    assert {len(row) for row in markings} == {len(MARKING_TITLES)}
    assert [row[:2] for row in markings[:2]] == [[1, 1], [2, 1]]
