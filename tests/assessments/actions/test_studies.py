"""A repeatability study: opened, marked in turns, closed, and let count or not."""

from random import Random
from uuid import uuid4

import pytest
from django.utils import timezone

from assessments.actions.markings import record_marking
from assessments.actions.studies import (
    close_study,
    give_up_study,
    open_study,
    put_in_force,
    take_out_of_force,
)
from assessments.errors import StudyRefused
from assessments.models import Entry, FilmingPlace, Still, Study
from assessments.stations.impact import MEASURES
from school.models import Account, AuditEntry, Consent
from tests.assessments.factories import FilmingPlaceFactory, StudyFactory, marks_of
from tests.assessments.study_scene import mark, stills_at, wobbling

pytestmark = pytest.mark.django_db


@pytest.fixture
def place() -> FilmingPlace:
    made: FilmingPlace = FilmingPlaceFactory.create(name="North bay")
    return made


@pytest.fixture
def study(place: FilmingPlace, instructor: Account) -> Study:
    stills_at(place, instructor, 8)
    return open_study(place=place, name="Spring", opened_by=instructor, rng=Random(1))


def whole(study: Study, *people: Account) -> Study:
    for turn, by in enumerate(people, start=1):
        mark(study, turn, by, wobbling)
    return study


def verbs() -> list[str]:
    return list(AuditEntry.objects.order_by("pk").values_list("verb", flat=True))


def test_twenty_stills_are_drawn_in_an_order_of_their_own(
    place: FilmingPlace, instructor: Account
) -> None:
    stills = stills_at(place, instructor, 24, a_golfer=3)
    study = open_study(place=place, name=" Spring ", opened_by=instructor, rng=Random(1))
    drawn = list(study.stills.values_list("order", "still"))
    assert [order for order, _ in drawn] == list(range(1, 21))
    assert {still for _, still in drawn} <= {still.pk for still in stills}
    assert (study.name, study.markings_wanted) == ("Spring", 3)
    assert AuditEntry.objects.get().detail == {"stills": 20, "place": "North bay"}


def test_fewer_than_eight_stills_are_refused(place: FilmingPlace, instructor: Account) -> None:
    stills_at(place, instructor, 7)
    with pytest.raises(StudyRefused, match="at least 8 stills"):
        open_study(place=place, name="Spring", opened_by=instructor)
    assert not Study.objects.exists()


def refused_for_want_of_stills(place: FilmingPlace, account: Account) -> None:
    with pytest.raises(StudyRefused, match="Here are 7"):
        open_study(place=place, name="Spring", opened_by=account)


def test_a_still_without_consent_is_not_drawn(place: FilmingPlace, instructor: Account) -> None:
    still = stills_at(place, instructor, 8)[0]
    Consent.objects.filter(enrolment=still.enrolment).update(withdrawn_at=timezone.now())
    refused_for_want_of_stills(place, instructor)


@pytest.mark.parametrize("changed", [{"filming_place": None}, {"shot_kind": "specialty"}])
def test_a_still_from_elsewhere_or_of_another_kind_is_not_drawn(
    place: FilmingPlace, instructor: Account, changed: dict[str, object]
) -> None:
    still = stills_at(place, instructor, 8)[0]
    Still.objects.filter(pk=still.pk).update(**changed)
    refused_for_want_of_stills(place, instructor)


def test_a_doubtful_still_is_not_drawn(place: FilmingPlace, instructor: Account) -> None:
    still = stills_at(place, instructor, 8)[0]
    Entry.objects.filter(still=still).update(warnings=["not_at_impact"])
    refused_for_want_of_stills(place, instructor)


def test_a_still_that_was_never_measured_is_not_drawn(
    place: FilmingPlace, instructor: Account
) -> None:
    still = stills_at(place, instructor, 8)[0]
    Entry.objects.filter(still=still).delete()
    refused_for_want_of_stills(place, instructor)


def test_nobody_draws_stills_of_a_school_they_do_not_teach_in(
    place: FilmingPlace, instructor: Account, other_instructor: Account
) -> None:
    stills_at(place, instructor, 20)
    with pytest.raises(StudyRefused, match="Here are 0"):
        open_study(place=place, name="Spring", opened_by=other_instructor)


def test_one_study_of_a_place_is_under_way(study: Study, instructor: Account) -> None:
    with pytest.raises(StudyRefused, match="“Spring” of North bay is under way"):
        open_study(place=study.place, name="Again", opened_by=instructor)


def again(study: Study, turn: int, by: Account, still: Still | None = None) -> None:
    record_marking(
        id=uuid4(),
        still=still or study.stills.earliest("order").still,
        payload={"landmarks": marks_of()},
        marked_by=by,
        study=study,
        turn=turn,
    )


def test_a_marking_joins_its_turn(study: Study, instructor: Account) -> None:
    again(study, 1, instructor)
    assert [(one.turn, one.marked_by) for one in study.markings.all()] == [(1, instructor)]


def test_a_turn_is_of_whoever_begins_it(
    study: Study, instructor: Account, front_desk: Account
) -> None:
    mark(study, 1, front_desk, wobbling, stills=[2])
    with pytest.raises(StudyRefused, match="Dana Desk has begun turn 1"):
        again(study, 1, instructor)


@pytest.mark.parametrize("turn", [0, 4])
def test_a_turn_that_is_not_asked_for_is_refused(
    study: Study, instructor: Account, turn: int
) -> None:
    with pytest.raises(StudyRefused, match=f"does not ask for this still in turn {turn}"):
        again(study, turn, instructor)


def test_a_still_of_no_study_is_refused(
    study: Study, place: FilmingPlace, instructor: Account
) -> None:
    other = stills_at(place, instructor, 1)[0]
    with pytest.raises(StudyRefused, match="does not ask"):
        again(study, 1, instructor, other)


def test_a_closed_study_takes_no_more(study: Study, instructor: Account) -> None:
    give_up_study(study=study, actor=instructor)
    with pytest.raises(StudyRefused, match="takes no more markings"):
        again(study, 1, instructor)


def test_a_closed_study_keeps_what_it_found_of_every_measure(
    study: Study, instructor: Account, front_desk: Account
) -> None:
    whole(study, instructor, front_desk, instructor)
    result = close_study(study=study, actor=instructor).result
    assert list(result) == [measure.name for measure in MEASURES]
    shaft = result["shaft_lean_deg"]
    assert (shaft["stills"], shaft["markings"], shaft["df"]) == (8, 3, 14)
    assert shaft["sem"]["low"] < shaft["sem"]["value"] < shaft["sem"]["high"]
    study.refresh_from_db()
    assert study.closed_at is not None
    assert study.result == result
    assert verbs()[-1] == "close_study"


def test_closing_twice_changes_nothing(study: Study, instructor: Account) -> None:
    whole(study, instructor, instructor)
    closed = close_study(study=study, actor=instructor).closed_at
    assert close_study(study=study, actor=instructor).closed_at == closed
    assert verbs().count("close_study") == 1


def test_a_turn_broken_off_is_left_out(study: Study, instructor: Account) -> None:
    whole(study, instructor, instructor)
    mark(study, 3, instructor, wobbling, stills=[1, 2])
    result = close_study(study=study, actor=instructor).result
    assert (result["shaft_lean_deg"]["stills"], result["shaft_lean_deg"]["markings"]) == (8, 2)


@pytest.mark.parametrize(("second", "missing"), [((), 16), ((1, 2, 3, 4), 12)])
def test_too_little_is_refused_with_what_is_missing(
    study: Study, instructor: Account, second: tuple[int, ...], missing: int
) -> None:
    mark(study, 1, instructor, wobbling)
    mark(study, 2, instructor, wobbling, stills=second)
    with pytest.raises(StudyRefused, match=f"{missing} markings are missing"):
        close_study(study=study, actor=instructor)
    study.refresh_from_db()
    assert study.closed_at is None


def test_a_measure_with_too_few_values_is_left_out(study: Study, instructor: Account) -> None:
    whole(study, instructor, instructor)
    for marking in study.markings.filter(turn=2):
        del marking.values["ball_position_bd"]
        marking.save(update_fields=["values"])
    result = close_study(study=study, actor=instructor).result
    assert "ball_position_bd" not in result
    assert "shaft_lean_deg" in result


def test_a_study_given_up_has_no_result_and_makes_room(
    study: Study, place: FilmingPlace, instructor: Account
) -> None:
    whole(study, instructor, instructor)
    assert give_up_study(study=study, actor=instructor).result == {}
    assert open_study(place=place, name="Next", opened_by=instructor).closed_at is None


def test_what_is_closed_is_not_given_up(study: Study, instructor: Account) -> None:
    whole(study, instructor, instructor)
    close_study(study=study, actor=instructor)
    assert give_up_study(study=study, actor=instructor).result


def closed(place: FilmingPlace, name: str) -> Study:
    made: Study = StudyFactory.create(
        place=place, name=name, closed_at=timezone.now(), result={"shaft_lean_deg": {}}
    )
    return made


def test_one_study_of_a_place_is_in_force(place: FilmingPlace, instructor: Account) -> None:
    older, newer = closed(place, "Older"), closed(place, "Newer")
    put_in_force(study=older, actor=instructor)
    put_in_force(study=newer, actor=instructor)
    assert [study.name for study in place.studies.filter(is_in_force=True)] == ["Newer"]
    assert AuditEntry.objects.latest("pk").detail == {"instead_of": "Older"}


def test_places_have_each_their_own(place: FilmingPlace, instructor: Account) -> None:
    for study in (closed(place, "Here"), closed(FilmingPlaceFactory.create(), "There")):
        put_in_force(study=study, actor=instructor)
    assert Study.objects.filter(is_in_force=True).count() == 2


def test_putting_in_force_twice_changes_nothing(place: FilmingPlace, instructor: Account) -> None:
    study = closed(place, "Here")
    for _ in range(2):
        assert put_in_force(study=study, actor=instructor).is_in_force
    assert verbs() == ["put_in_force"]


def test_a_study_without_a_result_cannot_count(study: Study, instructor: Account) -> None:
    with pytest.raises(StudyRefused, match="no result"):
        put_in_force(study=study, actor=instructor)


def test_the_assumed_spreads_come_back(place: FilmingPlace, instructor: Account) -> None:
    study = closed(place, "Here")
    put_in_force(study=study, actor=instructor)
    for _ in range(2):
        assert not take_out_of_force(study=study, actor=instructor).is_in_force
    assert verbs() == ["put_in_force", "take_out_of_force"]
