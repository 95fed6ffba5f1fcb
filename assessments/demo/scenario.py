"""What `fixtures/tarnholm` says, read once."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, time, timedelta
from pathlib import Path
from typing import Any
from uuid import UUID, uuid5

from django.conf import settings

from assessments.actions.practice import Means
from assessments.practice.propose import Time

FRIDAY = 4
FOLDER = Path(settings.BASE_DIR) / "fixtures" / "tarnholm"
# Ids made from names under this one make every step of the demo safe to repeat.
NAMESPACE = UUID("6f0a2f1e-5b7c-4f0e-9d53-7f3f2f6f9a10")


@dataclass(frozen=True)
class Scenario:
    password: str
    time_zone: str
    venue: str
    filming_place: dict[str, Any]
    staff: list[dict[str, Any]]
    hours: tuple[time, time]
    schools: list[dict[str, Any]]
    golfers: dict[str, dict[str, Any]]
    course: dict[str, Any]
    practice: dict[str, Means]
    written_plans: dict[str, dict[str, Any]]

    def first_day(self, school: dict[str, Any], today: date, days: int) -> date:
        """The taught school ends today; the other starts on a Friday in four weeks or so."""
        if school["is_taught"]:
            return today - timedelta(days=days - 1)
        month_on = today + timedelta(weeks=4)
        return month_on + timedelta(days=(FRIDAY - month_on.weekday()) % 7)

    def email_of(self, job: str) -> str:
        """The sign-in of the first member of staff who has `job`."""
        return str(next(person["email"] for person in self.staff if job in person["jobs"]))


def read_scenario() -> Scenario:
    people = json.loads((FOLDER / "people.json").read_text())
    story = json.loads((FOLDER / "story.json").read_text())
    practice = json.loads((FOLDER / "practice.json").read_text())
    opens, closes = map(time.fromisoformat, people["hours"])
    return Scenario(
        password=people["password"],
        time_zone=people["time_zone"],
        venue=people["venue"],
        filming_place=people["filming_place"],
        staff=people["staff"],
        hours=(opens, closes),
        schools=people["schools"],
        golfers=story["golfers"],
        course=story["course"],
        practice=dict(_practice(practice)),
        written_plans=practice["written"],
    )


def _practice(told: dict[str, Any]) -> Iterator[tuple[str, Means]]:
    for email, answers in told["golfers"].items():
        time = Time(answers["minutes"], answers["days"])
        equipment = frozenset(told["places"][answers["at"]])
        yield email, Means(time, equipment, frozenset(answers.get("hurts", ())))


def cohort_text(school: dict[str, Any]) -> str:
    return Path(FOLDER, school["cohort"]).read_text()


def made_id(*parts: object) -> UUID:
    """The id a device would have made; the same parts give the same id."""
    return uuid5(NAMESPACE, "/".join(map(str, parts)))
