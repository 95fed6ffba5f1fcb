"""What a school can be taught with: bays and instructors, and when others have them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from django.db.models import Prefetch, Q, QuerySet

from lessons import models as rows
from lessons.planner import problem as planner
from lessons.queries.holds import meeting, not_of
from lessons.queries.slots import Stretch, joined
from school.models import School

Slots = Mapping[tuple[int, int], Stretch]
Taken = frozenset[tuple[int, int]]


@dataclass(frozen=True)
class Absent:
    """Slots in which something cannot be counted on, by primary key."""

    bays: defaultdict[int, Taken]
    instructors: defaultdict[int, Taken]
    squads: defaultdict[int, Taken]
    rain: Taken = frozenset()


def bays_for(used: Collection[int]) -> QuerySet[rows.Bay]:
    """Bays that are open, and those that are used although they no longer are."""
    wanted = rows.Bay.objects.filter(Q(is_open=True) | Q(pk__in=used))
    return wanted.select_related("place").prefetch_related("features")


def as_bay(bay: rows.Bay, closed: Taken, slots: Slots) -> planner.Bay:
    return planner.Bay(
        key=str(bay.pk),
        name=bay.name,
        place=str(bay.place),
        features=names_of(bay.features.all()),
        closed=closed if bay.is_open else frozenset(slots),
        squads=bay.capacity,
    )


# The features that the planner itself knows; all others go by their names.
KNOWN = {
    rows.Feature.LEFT_HANDED: planner.LEFT_HANDED,
    rows.Feature.COVERED: planner.COVERED,
    rows.Feature.LIT: planner.LIT,
}


def names_of(features: Iterable[rows.Feature]) -> frozenset[str]:
    return frozenset(KNOWN.get(each.pk, each.name) for each in features)


def walks() -> dict[tuple[str, str], int]:
    found = rows.Walk.objects.select_related("a", "b")
    return {(str(walk.a), str(walk.b)): walk.minutes for walk in found}


def base() -> str | None:
    place = rows.Place.objects.filter(is_base=True).first()
    return None if place is None else str(place)


def instructors_for(slots: Slots, used: Collection[int]) -> QuerySet[rows.Instructor]:
    """Who teaches, and who is in a session although they no longer do."""
    window = window_of(slots)
    hours = rows.Hours.objects.filter(starts_at__lt=window.ends_at, ends_at__gt=window.starts_at)
    teaches = Q(staff__teaches=True, staff__account__is_active=True)
    return (
        rows.Instructor.objects.filter(teaches | Q(pk__in=used))
        .select_related("staff__account")
        .prefetch_related("stations", Prefetch("hours", queryset=hours))
    )


def as_instructor(person: rows.Instructor, slots: Slots, taken: Taken) -> planner.Instructor:
    teaches = person.staff.teaches and person.staff.account.is_active
    hours = joined(map(Stretch.of, person.hours.all())) if teaches else []
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
        load_factor=person.load_factor,
    )


def taken_by_others(school: School, slots: Slots) -> Absent:
    """Slots in which another school or a private lesson holds a bay, or any part of it, or an
    instructor. One query."""
    holds = not_of(school).filter(meeting(window_of(slots)))
    taken = Absent(defaultdict(frozenset), defaultdict(frozenset), defaultdict(frozenset))
    for bay, instructor, starts_at in holds.values_list("bay", "instructor", "quarter_hour"):
        met = met_by(Stretch.quarter(starts_at), slots)
        if bay is not None:
            taken.bays[bay] |= met
        elif instructor is not None:
            taken.instructors[instructor] |= met
    return taken


def upset(slots: Slots) -> Absent:
    """What the troubles that are noted take away. One query."""
    window = window_of(slots)
    noted = rows.Trouble.objects.filter(
        starts_at__lt=window.ends_at, ends_at__gt=window.starts_at
    ).values_list(
        "starts_at", "ends_at", "bay", "instructor", "enrolment__squad_member__squad", "kind"
    )
    bays, people, squads = (defaultdict[int, Taken](frozenset) for _ in range(3))
    rain: Taken = frozenset()
    for starts_at, ends_at, bay, instructor, squad, kind in noted:
        met = met_by(Stretch(starts_at, ends_at), slots)
        if kind == rows.Trouble.Kind.RAIN:
            rain |= met
        for found, pk in ((bays, bay), (people, instructor), (squads, squad)):
            if pk is not None:
                found[pk] |= met
    return Absent(bays, people, squads, rain)


def met_by(stretch: Stretch, slots: Slots) -> Taken:
    return frozenset(when for when, slot in slots.items() if slot.meets(stretch))


def window_of(slots: Slots) -> Stretch:
    """From the first slot to the end of the last."""
    return Stretch(
        min(slot.starts_at for slot in slots.values()), max(s.ends_at for s in slots.values())
    )
