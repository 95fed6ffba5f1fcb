"""What a practice plan is about in a small house."""

from __future__ import annotations

from typing import Any

from assessments.models import PracticeItem
from school.models import Enrolment
from tests.assessments.factories import PracticeItemFactory


def build_practice(attendee: Enrolment) -> PracticeItem:
    return PracticeItemFactory.create(plan__enrolment=attendee)


def practice_addresses(item: PracticeItem) -> dict[str, list[Any]]:
    attendee = [item.plan.enrolment.school_id, item.plan.enrolment.pk]
    return {"practice_plan": attendee, "practice_propose": attendee}


def practice_writes(item: PracticeItem) -> dict[str, dict[str, Any]]:
    row = {"week": 1, "drill": item.drill.slug, "days": 2}
    return {
        "practice_plan": {
            "edition": 1,
            "rows": 1,
            **{f"row0-{name}": value for name, value in row.items()},
        },
        "practice_propose": {"edition": 1, "minutes_a_week": 60, "days_a_week": 3},
    }
