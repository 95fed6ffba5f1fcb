"""What is held for something that is no school."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Q, QuerySet

from lessons.models import Hold
from lessons.models.timetable import QUARTER
from lessons.queries.slots import Stretch, joined
from school.models import School


@dataclass(frozen=True)
class Keeping:
    """What is held for one reason and one stretch; `pk` is that of any of its holds."""

    pk: int
    note: str
    when: Stretch
    resources: tuple[str, ...]


def keepings(within: Stretch) -> list[Keeping]:
    """What was taken for other reasons than a school, in order of time. One query."""
    holds = without_school().filter(meeting(within))
    by_note: dict[str, list[Hold]] = {}
    for hold in holds.select_related("bay", "instructor__staff__account"):
        by_note.setdefault(hold.note, []).append(hold)
    found = [_keeping(note, when, rows) for note, rows in by_note.items() for when in _whens(rows)]
    return sorted(found, key=lambda each: (each.when.starts_at, each.note))


def kept_with(hold: Hold) -> list[Hold]:
    """All that is held for the same note in the same unbroken stretch. One query."""
    same = list(without_school().filter(note=hold.note))
    when = next(each for each in _whens(same) if each.covers(_quarter(hold)))
    return [each for each in same if when.covers(_quarter(each))]


def not_of(school: School | None) -> QuerySet[Hold]:
    """Holds of other schools, and those for no school."""
    return Hold.objects.filter(Q(session__isnull=True) | ~Q(session__plan__school=school))


def meeting(window: Stretch) -> Q:
    """Holds whose quarter hour has any time in common with the window."""
    return Q(quarter_hour__gt=window.starts_at - QUARTER, quarter_hour__lt=window.ends_at)


def without_school() -> QuerySet[Hold]:
    return Hold.objects.filter(session__isnull=True).order_by("quarter_hour", "pk")


def _keeping(note: str, when: Stretch, rows: list[Hold]) -> Keeping:
    inside = [hold for hold in rows if when.covers(_quarter(hold))]
    names = dict.fromkeys(str(hold.bay or hold.instructor) for hold in inside)
    return Keeping(inside[0].pk, note, when, tuple(names))


def _whens(holds: Iterable[Hold]) -> list[Stretch]:
    return joined(_quarter(hold) for hold in holds)


def _quarter(hold: Hold) -> Stretch:
    return Stretch.quarter(hold.quarter_hour)
