"""What helps to mark a still, and what marking it once more showed."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

from django.db.models import Case, Q, Value, When

from assessments.impact.words import unit_words
from assessments.models import Entry, Marking, Still
from assessments.queries.entries import measures_by_name
from assessments.stations import kinds_on_stills
from assessments.stations.base import MeasureKind, MeasureValue
from assessments.stations.impact import MEASURES
from assessments.stations.readings import written
from school.models import Account


@dataclass(frozen=True)
class Start:
    """Marks of another still, from which the marks of this one are soon found."""

    payload: dict[str, Any]
    is_of_same_attendee: bool


def start_for(still: Still) -> Start | None:
    """The marks last made on a still by the same camera: of the same size and handedness. 1 query.

    The attendee's own come first; else those of the same filming place and day.
    """
    same_day = Q(
        still__filming_place__isnull=False,
        still__uploaded_at__date=still.uploaded_at.date(),
    )
    own = Q(enrolment=still.enrolment_id)
    found = (
        Entry.objects.filter(
            own | same_day,
            kind__in=kinds_on_stills(),
            superseded_by__isnull=True,
            still__filming_place=still.filming_place_id,
            still__width_px=still.width_px,
            still__height_px=still.height_px,
            still__handedness=still.handedness,
        )
        .exclude(still=still.pk)
        .annotate(is_own=Case(When(own, then=Value(1)), default=Value(0)))
        .order_by("-is_own", "-recorded_at", "-pk")
        .first()
    )
    return Start(found.payload, found.enrolment_id == still.enrolment_id) if found else None


def times_marked(still: Still, account: Account) -> int:
    """How often the account has marked the still once more. 1 query."""
    return still.markings.filter(marked_by=account).count()


@dataclass(frozen=True)
class Compared:
    """One measure, marked first and once more; `expected` bounds 95 % of such differences."""

    title: str
    unit: str
    first: str
    second: str
    difference: str
    expected: str
    is_explained: bool


@dataclass(frozen=True)
class SecondMarking:
    """A marking beside the entry that stands."""

    marking: Marking
    rows: list[Compared]

    @property
    def unexplained(self) -> int:
        return sum(not row.is_explained for row in self.rows)


def second_markings(entry: Entry) -> list[SecondMarking]:
    """The entry's still marked once more outside of any study, newest first. 1 query."""
    if entry.kind not in kinds_on_stills():
        return []
    rows = Marking.objects.filter(still=entry.still_id, study=None).select_related("marked_by")
    first = measures_by_name(entry)
    return [SecondMarking(row, _compared(first, row)) for row in rows.order_by("-marked_at", "-pk")]


def _compared(first: dict[str, MeasureValue], marking: Marking) -> list[Compared]:
    return [
        _row(kind, first[kind.name], marking.values[kind.name])
        for kind in MEASURES
        if kind.name in first and kind.name in marking.values
    ]


def _row(kind: MeasureKind, first: MeasureValue, second: float) -> Compared:
    """Both markings are as sure as each other, so their difference has √2 of one's uncertainty."""
    difference = second - first.value
    step = 10**-kind.decimals
    within = 1.96 * math.sqrt(2) * (first.standard_uncertainty or 0.0)
    return Compared(
        kind.heading,
        unit_words(kind.unit),
        written(first.value, kind),
        written(second, kind),
        written(difference, replace(kind, signed=True)),
        f"{math.ceil(within / step - 1e-9) * step:.{kind.decimals}f}",
        abs(difference) <= within,
    )
