"""Stills to draw a study from, and markings of it, without a browser."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from uuid import uuid4

from assessments.models import FilmingPlace, Marking, Still, Study
from assessments.stations.impact import MEASURES
from school.models import Account
from tests.assessments.factories import EntryFactory, StillFactory, marking
from tests.factories import ConsentTextFactory, EnrolmentFactory, SchoolFactory

Value = Callable[[int, int], float]

RESULT = {
    "shaft_lean_deg": {
        "stills": 20,
        "markings": 3,
        "icc_agreement": {"value": 0.92, "low": 0.83, "high": 0.96},
        "icc_consistency": {"value": 0.93, "low": 0.86, "high": 0.97},
        "sem": {"value": 0.58, "low": 0.47, "high": 0.71},
        "mdc95": {"value": 1.61, "low": 1.3, "high": 1.97},
        "rater_sd": 0.15,
        "click_sd": 0.56,
        "df": 38,
    }
}


def stills_at(
    place: FilmingPlace, instructor: Account, number: int, a_golfer: int = 1, data: bytes = b""
) -> list[Still]:
    """That many measured stills of a school led by the instructor, some of each golfer."""
    school = SchoolFactory.create(lead_instructor=instructor.staff, capacity=60)
    text = ConsentTextFactory.create(kind="filming")
    stills: list[Still] = []
    while len(stills) < number:
        enrolment = EnrolmentFactory.create(school=school)
        enrolment.consents.create(text=text, given_by="the golfer")
        for phase, _ in zip(("intake", "exit") * 20, range(a_golfer), strict=False):
            still = StillFactory.create(
                enrolment=enrolment, filming_place=place, phase=phase, picture__data=data
            )
            EntryFactory.create(
                enrolment=enrolment, kind="impact", phase=phase, still=still, payload=marking()
            )
            stills.append(still)
    return stills[:number]


def mark(
    study: Study, turn: int, by: Account, value: Value, stills: Iterable[int] | None = None
) -> None:
    """Mark the stills of these orders, or all; each measure gets `value(order, turn)`."""
    Marking.objects.bulk_create(
        Marking(
            id=uuid4(),
            still_id=each.still_id,
            study=study,
            turn=turn,
            payload={},
            values={measure.name: value(each.order, turn) for measure in MEASURES},
            definitions_version="1",
            marked_by=by,
        )
        for each in study.stills.all()
        if stills is None or each.order in stills
    )


def wobbling(order: int, turn: int) -> float:
    """Stills a step apart, each marked a little differently in each turn."""
    return order + 0.1 * ((order * 7 + turn * 5) % 11 - 5) + 0.2 * turn
