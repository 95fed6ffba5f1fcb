"""Who moves together: made by the planner, changed by hand, and what is wished about it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django.db import IntegrityError, transaction

from lessons.errors import SquadMoveRefused, SquadsRefused, WishRefused
from lessons.models import Squad, SquadMember, SquadWish
from lessons.planner.company.division import best_place, groups_of
from lessons.planner.words import listed
from lessons.queries.division import Division, division_of
from lessons.queries.squad_moves import NEW_SQUAD, Change, move_considered, swap_considered
from lessons.queries.squads import figures
from school.actions.audit import note
from school.errors import WrongState
from school.models import Account, Enrolment, School

PLACES = range(1, 5)


def make_squads(*, school: School, actor: Account | None, remake: bool = True) -> None:
    """Divide the seated attendees into squads of the programme's size.

    Without `remake` everybody stays where they are and only those without a squad are given a
    place, where it suits them best.

    The division may take seconds and is made before the transaction; who gave up a seat
    meanwhile is left out, and who got one is given a place like any newcomer.

    A squad left over is removed unless it was in a published timetable: what was recorded in its
    sessions refers to it.

    Raises
    ------
    WrongState
        If the school is closed.
    SquadsRefused
        If the wishes contradict each other or the size of a squad.
    """
    groups = _groups(school) if remake else []
    with transaction.atomic(durable=True):
        _lock(school)
        before = division_of(school)
        if remake:
            _divide(school, groups)
        _fill(division_of(school))
        after = division_of(school)
        note(
            actor=actor,
            verb="make_squads",
            subject=school,
            remake=remake,
            before=figures(before),
            after=figures(after),
        )


def move_attendee(*, enrolment: Enrolment, squad: Squad | None, actor: Account | None) -> Change:
    """Put an attendee into another squad or, for None, into a new one.

    Who is kept together with them in their squad goes with them.

    Raises
    ------
    WrongState
        If the school is closed.
    SquadMoveRefused
        If the attendee has no seat there, or the squad would be too large.
    """
    school = enrolment.school
    with transaction.atomic(durable=True):
        _lock(school)
        change = move_considered(school, enrolment, None if squad is None else squad.pk)
        _make(change)
        note(
            actor=actor,
            verb="move_attendee",
            subject=school,
            golfers=change.golfers,
            squad="a new squad" if squad is None else str(squad),
            before=figures(change.before),
            after=figures(change.after),
        )
    return change


def swap(*, one: Enrolment, other: Enrolment, actor: Account | None) -> Change:
    """Exchange the squads of two attendees.

    Raises
    ------
    WrongState
        If the school is closed.
    SquadMoveRefused
        If they are not in two squads of one school, or somebody would be split from whom they
        are kept together with.
    """
    school = one.school
    with transaction.atomic(durable=True):
        _lock(school)
        change = swap_considered(school, one, other)
        _make(change)
        note(
            actor=actor,
            verb="swap_attendees",
            subject=school,
            golfers=change.golfers,
            before=figures(change.before),
            after=figures(change.after),
        )
    return change


def wish(*, one: Enrolment, other: Enrolment, kind: str, actor: Account | None) -> SquadWish:
    """Keep two attendees together or apart from the next division on.

    Raises
    ------
    WrongState
        If the school is closed.
    WishRefused
        If they are not two attendees of one school, there is a wish about them already, or it
        contradicts the others or the size of a squad.
    """
    one, other = sorted((one, other), key=lambda each: each.pk)
    school = one.school
    try:
        with transaction.atomic(durable=True):
            _lock(school)
            _refuse_wish(division_of(school), one, other, kind)
            made = SquadWish.objects.create(one=one, other=other, kind=kind)
            _note_wish(made, "wish_squad", actor)
    except IntegrityError:
        if not SquadWish.objects.filter(one=one, other=other).exists():
            raise
        raise WishRefused(
            f"There is a wish about {one.golfer} and {other.golfer} already. Drop it first."
        ) from None
    return made


def drop_wish(*, wish: SquadWish, actor: Account | None) -> None:
    """Forget a wish; the squads stay as they are. Raises WrongState if the school is closed."""
    with transaction.atomic(durable=True):
        _lock(wish.one.school)
        _note_wish(wish, "drop_squad_wish", actor)
        wish.delete()


def leave_squad(*, enrolment: Enrolment) -> None:
    """Free the place of somebody who gave up their seat, and forget the wishes about them; call
    inside their transaction."""
    with transaction.atomic(savepoint=False):
        SquadMember.objects.filter(enrolment=enrolment).delete()
        for role in ("one", "other"):
            SquadWish.objects.filter(**{role: enrolment}).delete()


def _lock(school: School) -> None:
    if School.objects.select_for_update().get(pk=school.pk).state == School.State.CLOSED:
        raise WrongState("The school is closed; its squads stay as they were.")


def _groups(school: School) -> list[list[int]]:
    """Enrolments by key, a list for each squad; the first holds the lowest seat."""
    from lessons.planner.company import squads as planner  # only who searches holds the solver

    division = division_of(school)
    fewest = -(-len(division.golfers) // division.rules.size)
    try:
        squads = planner.make_squads(division.golfers, division.rules_for(fewest))
    except planner.NoSquads as none:
        raise SquadsRefused(f"{none} Change the wishes.") from None
    return [[division.enrolments[key].pk for key in squad] for squad in squads]


def _divide(school: School, groups: Sequence[Sequence[int]]) -> None:
    SquadMember.objects.filter(squad__school=school).delete()
    seated = set(
        school.enrolments.filter(state=Enrolment.State.SEATED).values_list("pk", flat=True)
    )
    kept = {squad.number: squad for squad in school.squads.all()}
    for number, members in enumerate(groups, 1):
        squad = kept.pop(number, None) or Squad.objects.create(school=school, number=number)
        SquadMember.objects.bulk_create(
            SquadMember(squad=squad, enrolment_id=pk, place=place)
            for place, pk in enumerate(members, 1)
            if pk in seated
        )
    _drop_empty(school)


def _drop_empty(school: School) -> None:
    school.squads.filter(members__isnull=True).exclude(
        sessions__plan__published_at__isnull=False
    ).delete()


def _fill(division: Division) -> None:
    """Give everybody without a squad a place, the lowest seat first."""
    for key in division.enrolments:
        if division.squad_of(key) is not None:
            continue
        squads = division.squads
        found = best_place(division.golfers, list(squads.values()), key, division.served())
        squad = list(squads)[found] if found is not None else _new_squad(division.school).pk
        _seat(division, {key: squad})
        division = division.with_squads({**squads, squad: (*squads.get(squad, ()), key)})


def _make(change: Change) -> None:
    if change.refusals:
        raise SquadMoveRefused(" ".join(change.refusals))
    school = change.before.school
    new = _new_squad(school).pk if NEW_SQUAD in change.moved.values() else None
    _seat(change.before, {key: to or new for key, to in change.moved.items()})
    _drop_empty(school)


def _new_squad(school: School) -> Squad:
    last = school.squads.order_by("number").last()
    return Squad.objects.create(school=school, number=last.number + 1 if last else 1)


def _seat(division: Division, squads: Mapping[str, Any]) -> None:
    """Put golfers into squads by key, each at the first place that is free."""
    moved = [division.enrolments[key] for key in squads]
    SquadMember.objects.filter(enrolment__in=moved).delete()
    for enrolment, squad in zip(moved, squads.values(), strict=True):
        taken = SquadMember.objects.filter(squad=squad).values_list("place", flat=True)
        place = min(set(PLACES) - set(taken))
        SquadMember.objects.create(squad_id=squad, enrolment=enrolment, place=place)


def _refuse_wish(division: Division, one: Enrolment, other: Enrolment, kind: str) -> None:
    keys = [key for each in (one, other) if (key := division.key_of(each)) is not None]
    if len(set(keys)) < 2:
        raise WishRefused("Choose two attendees who have a seat in this school.")
    rules = division.rules
    pairs = rules.kept_together
    if kind == SquadWish.Kind.TOGETHER:
        pairs += ((keys[0], keys[1]),)
    groups = groups_of(division.enrolments, pairs)
    group = sorted(groups[keys[0]])
    if len(group) > rules.size:
        raise WishRefused(
            f"{listed(division.names(group))} would be kept together, and a squad has"
            f" {rules.size} places."
        )
    apart = rules.apart if kind == SquadWish.Kind.TOGETHER else ((keys[0], keys[1]),)
    for pair in apart:
        if pair[1] in groups[pair[0]]:
            raise WishRefused(
                f"{listed(division.names(pair))} would be kept both together and apart."
            )


def _note_wish(wish: SquadWish, verb: str, actor: Account | None) -> None:
    golfers = [str(wish.one.golfer), str(wish.other.golfer)]
    note(actor=actor, verb=verb, subject=wish.one.school, golfers=golfers, kind=wish.kind)
