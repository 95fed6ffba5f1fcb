"""Squads, who is in them, and the page on which the desk makes and changes them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any

from lessons.models import Squad, SquadWish
from lessons.planner.company.division import means
from lessons.planner.words import listed
from lessons.queries.division import Division, division_of
from lessons.queries.squad_moves import strokes
from school.audit_words import sentence
from school.models import AuditEntry, Enrolment, Golfer, Handedness, School
from school.wording import count_of

CHANGES = ("make_squads", "move_attendee", "swap_attendees")


@dataclass(frozen=True)
class SquadCard:
    pk: int
    name: str
    members: tuple[Golfer, ...]

    @property
    def mean_handicap(self) -> Decimal | None:
        """Over those who have one."""
        known = [g.handicap_index for g in self.members if g.handicap_index is not None]
        return sum(known, Decimal(0)) / len(known) if known else None


def squads_of(school: School) -> list[SquadCard]:
    """Squads with anybody in them. Two queries."""
    squads = school.squads.filter(members__isnull=False).distinct()
    return [
        SquadCard(squad.pk, str(squad), tuple(_golfers(squad)))
        for squad in squads.prefetch_related("members__enrolment__golfer")
    ]


def has_squads(school: School) -> bool:
    """Whether anybody is in a squad. One query."""
    return school.squads.filter(members__isnull=False).exists()


def without_squad(school: School) -> list[Enrolment]:
    """Attendees that have a seat and no squad. One query."""
    return list(
        school.enrolments.filter(
            state=Enrolment.State.SEATED, squad_member__isnull=True
        ).select_related("golfer")
    )


def _golfers(squad: Squad) -> list[Golfer]:
    return [member.enrolment.golfer for member in squad.members.all()]


@dataclass(frozen=True)
class Member:
    """An attendee as a card shows them; `kept_with` are names."""

    enrolment: int
    golfer: Golfer
    is_left: bool
    is_minor: bool
    kept_with: tuple[str, ...]


@dataclass(frozen=True)
class SquadSheet:
    """A squad as the page shows it, perhaps empty; the mean counts who has no handicap as the
    median of the cohort."""

    pk: int
    name: str
    members: tuple[Member, ...]
    mean: Decimal | None
    free: int


@dataclass(frozen=True)
class Figure:
    """One respect in which divisions are compared; `was` is empty before the first change."""

    name: str
    was: str
    now: str


@dataclass(frozen=True)
class LastChange:
    words: str
    who: str
    at: datetime


@dataclass(frozen=True)
class WishRow:
    pk: int
    words: str
    is_kept: bool


@dataclass(frozen=True)
class SquadsPage:
    sheets: tuple[SquadSheet, ...]
    without: tuple[Member, ...]
    figures: tuple[Figure, ...]
    last: LastChange | None
    troubles: tuple[str, ...]
    wishes: tuple[WishRow, ...]
    cares: tuple[str, ...]
    perhaps: tuple[str, ...]
    asked: tuple[tuple[str, str], ...]
    bays: str
    is_published: bool


def squads_page(school: School) -> SquadsPage:
    """Everything on the page of squads. Nine queries, however large the school."""
    division = division_of(school)
    last = _last_change(school)
    was = last.detail.get("before") if last else None
    placed = {key for squad in division.squads.values() for key in squad}
    return SquadsPage(
        sheets=_sheets(division),
        without=tuple(_member(division, key) for key in division.enrolments if key not in placed),
        figures=_compared(was or {}, figures(division)),
        last=_in_words(last, school) if last else None,
        troubles=_troubles(division),
        wishes=_wishes(division),
        cares=tuple(
            f"{carer} looks after {minor}."
            for minor, carer in map(division.names, division.rules.cares)
        ),
        perhaps=_perhaps(division),
        asked=tuple(
            (each.golfer.full_name, each.keep_together)
            for each in division.enrolments.values()
            if each.keep_together
        ),
        bays=_bays_in_words(division),
        is_published=school.plans.filter(is_published=True).exists(),
    )


def figures(division: Division) -> dict[str, str]:
    """What a division is worth, as it is kept in the trail: words and numbers by name."""
    filled = [squad for squad in division.squads.values() if squad]
    if not filled:
        return {}
    worth = division.worth()
    sizes = sorted(map(len, filled), reverse=True)
    return {
        "spread": strokes(division),
        "sizes": listed(map(str, sizes)),
        "left": str(worth.left_squads),
        "minors": str(len(worth.lone_minors)),
        "wishes": str(len(worth.split) + len(worth.mixed)),
    }


FIGURE_NAMES = {
    "spread": "Spread: strokes between the highest and the lowest mean handicap",
    "sizes": "Golfers in each squad",
    "left": "Squads with a left-hander",
    "minors": "Under 18 and alone among adults",
    "wishes": "Wishes not kept",
}


def _compared(was: dict[str, str], now: dict[str, str]) -> tuple[Figure, ...]:
    return tuple(
        Figure(name, was.get(key, ""), now[key]) for key, name in FIGURE_NAMES.items() if key in now
    )


def _last_change(school: School) -> AuditEntry | None:
    """One query."""
    label = f"{school._meta.label_lower} {school.pk}"
    entries = AuditEntry.objects.filter(subject=label, verb__in=CHANGES)
    return entries.select_related("actor").first()


def _in_words(entry: AuditEntry, school: School) -> LastChange:
    detail: dict[str, Any] = entry.detail
    words = sentence(entry.verb, str(school), detail)
    return LastChange(words, str(entry.actor or "Marram"), entry.at)


def _sheets(division: Division) -> tuple[SquadSheet, ...]:
    filled = {pk: squad for pk, squad in division.squads.items() if squad}
    mean = dict(zip(filled, means(division.golfers, list(filled.values())), strict=True))
    return tuple(
        SquadSheet(
            pk=row.pk,
            name=str(row),
            members=tuple(_member(division, key) for key in division.squads[row.pk]),
            mean=Decimal(round(mean[row.pk])) / 10 if row.pk in mean else None,
            free=division.rules.size - len(division.squads[row.pk]),
        )
        for row in division.rows
    )


def _member(division: Division, key: str) -> Member:
    enrolment = division.enrolments[key]
    return Member(
        enrolment=enrolment.pk,
        golfer=enrolment.golfer,
        is_left=enrolment.golfer.handedness == Handedness.LEFT,
        is_minor=enrolment.golfer.is_minor_on(division.school.starts_on),
        kept_with=tuple(division.names(sorted(division.kept_with(key) - {key}))),
    )


def _troubles(division: Division) -> tuple[str, ...]:
    """What is not as it should be with the squads as they are."""
    worth, served, bays = division.worth(), division.served().left_squads, division.bays
    large = [
        f"{row} has {len(division.squads[row.pk])} golfers; {division.rules.size} are the most."
        for row in division.rows
        if len(division.squads[row.pk]) > division.rules.size
    ]
    scarce = (
        f"Left-handers are in {worth.left_squads} squads, and the bays that suit them at"
        f" {bays.station} serve {served}."
    )
    return (
        *large,
        *(f"{listed(division.names(pair))} are not together." for pair in worth.split),
        *(f"{listed(division.names(pair))} are not apart." for pair in worth.mixed),
        *(
            f"{name} is under 18 and alone among adults."
            for name in division.names(worth.lone_minors)
        ),
        *([scarce] if worth.left_squads > served else []),
    )


def _wishes(division: Division) -> tuple[WishRow, ...]:
    worth = division.worth()
    broken = {*worth.split, *worth.mixed}
    return tuple(
        WishRow(
            each.pk,
            f"{listed(division.names(each.pair))} {SquadWish.Kind(each.kind).label}",
            each.pair not in broken,
        )
        for each in division.wishes
    )


def _perhaps(division: Division) -> tuple[str, ...]:
    """Minors whose guardian is perhaps in the cohort, unless a wish speaks of the two already."""
    settled = {frozenset(each.pair) for each in division.wishes}
    return tuple(
        f"{minor} is under 18, and {adult} may be who looks after them. If so, keep them together."
        for minor, adult in (
            division.names(pair) for pair in division.perhaps if frozenset(pair) not in settled
        )
    )


def _bays_in_words(division: Division) -> str:
    bays = division.bays
    if not bays.station:
        return ""
    served = division.served().left_squads
    return (
        f"At {bays.station}, {bays.left} of {count_of(bays.bays, 'open bay')}"
        f" {'suits' if bays.left == 1 else 'suit'} left-handers: room for"
        f" {count_of(served, 'squad')} with a left-hander."
    )
