"""What a timetable breaks: every rule of a problem, judged session by session, in words.

It searches for nothing. A whole plan, a part of one, and one session tried in every place are
judged by the same rules that the search keeps. What involves only sessions that are over is no
fault: they stand.
"""

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass

from lessons.planner.judging.judge_words import Names
from lessons.planner.plan import Placement
from lessons.planner.problem import COVERED, LIT, Instructor, Problem, Visit

Rows = tuple[Placement, ...]


@dataclass(frozen=True)
class Broken:
    """One rule that is broken: its kind, a sentence for the desk, and the sessions in it."""

    rule: str
    words: str
    placements: Rows = ()


def broken_rules(
    problem: Problem, placements: Iterable[Placement], *, complete: bool = True
) -> list[Broken]:
    """Every rule that the placements break, in order of their time.

    Parameters
    ----------
    complete
        Whether every visit must be there. In a part of a plan what is not there is not missed,
        and what waits for it is taken to be well.
    """
    rows = sorted(placements, key=lambda row: (row.day, row.slot, row.squad, row.visit))
    judge = Judge(problem, rows, complete=complete)
    found = [*judge.missing(), *judge.strangers, *judge.against(rows)]
    return list(dict.fromkeys([*found, *judge.not_kept(None)]))


class Judge:
    """Sessions that stand, and what others would break beside them."""

    def __init__(
        self, problem: Problem, placements: Iterable[Placement] = (), *, complete: bool = True
    ) -> None:
        self.problem, self.complete = problem, complete
        self.names = Names(problem)
        self.past = frozenset(problem.past)
        self.strangers: list[Broken] = []
        self.of_squad: dict[tuple[str, int], list[Placement]] = defaultdict(list)
        self.of_visit: dict[tuple[str, str], list[Placement]] = defaultdict(list)
        self.of_person: dict[tuple[str, int], list[Placement]] = defaultdict(list)
        self.of_bay: dict[tuple[str, int], list[Placement]] = defaultdict(list)
        for row in placements:
            if words := self.names.unknown(row):
                self.strangers.append(Broken("unknown", words, (row,)))
            else:
                self.add(row)

    # Putting sessions in and taking them out

    def _lists(self, row: Placement) -> Iterator[list[Placement]]:
        yield self.of_squad[row.squad, row.day]
        yield self.of_visit[row.squad, row.visit]
        yield self.of_bay[row.bay, row.day]
        for person in row.instructors:
            yield self.of_person[person, row.day]

    def add(self, row: Placement) -> None:
        """Let a session stand. Its keys are known."""
        for rows in self._lists(row):
            rows.append(row)

    def remove(self, row: Placement) -> None:
        """Take a session out again."""
        for rows in self._lists(row):
            rows.remove(row)

    def if_added(
        self, rows: Sequence[Placement], *, people: Collection[str] | None = None
    ) -> list[Broken]:
        """What these would break, were they there; they are not left there.

        Of instructors, only the rules about ``people`` are looked at, or (None) about all.
        """
        for row in rows:
            self.add(row)
        try:
            return [*self.against(rows, people=people), *self.not_kept(rows)]
        finally:
            for row in rows:
                self.remove(row)

    def can_teach(self, row: Placement, person: str) -> bool:
        """Whether the instructor could take this session, whoever else is in it."""
        return next(self._of_one_person(row, person), None) is None

    # Judging

    def against(
        self, rows: Iterable[Placement], *, people: Collection[str] | None = None
    ) -> list[Broken]:
        """The rules that these sessions, which are there, take part in breaking."""
        found: dict[Broken, None] = {}
        for row in rows:
            if self.names.unknown(row):
                continue
            if outside := self._outside(row) or self._too_early(row):
                found[outside] = None
                continue
            for look in (_alone, _in_bay, _of_squad, _of_group, _of_days):
                found.update(dict.fromkeys(look(self, row)))
            for person in row.instructors:
                if people is None or person in people:
                    found.update(dict.fromkeys(self._of_one_person(row, person)))
        return [each for each in found if not self._over(each)]

    def missing(self) -> Iterator[Broken]:
        """The visits that squads should have and have not."""
        if not self.complete:
            return
        for squad in self.problem.squads:
            for visit in self.problem.visits:
                rows = self.of_visit[squad.key, visit.key]
                if len(rows) < visit.times:
                    words = self.names.missing(squad, visit, len(rows))
                    yield Broken("visit", words, tuple(rows))

    def not_kept(self, moved: Iterable[Placement] | None) -> Iterator[Broken]:
        """The sessions that must stay and did not: of the moved ones, or (None) of all."""
        pairs = None if moved is None else {(row.squad, row.visit) for row in moved}
        for rule, rows, why in (
            ("past", self.problem.past, "is over and cannot be changed"),
            ("pinned", self.problem.pinned, "is pinned and must stay"),
        ):
            for row in rows:
                asked = pairs is None or (row.squad, row.visit) in pairs
                known = row.squad in self.names.squads and row.visit in self.names.visits
                if asked and known and row not in self.of_visit[row.squad, row.visit]:
                    yield Broken(rule, self.names.must_stay(row, why), (row,))

    def _over(self, broken: Broken) -> bool:
        return bool(broken.placements) and self.past.issuperset(broken.placements)

    def _outside(self, row: Placement) -> Broken | None:
        grid = self.problem.grid
        if 0 <= row.day < grid.days and row.slot >= 0 and self.names.end(row) <= grid.slots_per_day:
            return None
        return Broken("outside", self.names.outside(row), (row,))

    def _too_early(self, row: Placement) -> Broken | None:
        if (row.day, row.slot) >= self.problem.opens or row in self.past:
            return None
        return Broken("past", self.names.too_early(row), (row,))

    def at_once(self, rows: Iterable[Placement], row: Placement) -> list[Placement]:
        """Those of the rows that have a slot in common with this one, itself left out."""
        end = self.names.end(row)
        return [
            other
            for other in rows
            if other is not row
            and other.day == row.day
            and other.slot < end
            and row.slot < self.names.end(other)
        ]

    def far_changes(self, who: str, rows: Iterable[Placement], row: Placement) -> Iterator[Broken]:
        """Walks to or from this session that take too long for whoever has it."""
        lunch, most = self.problem.grid.lunch_after, self.problem.changeover_min
        end = self.names.end(row)
        for other in rows:
            other_end = self.names.end(other)
            if end == other.slot != lunch:
                one, two = row, other
            elif other_end == row.slot != lunch:
                one, two = other, row
            else:
                continue
            minutes = self._walk(one.bay, two.bay)
            if minutes > most:
                words = self.names.too_far(who, one, two, minutes, most)
                yield Broken("walk", words, (one, two))

    def _walk(self, one: str, other: str) -> int:
        """Minutes from bay to bay; none if the walk is not given, which is for others to say."""
        here, there = self.names.bays[one].place, self.names.bays[other].place
        try:
            return self.problem.walk(here, there)
        except KeyError:
            return 0

    # Instructors

    def _of_one_person(self, row: Placement, key: str) -> Iterator[Broken]:
        person, names = self.names.people[key], self.names
        if names.visits[row.visit].station not in person.skills:
            yield Broken("qualification", names.not_qualified(row, person), (row,))
        if away := [when for when in names.span(row) if when not in person.available]:
            yield Broken("hours", names.not_free(row, person, away), (row,))
        rows: Sequence[Placement] = self.of_person[key, row.day]
        if row not in rows:
            rows = [*rows, row]
        for other in self.at_once(rows, row):
            if not self.together(row, other):
                pair = tuple(sorted((row, other)))
                yield Broken("instructor", names.instructor_twice(person, pair), pair)
        yield from self.far_changes(person.name, rows, row)
        yield from self._load_and_run(person, row, rows)

    def together(self, one: Placement, other: Placement) -> bool:
        """Whether two squads are in one group session."""
        return (
            self.names.visits[one.visit].group
            and (one.visit, one.day, one.slot, one.bay)
            == (other.visit, other.day, other.slot, other.bay)
            and one.squad != other.squad
        )

    def _load_and_run(
        self, person: Instructor, row: Placement, rows: Sequence[Placement]
    ) -> Iterator[Broken]:
        taught = sorted({slot for each in rows for _, slot in self.names.span(each)})
        if len(taught) > person.max_load:
            words = self.names.load(person, row.day, len(taught))
            yield Broken("load", words, tuple(sorted(rows)))
        for half in self.problem.grid.halves:
            run = _run_through(taught, half, row.slot)
            if len(run) > person.max_run:
                inside = tuple(sorted(r for r in rows if run[0] <= r.slot <= run[-1]))
                words = self.names.run(person, [(row.day, slot) for slot in run])
                yield Broken("run", words, inside)


def _run_through(taught: Sequence[int], half: range, slot: int) -> list[int]:
    """The unbroken slots of the half of a day that the slot lies in; none if it is not in it."""
    if slot not in half:
        return []
    busy, first, last = set(taught), slot, slot
    while first - 1 in busy and first - 1 in half:
        first -= 1
    while last + 1 in busy and last + 1 in half:
        last += 1
    return list(range(first, last + 1))


# A session by itself


def _alone(judge: Judge, row: Placement) -> Iterator[Broken]:
    problem, names = judge.problem, judge.names
    visit, squad, bay = names.visits[row.visit], names.squads[row.squad], names.bays[row.bay]
    span = names.span(row)
    if not problem.grid.fits_half(row.slot, visit.slots):
        yield Broken("lunch", names.over_lunch(row), (row,))
    if not visit.allows(row.day):
        yield Broken("days", names.wrong_day(row), (row,))
    if missing := visit.missing(squad, bay):
        rule = "features" if missing & visit.features else "left-handed"
        yield Broken(rule, names.lacks(row, missing), (row,))
    if shut := [when for when in span[: visit.in_bay] if when in bay.closed]:
        yield Broken("closed", names.closed(row, shut), (row,))
    if (wet := problem.rain.intersection(span)) and COVERED not in bay.features:
        yield Broken("rain", names.weather(row, wet, "It rains", "cover"), (row,))
    if (dark := problem.dark.intersection(span)) and LIT not in bay.features:
        yield Broken("dark", names.weather(row, dark, "It is dark", "light"), (row,))
    if visit.everyone and (away := squad.away.intersection(span)):
        yield Broken("away", names.away(row, away), (row,))


# Bays


def _in_bay(judge: Judge, row: Placement) -> Iterator[Broken]:
    names, bay = judge.names, judge.names.bays[row.bay]
    rows = [
        other
        for other in judge.of_bay[row.bay, row.day]
        if other.slot < names.left_bay(row) and row.slot < names.left_bay(other)
    ]
    for other in rows:
        if other.visit != row.visit:
            pair = tuple(sorted((row, other)))
            yield Broken("bay", names.bay_mixed(bay, pair), pair)
    for slot in range(row.slot, names.left_bay(row)):
        there = [
            other
            for other in rows
            if other.visit == row.visit and other.slot <= slot < names.left_bay(other)
        ]
        if len(there) > bay.squads:
            there.sort()
            yield Broken("bay", names.bay_full(bay, (row.day, slot), there), tuple(there))
            return


# Squads


def _of_squad(judge: Judge, row: Placement) -> Iterator[Broken]:
    names, squad = judge.names, judge.names.squads[row.squad]
    rows = judge.of_squad[row.squad, row.day]
    for other in judge.at_once(rows, row):
        pair = tuple(sorted((row, other)))
        yield Broken("squad", names.squad_twice(squad, pair), pair)
    yield from judge.far_changes(squad.name, rows, row)
    visit = names.visits[row.visit]
    had = judge.of_visit[row.squad, row.visit]
    if len(had) > visit.times:
        yield Broken("times", names.too_often(squad, visit, len(had)), tuple(sorted(had)))
    today = tuple(sorted(other for other in had if other.day == row.day))
    if len(today) > visit.most_a_day:
        yield Broken("most_a_day", names.crowded(squad, visit, row.day, len(today)), today)
    yield from _orders(judge, row)


def _orders(judge: Judge, row: Placement) -> Iterator[Broken]:
    visit = judge.names.visits[row.visit]
    for earlier, asked in visit.after.items():
        yield from _order(judge, row, judge.names.visits[earlier], asked)
    for later in judge.problem.visits:
        if row.visit in later.after:
            for other in judge.of_visit[row.squad, later.key]:
                yield from _order(judge, other, visit, later.after[row.visit])


def _order(judge: Judge, row: Placement, earlier: Visit, asked: int) -> Iterator[Broken]:
    rows = judge.of_visit[row.squad, earlier.key]
    over = [r for r in rows if (r.day, judge.names.end(r)) <= (row.day, row.slot)]
    # What is not placed yet may still come in time.
    hoped = 0 if judge.complete else max(0, earlier.times - len(rows))
    if len(over) + hoped < asked:
        late = tuple(sorted(r for r in rows if r not in over))
        yield Broken("order", judge.names.order(row, earlier, len(over), asked), (*late, row))


def _of_days(judge: Judge, row: Placement) -> Iterator[Broken]:
    """The visits that fall on the same days, or never do."""
    problem = judge.problem
    for rule, words, pairs in (
        ("same_day", "the same day", problem.same_day),
        ("other_day", "different days", problem.other_day),
    ):
        for pair in pairs:
            if row.visit in pair:
                yield from _pair_of_days(judge, row.squad, pair, rule, words)


def _pair_of_days(
    judge: Judge, squad: str, pair: tuple[str, str], rule: str, words: str
) -> Iterator[Broken]:
    had = [(judge.names.visits[key], judge.of_visit[squad, key]) for key in pair]
    if not _days_fit(judge, had, rule):
        said = [(visit, sorted({each.day for each in rows})) for visit, rows in had]
        rows = tuple(sorted(each for _, rows in had for each in rows))
        yield Broken(rule, judge.names.day_pair(judge.names.squads[squad], said, words), rows)


def _days_fit(judge: Judge, had: Sequence[tuple[Visit, list[Placement]]], rule: str) -> bool:
    (one, one_rows), (other, other_rows) = had
    ones, others = Counter(r.day for r in one_rows), Counter(r.day for r in other_rows)
    if rule == "other_day":
        return not ones & others
    if judge.complete:
        return ones == others
    # Each day that only one of them has must be open to what is not placed of the other.
    return (ones - others).total() <= other.times - len(other_rows) and (
        others - ones
    ).total() <= one.times - len(one_rows)


# Groups


def _of_group(judge: Judge, row: Placement) -> Iterator[Broken]:
    names, visit = judge.names, judge.names.visits[row.visit]
    if not visit.group:
        if len(row.instructors) != 1:
            yield Broken("ratio", names.one_instructor(row), (row,))
        elif (size := names.squads[row.squad].size) > visit.ratio:
            yield Broken("ratio", names.ratio([row], size, 1), (row,))
        return
    others = (r for r in judge.of_bay[row.bay, row.day] if judge.together(row, r))
    rows = tuple(sorted([row, *others]))
    if len({frozenset(each.instructors) for each in rows}) > 1:
        yield Broken("group", names.parted_group(rows), rows)
    golfers = sum(names.squads[each.squad].size for each in rows)
    people = len({key for each in rows for key in each.instructors})
    if people != _needed(golfers, visit.ratio):
        yield Broken("ratio", names.ratio(rows, golfers, people), rows)


def _needed(golfers: int, ratio: int) -> int:
    return -(-golfers // ratio)
