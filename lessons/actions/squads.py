"""Who moves together."""

from __future__ import annotations

from dataclasses import dataclass, field

from django.db import transaction
from django.db.models import QuerySet

from lessons.models import Squad, SquadMember
from lessons.planner import squads as planner
from lessons.queries.squads import without_squad
from school.actions.audit import note
from school.models import Account, Enrolment, Golfer, Handedness, School

PLACES = range(1, 5)


def make_squads(*, school: School, actor: Account | None, remake: bool = True) -> None:
    """Divide the seated attendees into squads of the programme's size.

    Without `remake` everybody stays where they are and only those without a squad are given a
    place: with a left-hander if they are one, else where most places are free.

    The division may take seconds and is made before the transaction; who gave up a seat
    meanwhile is left out, and who got one is given a place like any newcomer.

    A squad left over is removed unless it was in a published timetable: what was recorded in its
    sessions refers to it.
    """
    groups = _groups(school) if remake else []
    with transaction.atomic(durable=True):
        School.objects.select_for_update().get(pk=school.pk)
        if remake:
            _divide(school, groups)
        _fill(school)
        squads = school.squads.filter(members__isnull=False).distinct().count()
        note(actor=actor, verb="make_squads", subject=school, squads=squads, remake=remake)


def leave_squad(*, enrolment: Enrolment) -> None:
    """Free the place of somebody who gave up their seat; call inside their transaction."""
    with transaction.atomic(savepoint=False):
        SquadMember.objects.filter(enrolment=enrolment).delete()


def _groups(school: School) -> list[list[int]]:
    """Enrolments by key, a list for each squad; the first holds the lowest seat."""
    by_seat = {f"{each.seat:03}": each for each in _seated(school).select_related("golfer")}
    golfers = [_golfer(key, each.golfer, school) for key, each in by_seat.items()]
    squads = planner.make_squads(golfers, school.programme.squad_size)
    return [[by_seat[key].pk for key in squad] for squad in squads]


def _golfer(key: str, golfer: Golfer, school: School) -> planner.Golfer:
    index = golfer.handicap_index
    return planner.Golfer(
        key=key,
        left_handed=golfer.handedness == Handedness.LEFT,
        handicap_tenths=None if index is None else int(index * 10),
        minor=golfer.is_minor_on(school.starts_on),
    )


def _seated(school: School) -> QuerySet[Enrolment]:
    return school.enrolments.filter(state=Enrolment.State.SEATED)


def _divide(school: School, groups: list[list[int]]) -> None:
    SquadMember.objects.filter(squad__school=school).delete()
    seated = set(_seated(school).values_list("pk", flat=True))
    kept = {squad.number: squad for squad in school.squads.all()}
    for number, members in enumerate(groups, 1):
        squad = kept.pop(number, None) or Squad.objects.create(school=school, number=number)
        SquadMember.objects.bulk_create(
            SquadMember(squad=squad, enrolment_id=pk, place=place)
            for place, pk in enumerate(members, 1)
            if pk in seated
        )
    school.squads.filter(number__in=kept).exclude(
        sessions__plan__published_at__isnull=False
    ).delete()


def _fill(school: School) -> None:
    rooms = [
        _Room.of(squad) for squad in school.squads.prefetch_related("members__enrolment__golfer")
    ]
    for enrolment in without_squad(school):
        is_left = enrolment.golfer.handedness == Handedness.LEFT
        free = [room for room in rooms if len(room.taken) < school.programme.squad_size]
        if not free:
            number = max((room.squad.number for room in rooms), default=0) + 1
            free = [_Room(Squad.objects.create(school=school, number=number))]
            rooms += free
        room = min(free, key=lambda each: each.rank(is_left))
        place = min(set(PLACES) - room.taken)
        SquadMember.objects.create(squad=room.squad, enrolment=enrolment, place=place)
        room.taken.add(place)
        room.has_left_hander |= is_left


@dataclass
class _Room:
    """What is free in a squad while attendees are being placed."""

    squad: Squad
    taken: set[int] = field(default_factory=set)
    has_left_hander: bool = False

    @classmethod
    def of(cls, squad: Squad) -> _Room:
        members = list(squad.members.all())
        left = any(each.enrolment.golfer.handedness == Handedness.LEFT for each in members)
        return cls(squad, {each.place for each in members}, left)

    def rank(self, is_left: bool) -> tuple[bool, bool, int]:
        """Smaller is better: company for a left-hander, company at all, room."""
        return is_left and not self.has_left_hander, not self.taken, len(self.taken)
