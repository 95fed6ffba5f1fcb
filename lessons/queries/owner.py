"""The house at a glance: bookings, money, who teaches how much and how far bays are used."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import timedelta
from typing import Literal

from lessons.models import Bay, Hours, Instructor, Session
from lessons.queries.slots import Stretch, bay_time, joined, whole_days
from school.access import schools_for_owner
from school.models import Account, School
from school.queries.money import Sums
from school.queries.schools import SchoolLine, schools_overview

HOUR = timedelta(hours=1)


@dataclass(frozen=True)
class Use:
    """Hours of an instructor or a bay in published sessions, in all and by school.

    An hour counts `factor` times when loads are compared: twice for somebody on half time.
    """

    name: str
    by_school: tuple[tuple[School, float], ...]
    offered: float | None = None
    factor: int = 1

    @property
    def hours(self) -> float:
        return sum(hours for _, hours in self.by_school)

    @property
    def load(self) -> float:
        """Hours as they are compared."""
        return self.hours * self.factor

    @property
    def share(self) -> int | None:
        """Per cent of what the instructor offered on the schools' days; None if nothing was."""
        return round(100 * self.hours / self.offered) if self.offered else None


@dataclass(frozen=True)
class Overview:
    schools: list[SchoolLine]
    money: dict[str, Sums] = field(default_factory=dict)
    instructors: list[Use] = field(default_factory=list)
    bays: list[Use] = field(default_factory=list)


def overview(account: Account) -> Overview:
    """Everything the owner's page shows of the schools the account may see. Six queries."""
    lines = schools_overview(schools_for_owner(account))
    schools = [line.school for line in lines]
    offered = _offered(schools)
    sessions = _published(schools)
    taught, used = _hours_by(sessions, "instructor"), _hours_by(sessions, "bay")
    people = Instructor.objects.select_related("staff__account")
    return Overview(
        schools=lines,
        money=_money(lines),
        instructors=[
            Use(str(each), taught[each.pk], offered[each.pk], each.load_factor) for each in people
        ],
        bays=[Use(each.name, used[each.pk]) for each in Bay.objects.all()],
    )


def _money(lines: Iterable[SchoolLine]) -> dict[str, Sums]:
    """What was charged and paid in all, by currency."""
    totals: dict[str, Sums] = {}
    for line in lines:
        currency = line.school.currency
        totals[currency] = totals.get(currency, Sums()) + line.money
    return totals


def _published(schools: Iterable[School]) -> list[Session]:
    """Sessions of published timetables, in order of their schools."""
    sessions = Session.objects.filter(plan__is_published=True, plan__school__in=schools)
    return list(
        sessions.select_related("visit", "plan__school").order_by(
            "plan__school__starts_on", "plan__school", "starts_at"
        )
    )


def _hours_by(
    sessions: Iterable[Session], resource: Literal["instructor", "bay"]
) -> defaultdict[int, tuple[tuple[School, float], ...]]:
    """Hours in published sessions by instructor or bay, each by school.

    Squads that are in one place together, or with one instructor, take the hour once.
    """
    stretches: dict[int, dict[School, list[Stretch]]] = defaultdict(lambda: defaultdict(list))
    for session in sessions:
        of_resource = stretches[getattr(session, f"{resource}_id")]
        of_resource[session.plan.school].append(_taken(session, resource))
    found: defaultdict[int, tuple[tuple[School, float], ...]] = defaultdict(tuple)
    for pk, by_school in stretches.items():
        found[pk] = tuple((school, _length(joined(each))) for school, each in by_school.items())
    return found


def _taken(session: Session, resource: str) -> Stretch:
    """All of the session for its instructor; for its bay, as long as the squad is in it."""
    if resource == "bay":
        return bay_time(session)
    return Stretch.of(session)


def _length(stretches: Iterable[Stretch]) -> float:
    return sum((each.ends_at - each.starts_at for each in stretches), timedelta()) / HOUR


def _offered(schools: Iterable[School]) -> defaultdict[int, float]:
    """Hours that each instructor can teach on any day of these schools."""
    windows = joined(whole_days(each.starts_on, each.ends_on, each.zone) for each in schools)
    stretches: defaultdict[int, list[Stretch]] = defaultdict(list)
    if windows:
        for row in Hours.objects.filter(
            starts_at__lt=windows[-1].ends_at, ends_at__gt=windows[0].starts_at
        ):
            stretches[row.instructor_id].append(Stretch.of(row))
    found: defaultdict[int, float] = defaultdict(float)
    for instructor, offered in stretches.items():
        common = (_common(a, b) for a in joined(offered) for b in windows)
        found[instructor] = sum(common, timedelta()) / HOUR
    return found


def _common(a: Stretch, b: Stretch) -> timedelta:
    return max(timedelta(), min(a.ends_at, b.ends_at) - max(a.starts_at, b.starts_at))
