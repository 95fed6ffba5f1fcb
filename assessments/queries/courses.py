"""The course that a school plays, so that nobody types its pars twice."""

from __future__ import annotations

from typing import Any

from assessments.models import Entry
from school.models import Enrolment

OF_THE_COURSE = ("number", "par", "stroke_index")


def course_of(enrolment: Enrolment, kind: str) -> dict[str, Any]:
    """Holes and tees of the newest card that stands in the attendee's school, without what
    anybody played; empty if there is none. 1 query."""
    newest = (
        Entry.objects.filter(
            enrolment__school=enrolment.school_id, kind=kind, superseded_by__isnull=True
        )
        .order_by("-recorded_at", "-pk")
        .first()
    )
    if newest is None:
        return {}
    holes = [
        {key: hole[key] for key in OF_THE_COURSE if key in hole} for hole in newest.payload["holes"]
    ]
    tees = newest.payload.get("tees")
    return {"holes": holes} | ({"tees": tees} if tees else {})
