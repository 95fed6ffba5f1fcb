"""The studies of the small house: one under way, one closed, and stills to open a third on."""

from dataclasses import dataclass
from typing import Any
from uuid import uuid4

from django.utils import timezone

from assessments.models import Entry, FilmingPlace, Still, Study
from tests.assessments.factories import FilmingPlaceFactory, StudyFactory, marking
from tests.assessments.study_scene import RESULT


@dataclass(frozen=True)
class Studies:
    place: FilmingPlace
    under_way: Study
    closed: Study


def build_studies(still: Still) -> Studies:
    """Eight copies of a still, measured, at a place of which no study is under way."""
    place = FilmingPlaceFactory.create()
    copies = [_copy(still, place) for _ in range(8)]
    Still.objects.bulk_create(copies)
    Entry.objects.bulk_create(_entry(copy) for copy in copies)
    under_way = StudyFactory.create()
    under_way.stills.create(still=copies[0], order=1)
    closed = StudyFactory.create(place=place, closed_at=timezone.now(), result=RESULT)
    return Studies(place, under_way, closed)


def _copy(still: Still, place: FilmingPlace) -> Still:
    return Still(
        id=uuid4(),
        enrolment=still.enrolment,
        phase="exit",
        club_class="wood",
        handedness=still.handedness,
        filming_place=place,
        picture=still.picture.name,
        sha256=uuid4().hex * 2,
        width_px=still.width_px,
        height_px=still.height_px,
    )


def _entry(still: Still) -> Entry:
    return Entry(
        id=uuid4(),
        enrolment=still.enrolment,
        kind="impact",
        phase=still.phase,
        still=still,
        payload=marking(),
        payload_sha256="0" * 64,
    )


def study_addresses(studies: Studies) -> dict[str, list[Any]]:
    return {
        "study": [studies.under_way.pk],
        "study_next": [studies.under_way.pk],
        "study_close": [studies.under_way.pk],
        "study_force": [studies.closed.pk],
        "study_table": [studies.closed.pk, "results"],
    }


def study_writes(studies: Studies) -> dict[str, dict[str, Any]]:
    return {
        "studies": {
            "place": studies.place.pk,
            "name": "Summer",
            "stills": 20,
            "markings_wanted": 3,
        },
        "study_close": {"give_up": "1"},
        "study_force": {},
    }
