"""When two reports say the same, and when they do not."""

import hashlib
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date
from enum import Enum
from typing import Any, cast

import pytest

from assessments.models import Drill, PracticeItem, PracticePlan
from assessments.reports.fingerprint import fingerprint_of
from assessments.reports.gather import Edition, ReportContents, gather
from assessments.stations.base import MeasureKind
from school.models import Account, Enrolment
from tests.assessments.factories import PracticeItemFactory, putts
from tests.assessments.reports import scene


class Colour(Enum):
    MOSS = "moss"


@dataclass(frozen=True)
class Inner:
    value: float
    on: date


@dataclass(frozen=True)
class Anything:
    """Whatever a report may come to hold."""

    b: Any
    a: Any = None
    made_on: date = date(2026, 5, 12)


def of(b: Any, **more: Any) -> str:
    return fingerprint_of(cast(ReportContents, Anything(b, **more)))


def test_its_form_is_fixed() -> None:
    """A signature of last year must still be recognised: this number never changes."""
    found = of({Colour.MOSS: (Inner(0.5, date(2026, 5, 12)), True)}, a={"z", "y"})
    text = '{"a":["y","z"],"b":{"moss":[{"on":"2026-05-12","value":"0.5"},true]}}'
    assert found == hashlib.sha256(text.encode()).hexdigest()


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ({"x": 1, "y": 2}, {"y": 2, "x": 1}),
        ([1, 2], (1, 2)),
        (0.1 + 0.2, 0.3),
        (
            MeasureKind("carry_m", "carry", "m", 0),
            MeasureKind("carry_m", "how far it flew", "m", 1),
        ),
    ],
)
def test_what_reads_the_same_is_the_same(one: Any, other: Any) -> None:
    assert of(one) == of(other)


@pytest.mark.parametrize(
    ("one", "other"),
    [(1.0, 1.0000001), ("1", 1), ([1, 2], [2, 1]), (None, ""), ({"x": None}, {})],
)
def test_what_reads_otherwise_is_not(one: Any, other: Any) -> None:
    assert of(one) != of(other)


def test_what_has_no_fixed_form_is_refused() -> None:
    with pytest.raises(TypeError, match="object has no place"):
        of([object()])


@pytest.fixture
def attendee(instructor: Account) -> Enrolment:
    return scene.full_school(instructor)


@pytest.mark.django_db
def test_reading_it_twice_gives_the_same(attendee: Enrolment) -> None:
    first, again = gather(attendee), gather(Enrolment.objects.get(pk=attendee.pk))
    assert fingerprint_of(first) == fingerprint_of(again)


@pytest.mark.django_db
def test_the_edition_and_the_day_it_was_made_are_no_part_of_it(attendee: Enrolment) -> None:
    plain = gather(attendee)
    day = date(2026, 5, 12)
    second = gather(attendee, edition=Edition(2, day, "Ines Instructor", day))
    assert second.version == 2
    assert fingerprint_of(replace(second, made_on=day)) == fingerprint_of(plain)


def correct_a_putt(attendee: Enrolment) -> None:
    wrong = attendee.entries.get(kind="putting", phase="exit")
    scene.record(attendee, "putting", "exit", putts(9, 5, 3), supersedes=wrong)


def edit_the_paragraph(attendee: Enrolment) -> None:
    old = attendee.entries.get(kind="coach_paragraph")
    text = {"text": f"{scene.PARAGRAPH} Sleep well."}
    scene.record(attendee, "coach_paragraph", "exit", text, supersedes=old)


def move_a_mark(attendee: Enrolment) -> None:
    """The one shown is another or its lines lie elsewhere, even if every mean stays."""
    entry = attendee.entries.filter(kind="impact", phase="exit").order_by("recorded_at", "pk")[1]
    entry.payload["landmarks"]["ball_edge_a"][0] += 0.5
    entry.save(update_fields=["payload"])


def rename(attendee: Enrolment) -> None:
    type(attendee.golfer).objects.filter(pk=attendee.golfer_id).update(full_name="Somebody Else")


def plan_practice(attendee: Enrolment) -> None:
    scene.planned(attendee, "gate-for-the-putt")


@pytest.mark.django_db
def test_how_it_is_written_and_where_others_stand_are_no_part_of_it(attendee: Enrolment) -> None:
    before = fingerprint_of(gather(attendee))
    golfers = type(attendee.golfer).objects.filter(pk=attendee.golfer_id)
    golfers.update(distances_in="m", speeds_in="m/s")
    type(attendee.school).objects.filter(pk=attendee.school_id).update(paper="letter")
    metric = gather(attendee)
    assert metric.units.distance == "m"
    assert fingerprint_of(replace(metric, placings=())) == before


@pytest.mark.django_db
@pytest.mark.parametrize(
    "change", [correct_a_putt, edit_the_paragraph, move_a_mark, rename, plan_practice]
)
def test_whatever_the_golfer_would_read_or_see_otherwise_counts(
    change: Callable[[Enrolment], None], attendee: Enrolment
) -> None:
    before = fingerprint_of(gather(attendee))
    change(attendee)
    assert fingerprint_of(gather(attendee)) != before


@pytest.mark.django_db
def test_of_a_plan_counts_what_is_to_be_done(attendee: Enrolment) -> None:
    PracticeItemFactory.create(plan__enrolment=attendee)
    before = fingerprint_of(gather(attendee))
    Drill.objects.update(purpose="To start it on line.", steps="Putt through the gate.")
    PracticePlan.objects.update(edition=7, is_edited=True)
    assert fingerprint_of(gather(attendee)) == before
    PracticeItem.objects.update(minutes=11)
    assert fingerprint_of(gather(attendee)) != before
