"""What planning again in a small house is about: rain, and a search that is under way."""

from dataclasses import dataclass
from typing import Any

from lessons.models import Plan, Trouble
from school.models import School
from tests.factories import SchoolFactory
from tests.lessons.factories import PlanFactory, TroubleFactory


@dataclass(frozen=True)
class Again:
    """A trouble of the school; the search is for a school of its own."""

    school: School
    rain: Trouble
    search: Plan


def build_again(school: School) -> Again:
    return Again(
        school=school,
        rain=TroubleFactory.create(
            kind="rain", starts_at=school.slot_instant(0, 2), ends_at=school.slot_instant(0, 4)
        ),
        search=PlanFactory.create(
            school=SchoolFactory.create(starts_on=school.starts_on), state="queued"
        ),
    )


def again_addresses(again: Again) -> dict[str, list[Any]]:
    return {
        "plan_stop": [again.search.pk],
        "troubles": [again.school.pk],
        "trouble_drop": [again.school.pk, again.rain.pk],
        "replan_request": [again.school.pk],
    }


def again_writes(again: Again) -> dict[str, dict[str, Any]]:
    """What to send so that something changes, by URL name."""
    school = again.school
    return {
        "plan_stop": {},
        "troubles": {
            "kind": "rain",
            "first_day": school.starts_on,
            "starts": "14:00",
            "last_day": school.starts_on,
            "ends": "15:00",
        },
        "trouble_drop": {},
        "replan_request": {"from": school.slot_instant(1, 0).isoformat(), "seconds": 20},
    }
