"""Squads and who is in them."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from lessons.models import Squad
from school.models import Enrolment, Golfer, School


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


def without_squad(school: School) -> list[Enrolment]:
    """Attendees that have a seat and no squad. One query."""
    return list(
        school.enrolments.filter(
            state=Enrolment.State.SEATED, squad_member__isnull=True
        ).select_related("golfer")
    )


def _golfers(squad: Squad) -> list[Golfer]:
    return [member.enrolment.golfer for member in squad.members.all()]
