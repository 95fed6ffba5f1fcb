"""Practice plans as they are read, and what a proposal starts from."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby

from django.db.models import Prefetch, QuerySet
from django.utils.translation import gettext

from assessments.models import Drill, DrillRule, PracticeItem, PracticePlan
from assessments.practice.propose import DrillFacts, Need, Rule
from assessments.practice.words import CAUTIONS, WEEK_WORDS
from assessments.queries.entries import current_entries
from assessments.queries.findings import findings_from
from assessments.queries.placings import placings_from
from assessments.queries.ranking import needs_of
from assessments.units import units_of
from school.models import Enrolment, Handedness


@dataclass(frozen=True)
class TakeHomePriority:
    """Something to work on; `number` is what items refer to."""

    number: int
    title: str
    why: str


@dataclass(frozen=True)
class TakeHomeItem:
    """A drill in one week, with all that is needed to do it; `minutes` are of one day."""

    slug: str
    name: str
    purpose: str
    set_up: str
    steps: tuple[str, ...]
    count: str
    minutes: int
    days: int
    caution: str
    picture: str
    is_left_handed: bool
    priority: int | None


@dataclass(frozen=True)
class Week:
    """One week: what it is about, how to go about it, and its drills in order."""

    number: int
    heading: str
    words: str
    items: tuple[TakeHomeItem, ...]

    @property
    def minutes(self) -> int:
        return sum(item.minutes * item.days for item in self.items)


@dataclass(frozen=True)
class TakeHomePlan:
    """A plan as it prints. `weeks` has those with something to do."""

    minutes_a_week: int
    days_a_week: int
    priorities: tuple[TakeHomePriority, ...]
    weeks: tuple[Week, ...]
    left_out: tuple[str, ...]
    cautions: tuple[str, ...]
    edition: int
    is_edited: bool

    @property
    def drills(self) -> tuple[TakeHomeItem, ...]:
        """Each drill once, in the order in which it is met."""
        items = (item for week in self.weeks for item in week.items)
        first: dict[str, TakeHomeItem] = {}
        for item in items:
            first.setdefault(item.slug, item)
        return tuple(first.values())


def plan_of(enrolment: Enrolment) -> TakeHomePlan | None:
    """The practice plan of one attendee; None until there is one. 3 queries, 1 without a plan."""
    plan = plan_rows(enrolment)
    return None if plan is None else take_home(plan, enrolment)


def plans_of(enrolments: Iterable[Enrolment]) -> dict[int, TakeHomePlan]:
    """The practice plans of attendees who have one, by enrolment. 3 queries, 1 without any.

    Which hand a golfer plays with must be here with the enrolments.
    """
    attendees = {enrolment.pk: enrolment for enrolment in enrolments}
    plans = _whole_plans().filter(enrolment__in=attendees)
    return {plan.enrolment_id: take_home(plan, attendees[plan.enrolment_id]) for plan in plans}


def plan_rows(enrolment: Enrolment) -> PracticePlan | None:
    """The plan with its priorities and its items with their drills. 3 queries, 1 without a plan."""
    return _whole_plans().filter(enrolment=enrolment).select_related("changed_by").first()


def _whole_plans() -> QuerySet[PracticePlan]:
    items = Prefetch("items", PracticeItem.objects.select_related("drill"))
    return PracticePlan.objects.prefetch_related("priorities", items)


def take_home(plan: PracticePlan, enrolment: Enrolment) -> TakeHomePlan:
    """A plan that is here with its priorities and its items with their drills.

    Drills are in the language that is read, unless the house edited their words. Priorities and
    what was left out stay as they were written into the plan, where an instructor edits them.
    """
    is_left_handed = enrolment.golfer.handedness == Handedness.LEFT
    numbers = {row.pk: row.position for row in plan.priorities.all()}
    weeks = groupby(plan.items.all(), key=lambda item: item.week)
    return TakeHomePlan(
        plan.minutes_a_week,
        plan.days_a_week,
        tuple(TakeHomePriority(row.position, row.title, row.why) for row in plan.priorities.all()),
        tuple(
            Week(
                number,
                gettext(WEEK_WORDS[number][0]),
                gettext(WEEK_WORDS[number][1]),
                tuple(_item(row, numbers, is_left_handed=is_left_handed) for row in rows),
            )
            for number, rows in weeks
        ),
        tuple(plan.left_out),
        tuple(map(gettext, CAUTIONS)),
        plan.edition,
        plan.is_edited,
    )


def _item(row: PracticeItem, numbers: dict[int, int], *, is_left_handed: bool) -> TakeHomeItem:
    drill = row.drill
    steps = (step.strip() for step in drill.steps.splitlines())
    return TakeHomeItem(
        slug=drill.slug,
        name=gettext(drill.name),
        purpose=gettext(drill.purpose),
        set_up=gettext(drill.set_up),
        steps=tuple(gettext(step) for step in steps if step),
        count=gettext(row.count),
        minutes=row.minutes,
        days=row.days,
        caution=gettext(drill.caution),
        picture=drill.picture,
        is_left_handed=is_left_handed,
        priority=numbers[row.priority_id] if row.priority_id else None,
    )


def rules_in_use() -> tuple[Rule, ...]:
    """The rules that propose drills which are in use. 1 query."""
    rows = DrillRule.objects.filter(is_in_use=True, drill__is_in_use=True).select_related("drill")
    return tuple(
        Rule(
            *(row.kind, row.measure, row.club_class, row.when),
            drill=row.drill.slug,
            position=row.position,
            why=row.why,
        )
        for row in rows
    )


def drills_in_use() -> tuple[DrillFacts, ...]:
    """The drills that may be put into a plan, by name. 1 query."""
    return tuple(facts_of(drill) for drill in Drill.objects.filter(is_in_use=True))


def drills_to_choose(plan: PracticePlan) -> list[DrillFacts]:
    """The drills in use, and those that the plan has all the same, by name. 1 query."""
    found = {drill.slug: drill for drill in drills_in_use()}
    found |= {item.drill.slug: facts_of(item.drill) for item in plan.items.all()}
    return sorted(found.values(), key=lambda drill: drill.name)


def facts_of(drill: Drill) -> DrillFacts:
    return DrillFacts(
        *(drill.slug, drill.name, drill.minutes, drill.count),
        equipment=frozenset(drill.equipment),
        avoid_with=frozenset(drill.avoid_with),
    )


def needs_for(enrolment: Enrolment) -> tuple[Need, ...]:
    """What was found of an attendee that practice could answer. 4 queries at most."""
    entries = list(current_entries([enrolment]))
    golfer = enrolment.golfer
    return needs_of(findings_from(entries, units_of(golfer)), placings_from(entries, golfer))
