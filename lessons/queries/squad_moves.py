"""What a change of squads by hand would break or worsen, in words, before it is made."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from lessons.errors import first_few
from lessons.models import Feature, Session
from lessons.planner.words import listed
from lessons.queries.division import Division, division_of
from school.models import Enrolment, School
from school.wording import count_of

NEW_SQUAD = 0
"""Stands for the key of a squad that is not there yet."""


@dataclass(frozen=True)
class Change:
    """Who would be where, thought through and not made; nothing can be made of one refused.

    `refusals` break a hard rule, `warnings` are for the desk to weigh, `notes` say what follows.
    """

    before: Division
    after: Division
    moved: Mapping[str, int]
    refusals: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def golfers(self) -> list[str]:
        return self.before.names(self.moved)


def move_considered(school: School, enrolment: Enrolment, squad: int | None) -> Change:
    """The attendee, and all kept together with them in the same squad, in another or, for None,
    in a new one. Nine queries."""
    before = division_of(school)
    key, to = before.key_of(enrolment), NEW_SQUAD if squad is None else squad
    if key is None:
        return _refused(before, f"{enrolment.golfer} has no seat in this school.")
    if to != NEW_SQUAD and to not in before.squads:
        return _refused(before, "That squad is not there any more.")
    here = before.squad_of(key)
    if here == to:
        return _refused(before, f"{enrolment.golfer} is in {_name(before, to)} already.")
    together = [
        each for each in sorted(before.kept_with(key)) if before.squad_of(each) in (here, None)
    ]
    return _considered(before, dict.fromkeys([key, *together], to))


def swap_considered(school: School, one: Enrolment, other: Enrolment) -> Change:
    """Two attendees in each other's squads. Nine queries."""
    before = division_of(school)
    keys = [before.key_of(each) for each in (one, other)]
    seats = {key: before.squad_of(key) for key in keys if key is not None}
    if len(seats) < 2 or None in seats.values():
        return _refused(before, "Choose two attendees who have a squad.")
    (first, here), (second, there) = seats.items()
    if here == there:
        return _refused(before, f"{one.golfer} and {other.golfer} are in one squad.")
    return _considered(before, {first: there or NEW_SQUAD, second: here or NEW_SQUAD})


def _refused(division: Division, words: str) -> Change:
    return Change(division, division, {}, refusals=(words,))


def _considered(before: Division, moved: Mapping[str, int]) -> Change:
    after = before.with_squads(_squads_after(before, moved))
    published = _published_sessions(before.school, set(moved.values()))
    return Change(
        before=before,
        after=after,
        moved=moved,
        refusals=(*_too_large(after), *_split(before, after)),
        warnings=(
            *_mixed(before, after),
            *_minors(before, after),
            *_left_handers(before, after),
            *_unsuited(after, moved, published or ()),
            *_spread(before, after, grows=True),
        ),
        notes=(
            *_spread(before, after, grows=False),
            *_with_them(before, moved),
            *_left_behind(before, after),
            *_for_the_timetable(after, moved, is_published=published is not None),
        ),
    )


def _squads_after(before: Division, moved: Mapping[str, int]) -> dict[int, tuple[str, ...]]:
    squads = {
        pk: tuple(key for key in squad if key not in moved) for pk, squad in before.squads.items()
    }
    for key, to in moved.items():
        squads[to] = (*squads.get(to, ()), key)
    return squads


def _name(division: Division, pk: int) -> str:
    return next((str(row) for row in division.rows if row.pk == pk), "a new squad")


def _too_large(after: Division) -> list[str]:
    most = after.rules.size
    return [
        f"{_name(after, pk)} would have {count_of(len(squad), 'golfer')}; {most} are the most."
        for pk, squad in after.squads.items()
        if len(squad) > most
    ]


def _split(before: Division, after: Division) -> list[str]:
    broken = [pair for pair in after.worth().split if pair not in before.worth().split]
    return [
        f"{listed(after.names(pair))} are kept together and would be split."
        if pair not in after.rules.cares
        else f"{listed(after.names(pair))} would be split: the one looks after the other."
        for pair in broken
    ]


def _mixed(before: Division, after: Division) -> list[str]:
    broken = [pair for pair in after.worth().mixed if pair not in before.worth().mixed]
    return [f"{listed(after.names(pair))} are to be kept apart." for pair in broken]


def _minors(before: Division, after: Division) -> list[str]:
    alone = [key for key in after.worth().lone_minors if key not in before.worth().lone_minors]
    return [
        f"{name} would be the only one under 18 in {_name(after, after.squad_of(key) or 0)}."
        for key, name in zip(alone, after.names(alone), strict=True)
    ]


def _left_handers(before: Division, after: Division) -> list[str]:
    squads, served = after.worth().left_squads, after.served().left_squads
    if squads <= max(served, before.worth().left_squads):
        return []
    bays = after.bays
    return [
        f"Left-handers would be in {count_of(squads, 'squad')}. At {bays.station} {bays.left} of"
        f" {count_of(bays.bays, 'bay')} {'suits' if bays.left == 1 else 'suit'} them, which"
        f" serves {count_of(served, 'such squad')}."
    ]


def _unsuited(after: Division, moved: Mapping[str, int], published: Iterable[Session]) -> list[str]:
    """Published sessions that a left-hander would come to and that no left-handed bay has."""
    left = {golfer.key: golfer.name for golfer in after.golfers if golfer.left_handed}
    zone = after.school.zone
    found = [
        f"{left[key]} is left-handed, and {session.squad} has {session.visit.name} in"
        f" {session.bay}, which is not, on"
        f" {session.starts_at.astimezone(zone):%A at %H:%M}."
        for session in published
        for key, to in moved.items()
        if key in left and to == session.squad_id
    ]
    return [first_few(found)] if found else []


def _spread(before: Division, after: Division, *, grows: bool) -> list[str]:
    """What becomes of the spread, if it grows, or shrinks, as asked."""
    was, now = strokes(before), strokes(after)
    more = after.worth().spread_tenths > before.worth().spread_tenths
    if was == now or more is not grows:
        return []
    verb = "grows" if grows else "shrinks"
    return [f"The spread of the mean handicaps {verb} from {was} to {now}."]


def strokes(division: Division) -> str:
    """The spread of the mean handicaps, to a tenth of a stroke."""
    return f"{float(division.worth().spread_tenths) / 10:.1f}"


def _with_them(before: Division, moved: Mapping[str, int]) -> list[str]:
    first, *others = before.names(moved)
    if not others or len(set(moved.values())) > 1:
        return []
    verb = "goes" if len(others) == 1 else "go"
    return [f"{listed(others)} {verb} with {first}: they are kept together."]


def _left_behind(before: Division, after: Division) -> list[str]:
    words = []
    for pk, squad in after.squads.items():
        was = len(before.squads.get(pk, ()))
        if was > 1 == len(squad):
            words.append(f"{after.names(squad)[0]} would be alone in {_name(after, pk)}.")
        elif was and not squad:
            words.append(f"Nobody would be left in {_name(after, pk)}.")
    return words


def _for_the_timetable(
    after: Division, moved: Mapping[str, int], *, is_published: bool
) -> list[str]:
    if not is_published:
        return []
    if NEW_SQUAD in moved.values():
        return ["A timetable is published, and a new squad has no sessions in it: plan again."]
    where = [
        f"the sessions of {name} are then those of {_name(after, to)}"
        for name, to in zip(after.names(moved), moved.values(), strict=True)
    ]
    return [f"A timetable is published: {listed(where)}."]


def _published_sessions(school: School, squads: Iterable[int]) -> list[Session] | None:
    """What these squads have, where it matters, in bays that do not suit left-handers; None if
    no timetable is published."""
    plan = school.plans.filter(is_published=True).first()
    if plan is None:
        return None
    return list(
        plan.sessions.filter(squad__in=squads, visit__station__is_handed=True)
        .exclude(bay__features=Feature.LEFT_HANDED)
        .select_related("visit", "squad", "bay")
        .order_by("starts_at")
    )
