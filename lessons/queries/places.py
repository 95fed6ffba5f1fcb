"""Where a session could go, cell by cell of the grid, with the words that speak against."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime

from lessons.models import Bay, Instructor, Session
from lessons.queries.edits import Moving, Spot
from lessons.queries.grid import By, Column
from lessons.queries.slots import all_slots

When = tuple[int, int]
GIVES_IT = "This instructor gives the talk already, with another."


@dataclass(frozen=True)
class Place:
    """A cell of the grid. It fits if there is nothing to say against it; then `bay` and
    `instructor` are those the session would get, as near as possible to those it has."""

    day: int
    slot: int
    column: int
    bay: int | None = None
    instructor: int | None = None
    words: tuple[str, ...] = field(default=())

    @property
    def fits(self) -> bool:
        return not self.words


@dataclass(frozen=True)
class Names:
    """Of all bays and instructors, by key."""

    bays: Mapping[int, str]
    instructors: Mapping[int, str]

    def of(self, place: Place) -> str:
        """“Studio 1 with Ines Marlow”; nothing of a place that does not fit."""
        if place.bay is None or place.instructor is None:
            return ""
        return f"{self.bays[place.bay]} with {self.instructors[place.instructor]}"


def names() -> Names:
    """Two queries."""
    people = Instructor.objects.select_related("staff__account")
    return Names(
        bays=dict(Bay.objects.values_list("pk", "name")),
        instructors={person.pk: str(person) for person in people},
    )


@dataclass(frozen=True)
class Choice:
    """A time of a day: the place that is nearest to what the session has, and all that are free."""

    starts_at: datetime
    place: Place
    is_here: bool
    free: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class ChoiceDay:
    date: date
    choices: tuple[Choice, ...]

    @property
    def fitting(self) -> int:
        return sum(choice.place.fits for choice in self.choices)

    @property
    def is_here(self) -> bool:
        return any(choice.is_here for choice in self.choices)


def choices_for(session: Session, spots: Iterable[Spot], named: Names) -> list[ChoiceDay]:
    """Day by day, every time with the bays and instructors that are free for the session."""
    school = session.plan.school
    slots = all_slots(school)
    days: dict[int, list[Choice]] = defaultdict(list)
    for when, there in _by_time(spots).items():
        choice = Choice(
            starts_at=slots[when].starts_at,
            place=_best(session, when, session.squad_id, there),
            is_here=slots[when].starts_at == session.starts_at,
            free=tuple(
                (
                    named.bays[spot.bay_pk],
                    ", ".join(named.instructors[p] for p in spot.instructor_pks),
                )
                for spot in there
                if not spot.words
            ),
        )
        days[when[0]].append(choice)
    return [ChoiceDay(school.dates[day], tuple(choices)) for day, choices in sorted(days.items())]


def cells_for(session: Session, by: By, columns: Iterable[Column]) -> list[Place]:
    """Every cell that the session may be dropped on, fit or not; queries as `places_for`.

    By squad that is the columns of its own squads; all other cells are not for it.
    """
    moving = Moving(session)
    cells = _Cells(session, by, columns, moving)
    by_time = _by_time(moving.spots())
    return [place for when, there in by_time.items() for place in cells.at(when, there)]


def _by_time(spots: Iterable[Spot]) -> dict[When, list[Spot]]:
    found: dict[When, list[Spot]] = defaultdict(list)
    for spot in spots:
        found[spot.day, spot.slot].append(spot)
    return dict(sorted(found.items()))


@dataclass(frozen=True)
class _Cells:
    session: Session
    by: By
    columns: Iterable[Column]
    moving: Moving

    def at(self, when: When, there: list[Spot]) -> Iterator[Place]:
        if self.by == "squad":
            for each in self.moving.group.sessions:
                yield _best(self.session, when, each.squad_id, there)
        elif self.by == "bay":
            for spot in there:
                yield _best(self.session, when, spot.bay_pk, [spot])
        else:
            for column in self.columns:
                yield self._with(when, column.pk, there)

    def _with(self, when: When, person: int, there: list[Spot]) -> Place:
        """The spot for one instructor, if possible in the bay that the session has."""
        own = self.session.bay_id
        free = [spot for spot in there if person in spot.instructor_pks]
        if free:
            spot = min(free, key=lambda spot: spot.bay_pk != own)
            return Place(*when, person, bay=spot.bay_pk, instructor=person)
        if str(person) in self.moving.others:
            return Place(*when, person, words=(GIVES_IT,))
        could = [spot for spot in there if not spot.words]
        if not could:
            return Place(*when, person, words=_against(self.session, there))
        bay = min(could, key=lambda spot: spot.bay_pk != own).bay_pk
        broken = self.moving.broken(*when, str(bay), str(person))
        words = tuple(dict.fromkeys(each.words for each in broken))
        return Place(*when, person, words=words)


def _best(session: Session, when: When, column: int, there: Sequence[Spot]) -> Place:
    """The spot nearest to what the session has: the same bay, else the same instructor."""
    free = [spot for spot in there if not spot.words]
    if not free:
        return Place(*when, column, words=_against(session, there))
    spot = min(
        free,
        key=lambda spot: (
            spot.bay_pk != session.bay_id,
            session.instructor_id not in spot.instructor_pks,
        ),
    )
    kept = session.instructor_id in spot.instructor_pks
    person = session.instructor_id if kept else spot.instructor_pks[0]
    return Place(*when, column, bay=spot.bay_pk, instructor=person)


def _against(session: Session, there: Sequence[Spot]) -> tuple[str, ...]:
    """What speaks against the session's own bay, else against the bay with least against it."""
    own = [spot for spot in there if spot.bay_pk == session.bay_id]
    return min(own or there, key=lambda spot: len(spot.words)).words
