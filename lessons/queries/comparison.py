"""Two timetables of a school side by side: whose days differ, and what each is worth."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Hashable, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import zip_longest
from typing import Any

from lessons.models import Plan, Session, SquadMember
from lessons.queries.fit import sessions_of
from lessons.queries.groups import Group, joined_up
from school.models import Enrolment, School


@dataclass(frozen=True)
class Change:
    """A session as it was and as it is, in words; empty where there was, or is, none."""

    was: str
    now: str


@dataclass(frozen=True)
class Day:
    """Somebody, or a bay, whose sessions differ, in order of time.

    `pk` is that of the enrolment, the instructor or the bay; `squad` is a golfer's as it is now.
    A golfer is moved if a session begins at another time or in another bay.
    """

    pk: int
    who: str
    changes: tuple[Change, ...]
    squad: str = ""
    is_moved: bool = True


@dataclass(frozen=True)
class GoalPair:
    """What each plan reached in one respect; None where it was not counted."""

    name: str
    was: int | None
    now: int | None


@dataclass(frozen=True)
class Comparison:
    golfers: tuple[Day, ...]
    instructors: tuple[Day, ...]
    bays: tuple[Day, ...]
    goals: tuple[GoalPair, ...]

    @property
    def golfers_moved(self) -> int:
        return sum(golfer.is_moved for golfer in self.golfers)

    @property
    def is_same(self) -> bool:
        return not (self.golfers or self.instructors or self.bays)


def comparison(old: Plan | None, new: Plan) -> Comparison:
    """What differs in `new`; everything, if there was no plan before. Three queries.

    Golfers are those who have a seat, in the squads that they are in now.
    """
    school = new.school
    was = _groups(old) if old else []
    now = _groups(new)
    squads = _differing(was, now, _of_squads, school)
    return Comparison(
        golfers=tuple(_golfers(school, squads, _moved(was, now))),
        instructors=_days(was, now, _of_instructors, school),
        bays=_days(was, now, _of_bays, school),
        goals=_goal_pairs(old.goals if old else [], new.goals),
    )


@dataclass(frozen=True)
class _Item:
    """One session as somebody has it; those that are the same visit of the same are compared."""

    pk: int
    who: str
    same: Hashable
    when: datetime
    words: str


Look = Callable[[Iterable[Group], School], Iterable[_Item]]


def _groups(plan: Plan) -> list[Group]:
    return joined_up(sessions_of(plan))


def _of_squads(groups: Iterable[Group], school: School) -> Iterable[_Item]:
    for group in groups:
        visit, bay = group.first.visit, group.first.bay
        words = f"{_times(group, school)}: {visit}, {bay}, {group.instructors}"
        for each in group.sessions:
            yield _Item(each.squad_id, str(each.squad), visit.pk, group.when.starts_at, words)


def _of_instructors(groups: Iterable[Group], school: School) -> Iterable[_Item]:
    for group in groups:
        for person in dict.fromkeys(each.instructor for each in group.sessions):
            theirs = [each for each in group.sessions if each.instructor_id == person.pk]
            words = f"{_what(group, theirs, school)}, {group.first.bay}"
            yield _Item(person.pk, str(person), _same(group, theirs), group.when.starts_at, words)


def _of_bays(groups: Iterable[Group], school: School) -> Iterable[_Item]:
    for group in groups:
        bay = group.first.bay
        words = f"{_what(group, group.sessions, school)}, {group.instructors}"
        same = _same(group, group.sessions)
        yield _Item(bay.pk, str(bay), same, group.when.starts_at, words)


def _same(group: Group, sessions: Iterable[Session]) -> Hashable:
    return group.first.visit_id, tuple(each.squad_id for each in sessions)


def _what(group: Group, sessions: Sequence[Session], school: School) -> str:
    return f"{_times(group, school)}: {group.first.visit} of {Group.squads_of(sessions)}"


def _times(group: Group, school: School) -> str:
    """“Fri 09:00 to 09:45”; a school lasts a week at most."""
    starts_at, ends_at = (
        at.astimezone(school.zone) for at in (group.when.starts_at, group.when.ends_at)
    )
    return f"{starts_at:%a %H:%M} to {ends_at:%H:%M}"


def _days(was: list[Group], now: list[Group], look: Look, school: School) -> tuple[Day, ...]:
    found = _differing(was, now, look, school)
    days = [Day(pk, who, changes) for (pk, who), changes in found.items()]
    return tuple(sorted(days, key=lambda day: day.who))


def _differing(
    was: list[Group], now: list[Group], look: Look, school: School
) -> dict[tuple[int, str], tuple[Change, ...]]:
    """Whose sessions differ, by key and name, and how."""
    old, new = list(look(was, school)), list(look(now, school))
    everyone = dict.fromkeys((item.pk, item.who) for item in (*old, *new))
    found = {
        who: _changes(
            [item for item in old if (item.pk, item.who) == who],
            [item for item in new if (item.pk, item.who) == who],
        )
        for who in everyone
    }
    return {who: changes for who, changes in found.items() if changes}


def _changes(old: Sequence[_Item], new: Sequence[_Item]) -> tuple[Change, ...]:
    """What stayed is left out; of what is left, each is put beside the same visit."""
    stayed = Counter(item.words for item in old) & Counter(item.words for item in new)
    gone = _without(old, stayed)
    come = _without(new, stayed)
    pairs: list[tuple[datetime, Change]] = []
    for same in dict.fromkeys(item.same for item in (*gone, *come)):
        befores = [item for item in gone if item.same == same]
        afters = [item for item in come if item.same == same]
        for before, after in zip_longest(befores, afters):
            first = min(item.when for item in (before, after) if item)
            change = Change(before.words if before else "", after.words if after else "")
            pairs.append((first, change))
    return tuple(change for _, change in sorted(pairs, key=lambda pair: pair[0]))


def _without(items: Sequence[_Item], stayed: Counter[str]) -> list[_Item]:
    left, found = stayed.copy(), []
    for item in items:
        if left[item.words] > 0:
            left[item.words] -= 1
        else:
            found.append(item)
    return found


def _moved(was: list[Group], now: list[Group]) -> set[int]:
    """The squads with a session that begins at another time or in another bay."""
    old, new = _places(was), _places(now)
    return {squad for squad, *_ in (old - new) + (new - old)}


def _places(groups: Iterable[Group]) -> Counter[tuple[int, int, datetime, int]]:
    return Counter(
        (each.squad_id, each.visit_id, each.starts_at, each.bay_id)
        for group in groups
        for each in group.sessions
    )


def _golfers(
    school: School, squads: dict[tuple[int, str], tuple[Change, ...]], moved: set[int]
) -> Iterable[Day]:
    changes = {pk: changes for (pk, _), changes in squads.items()}
    members = SquadMember.objects.filter(
        squad__school=school, enrolment__state=Enrolment.State.SEATED
    ).select_related("squad", "enrolment__golfer")
    for member in members.order_by("squad__number", "place"):
        if found := changes.get(member.squad_id):
            yield Day(
                pk=member.enrolment_id,
                who=member.enrolment.golfer.full_name,
                changes=found,
                squad=str(member.squad),
                is_moved=member.squad_id in moved,
            )


def _goal_pairs(
    old: Sequence[dict[str, Any]], new: Sequence[dict[str, Any]]
) -> tuple[GoalPair, ...]:
    """In the order of the newer plan; what only the older one counted comes last."""
    was = {goal["name"]: goal["value"] for goal in old}
    now = {goal["name"]: goal["value"] for goal in new}
    return tuple(GoalPair(name, was.get(name), now.get(name)) for name in {**now, **was})
