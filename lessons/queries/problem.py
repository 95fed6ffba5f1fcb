"""The rows of one school as the planner's problem.

Keys are primary keys as text, and slugs for stations. Places and features go by their names,
because those are what the planner says when there is no plan.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Count, Q, QuerySet

from lessons import models as rows
from lessons.planner import problem as planner
from lessons.planner.plan import Placement
from lessons.queries import means
from lessons.queries.daylight import dark_slots
from lessons.queries.means import Taken
from lessons.queries.placements import as_placements
from lessons.queries.slots import all_slots
from school.models import Handedness, School

IMPACT = "impact"
# How long a squad may walk between two slots that follow each other; it comes off the first.
CHANGEOVER_MIN = 10


def problem_for(
    school: School, *, plan_again: rows.Plan | None = None, kept_before: datetime | None = None
) -> planner.Problem:
    """What the planner is asked for this school. 15 queries, however large the school.

    Parameters
    ----------
    plan_again
        The plan that the new one is based on: its pinned sessions stay. One query more.
    kept_before
        When planning again under a timetable that is published, or from such a plan: what
        begins earlier is over, nothing new begins earlier, and as little as can be is changed.
    """
    slots = all_slots(school)
    taken, upset = means.taken_by_others(school, slots), means.upset(slots)
    squads = _squads(school, upset.squads)
    kept = _kept(school, squads, plan_again, kept_before)
    to_come = [w for w, slot in slots.items() if kept_before and slot.starts_at >= kept_before]
    visits = list(_visits(school))
    people = list(means.instructors_for(slots, kept.instructors))
    lead = next((p.pk for p in people if p.staff_id == school.lead_instructor_id), None)
    return planner.Problem(
        grid=_grid(school),
        squads=squads,
        visits=tuple(_visit(visit, school) for visit in visits),
        bays=tuple(
            means.as_bay(bay, taken.bays[bay.pk] | upset.bays[bay.pk], slots)
            for bay in means.bays_for(kept.bays)
        ),
        instructors=tuple(
            means.as_instructor(p, slots, taken.instructors[p.pk] | upset.instructors[p.pk])
            for p in people
        ),
        walk_min=means.walks(),
        changeover_min=CHANGEOVER_MIN,
        lead=None if lead is None else str(lead),
        same_instructor=_intake_and_exit(visits),
        base=means.base(),
        same_day=_pairs((visit, visit.same_day.all()) for visit in visits),
        other_day=_pairs((visit, visit.other_day.all()) for visit in visits),
        rain=upset.rain,
        dark=dark_slots(school, slots),
        past=kept.past,
        pinned=kept.pinned,
        published=kept.published,
        now=min(to_come, default=None),
    )


def _grid(school: School) -> planner.Grid:
    return planner.Grid(
        days=len(school.dates),
        slots_per_day=school.slots_per_day,
        lunch_after=school.morning_slots,
        slot_min=school.slot_min,
        slot_times=_slot_times(school),
    )


def _slot_times(school: School) -> tuple[tuple[str, str], ...]:
    """When the slots of a day begin and end on the school's own clocks, the same every day."""
    lasts = timedelta(minutes=school.slot_min)
    starts = [school.slot_starts(school.starts_on, slot) for slot in range(school.slots_per_day)]
    return tuple((f"{at:%H:%M}", f"{at + lasts:%H:%M}") for at in starts)


def _squads(school: School, away: Mapping[int, Taken]) -> tuple[planner.Squad, ...]:
    squads = school.squads.annotate(
        size=Count("members"),
        left_handers=Count(
            "members", filter=Q(members__enrolment__golfer__handedness=Handedness.LEFT)
        ),
    )
    return tuple(
        planner.Squad(
            key=str(squad.pk),
            name=str(squad),
            size=squad.size,
            left_handed=squad.left_handers > 0,
            away=away[squad.pk],
        )
        for squad in squads.filter(size__gte=1)
    )


def _visits(school: School) -> QuerySet[rows.Visit]:
    return (
        rows.Visit.objects.filter(programme=school.programme_id)
        .select_related("station")
        .prefetch_related("after", "same_day", "other_day", "station__needs")
    )


def _visit(visit: rows.Visit, school: School) -> planner.Visit:
    return planner.Visit(
        key=str(visit.pk),
        name=visit.name,
        station=visit.station_id,
        slots=visit.slots,
        features=means.names_of(visit.station.needs.all()),
        handed=visit.station.is_handed,
        days=frozenset(range(visit.first_day - 1, min(visit.last_day, len(school.dates)))),
        after={str(earlier.pk): earlier.times for earlier in visit.after.all()},
        times=visit.times,
        most_a_day=visit.most_a_day,
        bay_slots=visit.bay_slots,
        preferred=_preferred(visit, school.slots_per_day),
        group=visit.group_ratio is not None,
        ratio=visit.group_ratio or planner.MAX_SQUAD,
        everyone=visit.is_everyones,
    )


def _preferred(visit: rows.Visit, slots_per_day: int) -> frozenset[int] | None:
    """Slots of a day; none is better than the others if the day has none of them."""
    if visit.prefers_from is None or visit.prefers_to is None:
        return None
    last = min(visit.prefers_to, slots_per_day)
    return frozenset(range(visit.prefers_from - 1, last)) or None


def _pairs(
    visits: Iterable[tuple[rows.Visit, Iterable[rows.Visit]]],
) -> tuple[tuple[str, str], ...]:
    """Each pair once, in order of their keys."""
    pairs = {(min(v.pk, o.pk), max(v.pk, o.pk)) for v, others in visits for o in others}
    return tuple((str(one), str(other)) for one, other in sorted(pairs))


def _intake_and_exit(visits: list[rows.Visit]) -> tuple[str, str] | None:
    """The impact station's first and last measurement, if the programme has both."""
    by_phase = {v.phase: str(v.pk) for v in visits if v.station.entry_kind == IMPACT}
    intake, last = by_phase.get(rows.Phase.INTAKE), by_phase.get(rows.Phase.EXIT)
    return (intake, last) if intake and last else None


@dataclass(frozen=True)
class _Kept:
    """Sessions of earlier plans that bind the new one, and the bays and people they are with."""

    past: tuple[Placement, ...] = ()
    pinned: tuple[Placement, ...] = ()
    published: tuple[Placement, ...] = ()

    @property
    def bays(self) -> set[int]:
        return {int(each.bay) for each in self._all}

    @property
    def instructors(self) -> set[int]:
        return {int(key) for each in self._all for key in each.instructors}

    @property
    def _all(self) -> tuple[Placement, ...]:
        return self.past + self.pinned + self.published


def _kept(
    school: School,
    squads: Iterable[planner.Squad],
    again: rows.Plan | None,
    before: datetime | None,
) -> _Kept:
    """Sessions of squads without golfers, or of visits the programme lost, bind nothing."""
    if again is None and before is None:
        return _Kept()
    of_plans = Q(plan=again) if again else Q()
    if before:
        of_plans |= Q(plan__is_published=True, plan__school=school)
    sessions = list(
        rows.Session.objects.filter(of_plans, squad__in=[int(squad.key) for squad in squads])
        .filter(visit__programme=school.programme_id)
        .select_related("plan", "visit")
        .order_by("starts_at", "squad")
    )
    published = [each for each in sessions if before and each.plan.is_published]
    return _Kept(
        past=as_placements(school, [s for s in published if before and s.starts_at < before]),
        pinned=as_placements(
            school,
            [
                s
                for s in sessions
                if s.is_pinned and s.plan == again and not (before and s.starts_at < before)
            ],
        ),
        published=as_placements(school, published),
    )
