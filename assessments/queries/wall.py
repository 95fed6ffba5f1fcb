"""The impact wall of a school: its stills side by side, in the order of one measure.

On it are stills that stand measured, of attendees who agreed to be shown in class and still do.
Clubs are never pooled; specialty shots stand apart and are never ranked. A doubtful still is shown
apart, with why, and has no rank. The reference set is what other schools were allowed to keep.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from uuid import UUID

from django.db.models import Count, Exists, OuterRef, QuerySet

from assessments.models import ClubClass, Entry, ShotKind, Still
from assessments.queries.entries import measures_by_name
from assessments.queries.findings import Group, reasons_kept_out
from assessments.stations.base import MeasureKind, MeasureValue
from assessments.stations.impact import MEASURES, STATION
from assessments.stations.readings import Reading, reading
from assessments.wall.ranking import (
    Rank,
    Standing,
    Value,
    ranks,
    reversed_rank,
    standing_among,
    tied,
)
from lessons.models import Phase
from school.models import Consent, ConsentKind, Enrolment, School

PRIMARY = next(kind for kind in MEASURES if kind.primary)


class Beside(StrEnum):
    """What the stills of one phase are put beside."""

    NOTHING = ""
    PAIRS = "pairs"
    REFERENCE = "reference"


@dataclass(frozen=True)
class Tile:
    """One still of the wall. `standing` says how it lies among the reference set.

    `of` counts the golfer's stills that this one was chosen from, for a pair.
    """

    still: UUID
    entry: UUID
    phase: str
    is_left_handed: bool
    golfer: str
    may_be_named: bool
    is_kept: bool
    may_be_kept: bool
    reading: Reading | None
    value: Value | None
    doubts: tuple[str, ...]
    rank: Rank | None = None
    is_tied_with_next: bool = False
    standing: Standing | None = None
    other: Tile | None = None
    of: int = 1

    @property
    def sides(self) -> tuple[Tile | None, Tile | None]:
        """The tile and the one beside it, intake before exit."""
        return (self.other, self) if self.phase == Phase.EXIT else (self, self.other)

    @property
    def name(self) -> str:
        """The name for others to see: nothing unless its owner agreed."""
        return self.golfer if self.may_be_named else ""


@dataclass(frozen=True)
class Unmarked:
    """A still that hangs as soon as it is marked."""

    still: UUID
    golfer: str
    phase: str


@dataclass(frozen=True)
class LeftOut:
    """What is not shown: the stills of golfers who have not agreed, and those not marked yet."""

    stills_without_consent: int
    golfers_without_consent: int
    unmarked: tuple[Unmarked, ...]


@dataclass(frozen=True)
class Wall:
    """`tiles` are in order and ranked; `apart` say why they are not; `reference` are in order."""

    measure: MeasureKind
    club: Group
    phase: Phase
    beside: Beside
    is_descending: bool
    tiles: tuple[Tile, ...]
    apart: tuple[Tile, ...]
    reference: tuple[Tile, ...]
    left_out: LeftOut

    @property
    def has_ties(self) -> bool:
        return any(tile.rank is not None and tile.rank.is_tied for tile in self.tiles)

    @property
    def is_paired(self) -> bool:
        return self.beside == Beside.PAIRS


def wall(
    school: School,
    *,
    measure: MeasureKind,
    club: Group,
    phase: Phase,
    beside: Beside = Beside.NOTHING,
    is_descending: bool = False,
) -> Wall:
    """The wall of one school. 4 queries, 6 with the reference set."""
    pairs = beside == Beside.PAIRS
    phases = [Phase.INTAKE, Phase.EXIT] if pairs else [phase]
    agreed = _agreed_in(school)
    entries = list(_entries(club).filter(enrolment__in=_seated(school), phase__in=phases))
    shown = [
        _tile(entry, measure, kinds)
        for entry in entries
        if ConsentKind.SHOWN_IN_CLASS in (kinds := agreed[entry.enrolment_id])
    ]
    reference = _reference(school, club, measure) if beside == Beside.REFERENCE else []
    hung = _paired(entries, shown, phase) if pairs else shown
    in_order, apart = _ranked(hung, is_descending, is_ranked=not club.is_specialty)
    return Wall(
        measure,
        club,
        phase,
        beside,
        is_descending,
        tuple(tile if club.is_specialty else _among(tile, reference) for tile in in_order),
        tuple(apart),
        tuple(_sorted(reference, is_descending)),
        _left_out(school, club, phases, entries, agreed),
    )


def clubs_filmed(school: School) -> list[Group]:
    """The clubs of which there are stills, specialty shots apart, most first. 1 query."""
    counted = (
        Still.objects.filter(enrolment__in=_seated(school))
        .values_list("club_class", "shot_kind")
        .annotate(stills=Count("pk"))
        .order_by("shot_kind", "-stills", "club_class")
    )
    return [_group(club, shot) for club, shot, _ in counted]


def all_clubs() -> list[Group]:
    """Every class of club, full swings first."""
    return [_group(club, shot) for shot in ShotKind.values for club in ClubClass.values]


def entries_of(tiles: Iterable[Tile]) -> dict[UUID, Entry]:
    """What stands behind tiles and those beside them, with the stills, by id. 1 query."""
    hung = [one for tile in tiles for one in (tile, tile.other) if one is not None]
    found = Entry.objects.filter(pk__in=[one.entry for one in hung]).select_related("still")
    return {entry.pk: entry for entry in found}


def agrees_to(kind: ConsentKind) -> Exists:
    """Whether the owner of a row's enrolment has given this consent and not withdrawn it."""
    return Exists(
        Consent.objects.standing().filter(enrolment=OuterRef("enrolment"), text__kind=kind)
    )


def _agreed_in(school: School) -> defaultdict[int, set[str]]:
    """The kinds of consent that stand, by enrolment. 1 query."""
    found: defaultdict[int, set[str]] = defaultdict(set)
    standing = Consent.objects.standing().filter(enrolment__school=school)
    for enrolment, kind in standing.values_list("enrolment", "text__kind"):
        found[enrolment].add(kind)
    return found


def _group(club: str, shot: str) -> Group:
    return Group(STATION.kind, shot == ShotKind.SPECIALTY, club)


def _seated(school: School) -> QuerySet[Enrolment]:
    return Enrolment.objects.filter(school=school, state=Enrolment.State.SEATED)


def _shot(club: Group) -> str:
    return ShotKind.SPECIALTY if club.is_specialty else ShotKind.FULL


def _entries(club: Group) -> QuerySet[Entry]:
    """What stands measured with a club. 2 queries."""
    return (
        Entry.objects.filter(
            kind=STATION.kind,
            superseded_by__isnull=True,
            still__club_class=club.club_class,
            still__shot_kind=_shot(club),
        )
        .select_related("still__as_reference", "enrolment__golfer")
        .prefetch_related("measures")
        .order_by("recorded_at", "pk")
    )


def _tile(entry: Entry, measure: MeasureKind, agreed: set[str]) -> Tile:
    still = entry.still
    assert still is not None  # an entry of impact has one, by constraint
    found = measures_by_name(entry).get(measure.name)
    return Tile(
        still=still.pk,
        entry=entry.pk,
        phase=entry.phase,
        is_left_handed=still.handedness == "left",
        golfer=str(entry.enrolment.golfer),
        may_be_named=ConsentKind.NAMED_IN_CLASS in agreed,
        is_kept=hasattr(still, "as_reference"),
        may_be_kept=ConsentKind.REFERENCE in agreed,
        reading=reading(measure, found) if found else None,
        value=_value(found),
        doubts=tuple(reasons_kept_out(entry)) or _not_measured(measure, found),
    )


def _value(found: MeasureValue | None) -> Value | None:
    if found is None or found.standard_uncertainty is None:
        return None
    return Value(found.value, found.standard_uncertainty)


def _not_measured(measure: MeasureKind, found: MeasureValue | None) -> tuple[str, ...]:
    if found is None:
        return (f"Its {measure.title} was not measured: a point that it needs is not marked.",)
    if found.standard_uncertainty is None:
        return ("How sure its value is is not known.",)
    return ()


def _ranked(
    tiles: Sequence[Tile], is_descending: bool, *, is_ranked: bool
) -> tuple[list[Tile], list[Tile]]:
    """The sure ones in order with their ranks, and the doubtful."""
    sure = _sorted((tile for tile in tiles if not tile.doubts), is_descending)
    apart = [tile for tile in tiles if tile.doubts]
    if not is_ranked:
        return sure, apart
    values = [tile.value for tile in sure if tile.value is not None]
    places = ranks(values)
    if is_descending:
        places = [reversed_rank(place, len(places)) for place in places]
    in_order = [
        replace(tile, rank=place, is_tied_with_next=_touches(values[number : number + 2]))
        for number, (tile, place) in enumerate(zip(sure, places, strict=True))
    ]
    return in_order, apart


def _touches(neighbours: Sequence[Value]) -> bool:
    return len(neighbours) > 1 and tied(*neighbours)


def _sorted(tiles: Iterable[Tile], is_descending: bool) -> list[Tile]:
    """By value; equal ones stand by their ids, so that the order never depends on who asks."""
    found = sorted(tiles, key=lambda tile: (tile.value.value if tile.value else 0.0, tile.still))
    return found[::-1] if is_descending else found


def _among(tile: Tile, reference: Sequence[Tile]) -> Tile:
    others = [other.value for other in reference if other.value is not None]
    if tile.value is None or not others:
        return tile
    return replace(tile, standing=standing_among(tile.value, others))


def _paired(entries: Sequence[Entry], shown: Sequence[Tile], phase: Phase) -> list[Tile]:
    """One tile a golfer of `phase`, with the golfer's other phase beside it.

    Of several stills of one phase the one nearest to their mean stands for the rest. Who was not
    measured at `phase` is there by the other one, and apart.
    """
    owners = {entry.pk: entry.enrolment_id for entry in entries}
    found: defaultdict[int, dict[str, list[Tile]]] = defaultdict(lambda: defaultdict(list))
    for tile in shown:
        found[owners[tile.entry]][tile.phase].append(tile)
    other = Phase.EXIT if phase == Phase.INTAKE else Phase.INTAKE
    return [_pair(phases[phase], phases[other], phase) for phases in found.values()]


def _pair(first: Sequence[Tile], second: Sequence[Tile], phase: Phase) -> Tile:
    if not first:
        alone = _standing_for(second)
        return replace(alone, doubts=(f"There is no {phase} still beside it.", *alone.doubts))
    return replace(_standing_for(first), other=_standing_for(second) if second else None)


def _standing_for(tiles: Sequence[Tile]) -> Tile:
    sure = [tile for tile in tiles if not tile.doubts]
    values = {tile.entry: tile.value.value for tile in sure if tile.value is not None}
    if not values:
        return tiles[-1]
    mean = math.fsum(values.values()) / len(values)
    return replace(min(sure, key=lambda tile: abs(values[tile.entry] - mean)), of=len(sure))


def _reference(school: School, club: Group, measure: MeasureKind) -> list[Tile]:
    """What other schools kept, nameless, as long as its owners agree. 2 queries."""
    kept = _entries(club).filter(
        agrees_to(ConsentKind.REFERENCE), still__as_reference__isnull=False
    )
    tiles = [_tile(entry, measure, set()) for entry in kept.exclude(enrolment__school=school)]
    return [replace(tile, golfer="") for tile in tiles if not tile.doubts]


def _left_out(
    school: School,
    club: Group,
    phases: Sequence[Phase],
    entries: Sequence[Entry],
    agreed: Mapping[int, set[str]],
) -> LeftOut:
    """What does not hang, and why. 1 query."""
    standing = Entry.objects.filter(
        still=OuterRef("pk"), kind=STATION.kind, superseded_by__isnull=True
    )
    unmarked = list(
        Still.objects.filter(
            ~Exists(standing),
            enrolment__in=_seated(school),
            club_class=club.club_class,
            shot_kind=_shot(club),
            phase__in=phases,
        ).select_related("enrolment__golfer")
    )
    owners = [*(e.enrolment_id for e in entries), *(s.enrolment_id for s in unmarked)]
    hidden = [one for one in owners if ConsentKind.SHOWN_IN_CLASS not in agreed[one]]
    return LeftOut(
        len(hidden),
        len(set(hidden)),
        tuple(
            Unmarked(still.pk, str(still.enrolment.golfer), still.phase)
            for still in unmarked
            if still.enrolment_id not in hidden
        ),
    )
