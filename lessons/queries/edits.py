"""Where a session of a plan could be instead, and what speaks against it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from lessons.models import Bay, Instructor, Session
from lessons.planner.judging.judge import Broken, Judge
from lessons.planner.plan import Placement
from lessons.queries.fit import not_asked_for, problem_now, sessions_of
from lessons.queries.groups import Group, joined_up
from lessons.queries.placements import as_placements


@dataclass(frozen=True)
class Spot:
    """A slot and a bay, who could teach there, and what speaks against it.

    Either nobody could or there are no `words`.
    """

    day: int
    slot: int
    bay_pk: int
    instructor_pks: tuple[int, ...]
    words: tuple[str, ...]


def objections_to_move(
    session: Session, *, day: int, slot: int, bay: Bay, instructor: Instructor
) -> list[str]:
    """What speaks against the session being there, in sentences; as many queries as `objections`.

    A session that squads have together moves with all of them. Rules that are broken elsewhere in
    the plan do not count.
    """
    moving = Moving(session, bays=[bay], instructors=[instructor])
    broken = moving.broken(day, slot, str(bay.pk), str(instructor.pk))
    return list(dict.fromkeys(each.words for each in broken))


def places_for(session: Session) -> list[Spot]:
    """Every slot of the school and every bay, in that order; as many queries as `objections`."""
    return Moving(session).spots()


class Moving:
    """A session, or all those of its group, taken out of a plan to be put in elsewhere."""

    def __init__(
        self, session: Session, *, bays: Iterable[Bay] = (), instructors: Iterable[Instructor] = ()
    ) -> None:
        plan = session.plan
        sessions = list(sessions_of(plan))
        groups = joined_up(sessions)
        self.group: Group = next(g for g in groups if session.pk in {s.pk for s in g.sessions})
        rest = [each for each in sessions if each not in self.group.sessions]
        problem = problem_now(plan, sessions, bays, instructors)
        self.judge = Judge(problem, as_placements(plan.school, rest))
        gone = not_asked_for(problem, self.group.sessions)
        self.gone = [Broken("unknown", words) for words in gone.values()]
        self.own = str(session.instructor_id)
        taught = {str(each.instructor_id) for each in self.group.sessions}
        self.others = tuple(sorted(taught - {self.own}))
        self.people = sorted(problem.instructors, key=lambda row: row.key != self.own)

    def broken(self, day: int, slot: int, bay: str, instructor: str) -> list[Broken]:
        """The rules that the session would break there with the instructor."""
        return self._judged(day, slot, bay, (instructor, *self.others), None)

    def spots(self) -> list[Spot]:
        problem = self.judge.problem
        return [
            self.spot(day, slot, bay.key)
            for day in range(problem.grid.days)
            for slot in range(problem.grid.slots_per_day)
            for bay in problem.bays
        ]

    def spot(self, day: int, slot: int, bay: str) -> Spot:
        """The place with all who could teach there."""
        if self._joined(day, slot, bay):
            broken: list[Broken] = []
            able = [p.key for p in self.people if not self.broken(day, slot, bay, p.key)]
        else:
            # Whoever teaches now stands for the one who will, and is looked at only below.
            broken = self._judged(day, slot, bay, (self.own, *self.others), self.others)
            able = [] if broken else list(self._able(day, slot, bay))
        if not broken and not able:
            broken = self.broken(day, slot, bay, self.own)
        words = dict.fromkeys(each.words for each in broken)
        return Spot(day, slot, int(bay), tuple(int(key) for key in able), tuple(words))

    def _judged(
        self, day: int, slot: int, bay: str, taught: tuple[str, ...], people: Sequence[str] | None
    ) -> list[Broken]:
        if self.gone:
            return self.gone
        there = self._joined(day, slot, bay)
        rows = self._rows(day, slot, bay, {*taught, *(k for r in there for k in r.instructors)})
        for row in there:
            self.judge.remove(row)
        try:
            with_them = [replace(row, instructors=rows[0].instructors) for row in there]
            return self.judge.if_added([*rows, *with_them], people=people)
        finally:
            for row in there:
                self.judge.add(row)

    def _able(self, day: int, slot: int, bay: str) -> Iterator[str]:
        """Who could take it beside the others of its group, whoever teaches it now first."""
        for person in self.people:
            (row, *_) = self._rows(day, slot, bay, [person.key])
            if person.key not in self.others and self.judge.can_teach(row, person.key):
                yield person.key

    def _joined(self, day: int, slot: int, bay: str) -> list[Placement]:
        """The squads that have the same visit there already, if they may have it together."""
        visit = self.group.first.visit
        if visit.group_ratio is None:
            return []
        there = self.judge.of_bay[bay, day]
        return [row for row in there if row.visit == str(visit.pk) and row.slot == slot]

    def _rows(self, day: int, slot: int, bay: str, taught: Iterable[str]) -> list[Placement]:
        people = tuple(sorted(taught))
        return [
            Placement(str(each.squad_id), str(each.visit_id), day, slot, bay, people)
            for each in self.group.sessions
        ]
