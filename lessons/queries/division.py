"""A school's squads as the planner's division, with the rows it is about."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from lessons.models import Bay, Feature, Squad, SquadWish, Visit
from lessons.planner.company import division as planner
from lessons.queries.company import company_of
from school.models import Enrolment, Golfer, Handedness, School


@dataclass(frozen=True)
class LeftHandedBays:
    """How many open bays suit left-handers at the station where they are fewest, of how many.

    `station` is empty if the programme asks for no station at which it matters.
    """

    station: str = ""
    left: int = 0
    bays: int = 0

    def squads_served(self, squads: int) -> int:
        """How many squads with a left-hander have as much room as the squads have on average.

        As many as there are such bays never wait for each other, and of all visits the share of
        the bays that suit left-handers fits into these.
        """
        if not self.station:
            return squads
        return max(self.left, squads * self.left // self.bays) if self.bays else 0


@dataclass(frozen=True)
class Wish:
    pk: int
    kind: str
    pair: planner.Pair


@dataclass(frozen=True)
class Division:
    """Everybody seated and where they are; `squads` are keys of golfers by key of the squad.

    A golfer's key is the seat, with noughts, so that keys sort like seats.
    """

    school: School
    enrolments: dict[str, Enrolment]
    golfers: tuple[planner.Golfer, ...]
    rows: tuple[Squad, ...]
    squads: dict[int, tuple[str, ...]]
    rules: planner.Rules
    wishes: tuple[Wish, ...]
    perhaps: tuple[planner.Pair, ...]
    bays: LeftHandedBays

    def key_of(self, enrolment: Enrolment) -> str | None:
        """None for somebody without a seat, or of another school."""
        return next((key for key, each in self.enrolments.items() if each == enrolment), None)

    def squad_of(self, key: str) -> int | None:
        return next((pk for pk, squad in self.squads.items() if key in squad), None)

    def kept_with(self, key: str) -> frozenset[str]:
        """The golfer and all who are kept together with them."""
        return planner.groups_of(self.enrolments, self.rules.kept_together)[key]

    def worth(self) -> planner.Worth:
        return planner.worth_of(self.golfers, list(self.squads.values()), self.served())

    def served(self) -> planner.Rules:
        """The rules, with as many squads of left-handers as the bays serve of these squads."""
        return self.rules_for(sum(bool(squad) for squad in self.squads.values()))

    def rules_for(self, squads: int) -> planner.Rules:
        return replace(self.rules, left_squads=self.bays.squads_served(squads))

    def with_squads(self, squads: dict[int, tuple[str, ...]]) -> Division:
        return replace(self, squads=squads)

    def names(self, keys: Iterable[str]) -> list[str]:
        return [self.enrolments[key].golfer.full_name for key in keys]


def division_of(school: School) -> Division:
    """Who is where, and what is asked. Seven queries."""
    seated = list(
        school.enrolments.filter(state=Enrolment.State.SEATED)
        .select_related("golfer", "squad_member")
        .order_by("seat")
    )
    keys = {each.pk: f"{each.seat:05}" for each in seated}
    rows = tuple(school.squads.order_by("number"))
    wishes = _wishes(school, keys)
    company = company_of(school, seated)
    return Division(
        school=school,
        enrolments={keys[each.pk]: each for each in seated},
        golfers=tuple(_golfer(keys[each.pk], each.golfer, school) for each in seated),
        rows=rows,
        squads=_squads(rows, seated, keys),
        rules=planner.Rules(
            size=school.programme.squad_size,
            together=tuple(each.pair for each in wishes if each.kind == SquadWish.Kind.TOGETHER),
            apart=tuple(each.pair for each in wishes if each.kind == SquadWish.Kind.APART),
            cares=_pairs(company.cares, keys),
        ),
        wishes=wishes,
        perhaps=_pairs(company.perhaps, keys),
        bays=left_handed_bays(school),
    )


def left_handed_bays(school: School) -> LeftHandedBays:
    """At the station with the smallest share of bays for left-handers. Four queries."""
    visits = Visit.objects.filter(programme=school.programme_id, station__is_handed=True)
    stations = {
        visit.station_id: visit.station
        for visit in visits.select_related("station").prefetch_related("station__needs")
    }
    bays = [
        ({feature.pk for feature in bay.features.all()}, bay.capacity)
        for bay in Bay.objects.filter(is_open=True).prefetch_related("features")
    ]
    found = []
    for station in stations.values():
        needs = {feature.pk for feature in station.needs.all()}
        suited = [(has, capacity) for has, capacity in bays if needs <= has]
        left = sum(capacity for has, capacity in suited if Feature.LEFT_HANDED in has)
        found.append(LeftHandedBays(station.name, left, sum(size for _has, size in suited)))
    return min(
        found,
        key=lambda each: (each.left / each.bays if each.bays else 0, each.left, each.station),
        default=LeftHandedBays(),
    )


def _golfer(key: str, golfer: Golfer, school: School) -> planner.Golfer:
    index = golfer.handicap_index
    return planner.Golfer(
        key=key,
        left_handed=golfer.handedness == Handedness.LEFT,
        handicap_tenths=None if index is None else int(index * 10),
        minor=golfer.is_minor_on(school.starts_on),
        name=golfer.full_name,
    )


def _wishes(school: School, keys: dict[int, str]) -> tuple[Wish, ...]:
    """Those between two who have a seat."""
    wishes = SquadWish.objects.filter(one__school=school)
    return tuple(
        Wish(each.pk, each.kind, (keys[each.one_id], keys[each.other_id]))
        for each in wishes
        if each.one_id in keys and each.other_id in keys
    )


def _pairs(pairs: Iterable[tuple[int, int]], keys: dict[int, str]) -> tuple[planner.Pair, ...]:
    return tuple((keys[one], keys[other]) for one, other in pairs if one in keys and other in keys)


def _squads(
    rows: Sequence[Squad], seated: Sequence[Enrolment], keys: dict[int, str]
) -> dict[int, tuple[str, ...]]:
    members: dict[int, list[tuple[int, str]]] = {row.pk: [] for row in rows}
    for each in seated:
        member = getattr(each, "squad_member", None)
        if member is not None:
            members[member.squad_id].append((member.place, keys[each.pk]))
    return {pk: tuple(key for _place, key in sorted(found)) for pk, found in members.items()}
