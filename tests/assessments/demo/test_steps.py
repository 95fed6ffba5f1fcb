"""The demo's steps, played without the worker and the site."""

from datetime import date
from typing import Any

import pytest

from assessments.demo import steps
from assessments.demo.pictures import swing
from assessments.demo.scenario import read_scenario
from assessments.models import Entry, FilmingPlace, PracticePlan, Report, Signature, Still
from lessons.models import Hold, Session
from school.models import Enrolment, Golfer, LedgerEntry, School


def quiet(line: str) -> None:
    """Say nothing."""


def play() -> School:
    stage = steps.Stage(read_scenario(), date(2026, 11, 25))
    steps.set_up_house(stage, quiet)
    school, _ = steps.set_up_schools(stage, quiet)
    plan = steps.plan_school(stage, school, quiet)
    steps.measure_golfers(stage, plan, quiet)
    steps.plan_practice(stage, school, quiet)
    steps.sign_reports(plan, quiet)
    return school


def counted() -> dict[str, int]:
    models: tuple[Any, ...] = (
        Enrolment,
        Golfer,
        LedgerEntry,
        Session,
        Hold,
        Still,
        Entry,
        PracticePlan,
        Signature,
    )
    return {model.__name__: model.objects.count() for model in models}


@pytest.mark.django_db(transaction=True)
def test_the_demo_fills_a_school_and_doubles_nothing() -> None:
    school = play()
    once = counted()
    assert school.enrolments.filter(state="seated").count() == 12
    assert Golfer.objects.filter(enrolments__school=school, handedness="left").count() == 2
    minors = [e for e in school.enrolments.all() if e.golfer.is_minor_on(school.starts_on)]
    assert [e.golfer.guardian_name for e in minors] == ["Marguerite Castellane"]
    place = FilmingPlace.objects.get()
    assert place.stills.count() == Still.objects.count()
    assert Entry.objects.filter(kind="impact").exclude(payload__joints=place.joints).count() == 0
    for kind in ("reference", "named_in_class"):
        agreed = school.enrolments.filter(consents__text__kind=kind).count()
        assert 0 < agreed < 12
    assert play() == school
    assert counted() == once
    assert once["Signature"] == 12
    assert not Report.objects.exists()
    every_station_has_something_to_show()
    plans_are_proposed_and_one_is_written()


def every_station_has_something_to_show() -> None:
    played = {"short_game", "on_course", "putting", "ball_flight", "impact"}
    for kind in played:
        assert Entry.objects.filter(kind=kind).values("enrolment").distinct().count() == 12
    assert Entry.objects.filter(kind="bunker").count() == 11  # one has a knee to spare
    screens = Entry.objects.filter(kind="physical")
    assert screens.count() == 3
    assert [any("pain_" in each for each in one.warnings) for one in screens].count(True) == 1
    clubs = Entry.objects.filter(kind="ball_flight").values_list("enrolment", "payload__club")
    assert len(set(clubs)) > 12 + 4
    assert Golfer.objects.filter(language="de", distances_in="m").count() == 1


def plans_are_proposed_and_one_is_written() -> None:
    assert PracticePlan.objects.filter(priorities__isnull=False).distinct().count() == 12
    written = PracticePlan.objects.get(is_edited=True)
    assert written.enrolment.golfer.email == "priya@example.org"


def test_a_swing_is_the_same_each_time_and_its_clicks_are_not_exact() -> None:
    first, again = swing("01_iron_right_strong", "a"), swing("01_iron_right_strong", "a")
    other = swing("01_iron_right_strong", "b")
    assert first == again
    assert first.jpeg != other.jpeg
    assert first.landmarks != other.landmarks


@pytest.mark.parametrize(
    ("today", "first"), [((2026, 11, 25), (2026, 12, 25)), ((2026, 6, 1), (2026, 7, 3))]
)
def test_the_coming_school_starts_on_a_friday(
    today: tuple[int, int, int], first: tuple[int, int, int]
) -> None:
    scenario = read_scenario()
    coming = next(school for school in scenario.schools if not school["is_taught"])
    assert scenario.first_day(coming, date(*today), 3) == date(*first)
