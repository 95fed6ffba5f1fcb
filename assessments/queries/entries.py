"""What was recorded, and what a station's pages need to know of it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.db.models import Count, F, Prefetch, Q, QuerySet

from assessments.clubs import club_of
from assessments.models import Entry, Measure
from assessments.queries.filming import in_force
from assessments.stations import registry
from assessments.stations.base import MeasureValue
from assessments.stations.readings import Reading, readings
from assessments.units import units_of
from lessons.models import Phase, Session
from school.models import Enrolment


def current_entries(enrolments: Iterable[Enrolment]) -> QuerySet[Entry]:
    """What stands of these attendees: corrections in place of what they supersede.

    2 queries, and 1 for the studies of filming places if stills were filmed at any.
    """
    studies = Prefetch("still__filming_place__studies", in_force(), to_attr="in_force")
    return (
        Entry.objects.filter(enrolment__in=enrolments, superseded_by__isnull=True)
        .select_related("enrolment__golfer", "still__filming_place", "recorded_by")
        .prefetch_related("measures", studies)
        .order_by("recorded_at", "pk")
    )


def measures_by_name(entry: Entry) -> dict[str, MeasureValue]:
    """The entry's measures as values. 1 query, none if they were prefetched."""
    return {row.name: value_of(row) for row in entry.measures.all()}


def value_of(row: Measure) -> MeasureValue:
    """A measure as it is kept, as the value that a station gave."""
    return MeasureValue(
        row.name, row.value, row.unit, row.standard_uncertainty, row.low, row.high, row.source
    )


@dataclass(frozen=True)
class Standing:
    """An entry that stands, as it is written."""

    entry: Entry
    readings: list[Reading]
    details: dict[str, Any] | None


def standing(entry: Entry) -> Standing:
    """In the golfer's units. No query if the measures and the golfer were fetched with it."""
    station = registry()[entry.kind]
    units = units_of(entry.enrolment.golfer)
    rows = readings(station.measures, measures_by_name(entry), entry.payload.get("step_mm"), units)
    return Standing(entry, rows, station.details(entry.payload) if station.details else None)


def standing_entries(enrolment: Enrolment, kind: str, phase: str) -> list[Standing]:
    """What stands of one attendee at one station and phase, oldest first. 2 queries."""
    entries = current_entries([enrolment]).filter(kind=kind, phase=phase)
    return [standing(entry) for entry in entries]


def counterpart(entry: Entry) -> Entry | None:
    """The newest that stands at intake for an entry at exit, or the other way round, with the
    same club. 2 queries."""
    other = {Phase.INTAKE: Phase.EXIT, Phase.EXIT: Phase.INTAKE}.get(Phase(entry.phase))
    if other is None:
        return None
    same = current_entries([entry.enrolment]).filter(kind=entry.kind, phase=other)
    club = club_of(entry.payload)
    return next((one for one in reversed(same) if club_of(one.payload) == club), None)


OF_ITS_STATION = Q(kind=F("session__visit__station__entry_kind"))


def recorded_counts(sessions: Iterable[Session]) -> dict[int, int]:
    """How many attendees have something recorded, by the key of the session. 1 query.

    What its station records, that is; notes may be taken of anybody anywhere.
    """
    counted = (
        Entry.objects.filter(OF_ITS_STATION, session__in=sessions, superseded_by__isnull=True)
        .values_list("session")
        .annotate(attendees=Count("enrolment", distinct=True))
        .order_by()
    )
    return {session: attendees for session, attendees in counted if session is not None}


def recorded_by_attendee(session: Session) -> dict[int, int]:
    """How many entries stand of each attendee who has one, by enrolment. 1 query."""
    return dict(
        Entry.objects.filter(OF_ITS_STATION, session=session, superseded_by__isnull=True)
        .values_list("enrolment")
        .annotate(entries=Count("pk"))
        .order_by()
    )


@dataclass(frozen=True)
class Progress:
    """Where a session stands: how many of its squad are recorded, and who comes after whom."""

    recorded: int
    of: int
    next: Enrolment | None


def session_progress(session: Session, enrolment: Enrolment) -> Progress:
    """Seen from `enrolment`, after whom the next of the squad follows in turn. 2 queries."""
    squad = list(
        Enrolment.objects.filter(squad_member__squad=session.squad_id)
        .select_related("golfer")
        .order_by("squad_member__place")
    )
    following = None
    if enrolment in squad and len(squad) > 1:
        following = squad[(squad.index(enrolment) + 1) % len(squad)]
    return Progress(recorded_counts([session]).get(session.pk, 0), len(squad), following)


def session_of(enrolment: Enrolment, kind: str, phase: str) -> Session | None:
    """The published session in which the attendee's squad is at that station. 1 query."""
    return (
        Session.objects.filter(
            plan__is_published=True,
            squad__members__enrolment=enrolment,
            visit__station__entry_kind=kind,
            visit__phase=phase,
        )
        .select_related("plan")
        .order_by("starts_at")
        .first()
    )
