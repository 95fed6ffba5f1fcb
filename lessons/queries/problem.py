"""The rows of one school as the planner's problem.

Keys are primary keys as text, and slugs for stations. Places and features go by their names,
because those are what the planner says when there is no plan.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import timedelta

from django.db.models import Count, Prefetch, Q, QuerySet

from lessons import models as rows
from lessons.planner import problem as planner
from lessons.queries.holds import meeting, not_of
from lessons.queries.slots import Stretch, all_slots, joined
from school.models import Handedness, School

IMPACT = "impact"
# How long a squad may walk between two slots that follow each other; it comes off the first.
CHANGEOVER_MIN = 10

Slots = Mapping[tuple[int, int], Stretch]
Taken = frozenset[tuple[int, int]]


def problem_for(school: School) -> planner.Problem:
    """What the planner is asked for this school. Eleven queries, however large the school."""
    slots = all_slots(school)
    taken = _taken_by_others(school, slots)
    visits = list(_visits(school))
    people = list(_instructors(slots))
    lead = next((p.pk for p in people if p.staff_id == school.lead_instructor_id), None)
    return planner.Problem(
        grid=planner.Grid(
            days=len(school.dates),
            slots_per_day=school.slots_per_day,
            lunch_after=school.morning_slots,
            slot_min=school.slot_min,
            slot_times=_slot_times(school),
        ),
        squads=tuple(_squads(school)),
        visits=tuple(_visit(visit, len(school.dates)) for visit in visits),
        bays=tuple(_bay(bay, taken.bays[bay.pk]) for bay in _open_bays()),
        instructors=tuple(_instructor(p, slots, taken.instructors[p.pk]) for p in people),
        walk_min=_walks(),
        changeover_min=CHANGEOVER_MIN,
        lead=None if lead is None else str(lead),
        same_instructor=_intake_and_exit(visits),
    )


def _slot_times(school: School) -> tuple[tuple[str, str], ...]:
    """When the slots of a day begin and end on the school's own clocks, the same every day."""
    lasts = timedelta(minutes=school.slot_min)
    starts = [school.slot_starts(school.starts_on, slot) for slot in range(school.slots_per_day)]
    return tuple((f"{at:%H:%M}", f"{at + lasts:%H:%M}") for at in starts)


def _squads(school: School) -> list[planner.Squad]:
    squads = school.squads.annotate(
        size=Count("members"),
        left_handers=Count(
            "members", filter=Q(members__enrolment__golfer__handedness=Handedness.LEFT)
        ),
    )
    return [
        planner.Squad(str(squad.pk), str(squad), squad.size, squad.left_handers > 0)
        for squad in squads.filter(size__gte=1)
    ]


def _visits(school: School) -> QuerySet[rows.Visit]:
    return (
        rows.Visit.objects.filter(programme=school.programme_id)
        .select_related("station")
        .prefetch_related("after", "station__needs")
    )


def _visit(visit: rows.Visit, days: int) -> planner.Visit:
    return planner.Visit(
        key=str(visit.pk),
        name=visit.name,
        station=visit.station_id,
        slots=visit.slots,
        features=_names(visit.station.needs.all()),
        handed=visit.station.is_handed,
        days=frozenset(range(visit.first_day - 1, min(visit.last_day, days))),
        after={str(earlier.pk): earlier.times for earlier in visit.after.all()},
    )


def _open_bays() -> QuerySet[rows.Bay]:
    return (
        rows.Bay.objects.filter(is_open=True).select_related("place").prefetch_related("features")
    )


def _bay(bay: rows.Bay, taken: Taken) -> planner.Bay:
    return planner.Bay(str(bay.pk), bay.name, str(bay.place), _names(bay.features.all()), taken)


def _names(features: Iterable[rows.Feature]) -> frozenset[str]:
    """Names, but for the one feature that the planner itself knows."""
    left = rows.Feature.LEFT_HANDED
    return frozenset(planner.LEFT_HANDED if each.pk == left else each.name for each in features)


def _walks() -> dict[tuple[str, str], int]:
    walks = rows.Walk.objects.select_related("a", "b")
    return {(str(walk.a), str(walk.b)): walk.minutes for walk in walks}


def _instructors(slots: Slots) -> QuerySet[rows.Instructor]:
    window = _window(slots)
    hours = rows.Hours.objects.filter(starts_at__lt=window.ends_at, ends_at__gt=window.starts_at)
    return (
        rows.Instructor.objects.filter(staff__teaches=True, staff__account__is_active=True)
        .select_related("staff__account")
        .prefetch_related("stations", Prefetch("hours", queryset=hours))
    )


def _instructor(person: rows.Instructor, slots: Slots, taken: Taken) -> planner.Instructor:
    hours = joined(map(Stretch.of, person.hours.all()))
    return planner.Instructor(
        key=str(person.pk),
        name=str(person),
        skills=frozenset(station.pk for station in person.stations.all()),
        available=frozenset(
            when for when, slot in slots.items() if any(each.covers(slot) for each in hours)
        )
        - taken,
        max_load=person.max_slots_a_day,
        max_run=person.max_run,
    )


def _intake_and_exit(visits: list[rows.Visit]) -> tuple[str, str] | None:
    """The impact station's first and last measurement, if the programme has both."""
    by_phase = {v.phase: str(v.pk) for v in visits if v.station.entry_kind == IMPACT}
    intake, last = by_phase.get(rows.Phase.INTAKE), by_phase.get(rows.Phase.EXIT)
    return (intake, last) if intake and last else None


@dataclass(frozen=True)
class _Taken:
    bays: defaultdict[int, Taken]
    instructors: defaultdict[int, Taken]


def _taken_by_others(school: School, slots: Slots) -> _Taken:
    """Slots in which another school or a private lesson holds a bay or an instructor."""
    holds = not_of(school).filter(meeting(_window(slots)))
    taken = _Taken(defaultdict(frozenset), defaultdict(frozenset))
    for bay, instructor, starts_at in holds.values_list("bay", "instructor", "quarter_hour"):
        quarter = Stretch.quarter(starts_at)
        met = frozenset(when for when, slot in slots.items() if slot.meets(quarter))
        if bay is not None:
            taken.bays[bay] |= met
        elif instructor is not None:
            taken.instructors[instructor] |= met
    return taken


def _window(slots: Slots) -> Stretch:
    """From the first slot to the end of the last."""
    return Stretch(
        min(slot.starts_at for slot in slots.values()), max(s.ends_at for s in slots.values())
    )
