"""The stills of a school that wait for their marks, and who of it may be filmed."""

from __future__ import annotations

from dataclasses import dataclass
from uuid import UUID

from django.db.models import Exists, OuterRef, QuerySet

from assessments.models import Entry, FilmingPlace, Still
from assessments.stations import kinds_on_stills
from school.models import Account, Consent, ConsentKind, Enrolment, School


@dataclass(frozen=True)
class Queue:
    """Where the marking of a school stands.

    `next` is the oldest still without marks behind the one that was passed over, or None.
    `left` counts all that wait, passed over or not; `withheld` those without marks that may not
    get any, because their golfer has not agreed to filming, or no more.
    """

    next: UUID | None
    left: int
    marked: int
    withheld: int


@dataclass(frozen=True)
class Seated:
    """Who of a school may be filmed, and the names of those who may not."""

    filmed: list[Enrolment]
    not_filmed: list[str]


def queue_of(
    school: School, *, after: UUID | None = None, place: int | None = None, phase: str = ""
) -> Queue:
    """The stills of those seated, oldest first; a filming place and a phase narrow it. 1 query."""
    stills = Still.objects.filter(
        enrolment__school=school, enrolment__state=Enrolment.State.SEATED
    ).order_by("uploaded_at", "pk")
    if place is not None:
        stills = stills.filter(filming_place=place)
    if phase:
        stills = stills.filter(phase=phase)
    marks = Entry.objects.filter(
        still=OuterRef("pk"), kind__in=kinds_on_stills(), superseded_by__isnull=True
    )
    rows = list(
        stills.annotate(
            is_marked=Exists(marks), is_agreed=Exists(_filming(OuterRef("enrolment")))
        ).values_list("pk", "is_marked", "is_agreed")
    )
    keys = [pk for pk, *_ in rows]
    start = keys.index(after) + 1 if after in keys else 0
    return Queue(
        next=next((pk for pk, marked, agreed in rows[start:] if agreed and not marked), None),
        left=sum(agreed and not marked for _, marked, agreed in rows),
        marked=sum(marked for _, marked, _ in rows),
        withheld=sum(not (marked or agreed) for _, marked, agreed in rows),
    )


def seated_of(school: School) -> Seated:
    """Those seated, by name, told apart by whether they may be filmed. 1 query."""
    seated = list(
        school.enrolments.filter(state=Enrolment.State.SEATED)
        .annotate(is_agreed=Exists(_filming(OuterRef("pk"))))
        .select_related("golfer")
        .order_by("golfer__full_name", "pk")
    )
    return Seated(
        filmed=[each for each in seated if each.is_agreed],
        not_filmed=[str(each.golfer) for each in seated if not each.is_agreed],
    )


def last_place_of(account: Account) -> FilmingPlace | None:
    """Where the account's newest still was filmed, while that place is in use. 1 query."""
    newest = (
        Still.objects.filter(uploaded_by=account)
        .order_by("-uploaded_at", "-pk")
        .select_related("filming_place")
        .first()
    )
    place = newest.filming_place if newest else None
    return place if place is not None and place.is_in_use else None


def _filming(enrolment: OuterRef) -> QuerySet[Consent]:
    return Consent.objects.standing().filter(text__kind=ConsentKind.FILMING, enrolment=enrolment)
