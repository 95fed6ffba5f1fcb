"""Proposing what an attendee practises after the school, and writing what an instructor made of it.

What is printed is the plan as it stands here. A plan is replaced as a whole; its edition keeps two
people from writing over each other.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass

from django.utils import timezone

from assessments.actions.recording import lock_attendee, refuse_unless_taught
from assessments.errors import PlanChangedMeanwhile, PlanEdited, PlanRefused
from assessments.models import Drill, PracticeItem, PracticePlan, Priority
from assessments.practice.propose import Time, propose
from assessments.practice.values import (
    LONGEST_COUNT,
    LONGEST_TITLE,
    LONGEST_WHY,
    MOST_PRIORITIES,
    WEEKS,
    Proposal,
    ProposedItem,
    ProposedPriority,
)
from assessments.practice.words import EQUIPMENT, HURTS
from assessments.queries.practice import drills_in_use, needs_for, rules_in_use
from school.actions.audit import note
from school.actions.retry import in_a_fresh_transaction
from school.models import Account, Enrolment

MOST_MINUTES_A_DAY = 240


@dataclass(frozen=True)
class WrittenPriority:
    """A priority as it is to stand; `kind` to `club_class` name the finding it came from."""

    title: str
    why: str
    kind: str = ""
    measure: str = ""
    club_class: str = ""


@dataclass(frozen=True)
class Means:
    """What a golfer has for practice, and what must be spared."""

    time: Time
    equipment: frozenset[str]
    hurts: frozenset[str]


def propose_plan(
    *,
    enrolment: Enrolment,
    means: Means,
    actor: Account,
    edition: int = 0,
    over_edited: bool = False,
) -> PracticePlan:
    """Make the practice plan of an attendee from what was found, in place of one that is there.

    `edition` is that of the plan that was looked at, 0 if there was none. `over_edited` lets a
    plan be replaced that an instructor has edited.

    Raises PlanRefused for time, equipment or hurts that cannot be right, PlanChangedMeanwhile,
    PlanEdited, NotTaughtHere, NotEnrolled.
    """
    _refuse_means(means)
    return in_a_fresh_transaction(
        lambda: _propose(enrolment, means, actor, edition, over_edited=over_edited)
    )


def revise_plan(
    *,
    plan: PracticePlan,
    edition: int,
    priorities: Sequence[WrittenPriority],
    items: Sequence[ProposedItem],
    actor: Account,
) -> PracticePlan:
    """Put what an instructor wrote in the place of a plan's priorities and items.

    An item's `priority` is an index into `priorities`; weeks keep the order in which items come.

    Raises PlanRefused for what cannot be right, PlanChangedMeanwhile, NotTaughtHere, NotEnrolled.
    """
    _refuse_written(priorities, items)
    return in_a_fresh_transaction(lambda: _revise(plan.pk, edition, priorities, items, actor))


def _propose(
    enrolment: Enrolment, means: Means, actor: Account, edition: int, *, over_edited: bool
) -> PracticePlan:
    attendee = lock_attendee(enrolment)
    refuse_unless_taught(attendee, actor)
    plan = PracticePlan.objects.filter(enrolment=attendee).first()
    plan = plan or PracticePlan(enrolment=attendee, edition=0)
    _refuse_overtaken(plan, edition)
    if plan.is_edited and not over_edited:
        raise PlanEdited(
            f"{plan.changed_by} has edited this plan. A new proposal replaces all of it: "
            "tick that this is meant, and propose again."
        )
    proposal = _proposal(attendee, means)
    plan.minutes_a_week = means.time.minutes_a_week
    plan.days_a_week = means.time.days_a_week
    plan.equipment, plan.hurts = sorted(means.equipment), sorted(means.hurts)
    plan.left_out = list(proposal.left_out)
    _save(plan, actor, is_edited=False)
    _write(plan, [_written(each) for each in proposal.priorities], proposal.items)
    _note("propose_plan", plan, actor, [each.title for each in proposal.priorities])
    return plan


def _proposal(attendee: Enrolment, means: Means) -> Proposal:
    return propose(
        needs_for(attendee),
        rules_in_use(),
        drills_in_use(),
        means.time,
        equipment=means.equipment,
        hurts=means.hurts,
    )


def _written(proposed: ProposedPriority) -> WrittenPriority:
    need = proposed.need
    return WrittenPriority(proposed.title, proposed.why, need.kind, need.measure, need.club_class)


def _revise(
    pk: int,
    edition: int,
    priorities: Sequence[WrittenPriority],
    items: Sequence[ProposedItem],
    actor: Account,
) -> PracticePlan:
    plan = PracticePlan.objects.select_related("enrolment", "changed_by").get(pk=pk)
    attendee = lock_attendee(plan.enrolment)
    plan.refresh_from_db(fields=["edition", "changed_by"])
    refuse_unless_taught(attendee, actor)
    _refuse_overtaken(plan, edition)
    _save(plan, actor, is_edited=True)
    _write(plan, priorities, items)
    _note("revise_plan", plan, actor, [each.title for each in priorities])
    return plan


def _note(verb: str, plan: PracticePlan, actor: Account, titles: list[str]) -> None:
    note(
        actor=actor,
        verb=verb,
        subject=plan,
        enrolment=plan.enrolment_id,
        priorities=titles,
        edition=plan.edition,
    )


def _refuse_overtaken(plan: PracticePlan, edition: int) -> None:
    """The attendee's row is locked, so the edition stays what it is while we write."""
    if plan.edition != edition:
        raise PlanChangedMeanwhile(
            f"{plan.changed_by} has changed this plan meanwhile. What is typed here is kept: "
            "compare it with the plan as it stands, and save once more to put it in its place.",
            plan.edition,
        )


def _save(plan: PracticePlan, actor: Account, *, is_edited: bool) -> None:
    plan.edition += 1
    plan.is_edited = is_edited
    plan.changed_by, plan.changed_at = actor, timezone.now()
    if plan.pk is None:
        plan.save(force_insert=True)
        return
    plan.save(
        update_fields=[
            *("minutes_a_week", "days_a_week", "equipment", "hurts", "left_out"),
            *("edition", "is_edited", "changed_by", "changed_at"),
        ]
    )


def _write(
    plan: PracticePlan, priorities: Sequence[WrittenPriority], items: Sequence[ProposedItem]
) -> None:
    drills = dict(Drill.objects.values_list("slug", "pk"))
    for item in items:
        if item.drill not in drills:
            raise PlanRefused(f"There is no drill {item.drill} in the library.")
    plan.items.all().delete()
    plan.priorities.all().delete()
    rows = Priority.objects.bulk_create(
        Priority(plan=plan, position=position, **asdict(each))
        for position, each in enumerate(priorities, start=1)
    )
    PracticeItem.objects.bulk_create(
        PracticeItem(
            plan=plan,
            priority=None if item.priority is None else rows[item.priority],
            drill_id=drills[item.drill],
            week=item.week,
            position=item.position,
            days=item.days,
            minutes=item.minutes,
            count=item.count,
        )
        for item in items
    )


def _refuse_means(means: Means) -> None:
    time = means.time
    if not 10 <= time.minutes_a_week <= 1200:
        raise PlanRefused("Time to practise is 10 to 1200 minutes a week.")
    if not 1 <= time.days_a_week <= 7:
        raise PlanRefused("There are one to seven days of practice in a week.")
    unknown = sorted((means.equipment - EQUIPMENT.keys()) | (means.hurts - HURTS.keys()))
    if unknown:
        raise PlanRefused(f"There is no {unknown[0]} among the equipment and what may hurt.")


def _refuse_written(priorities: Sequence[WrittenPriority], items: Sequence[ProposedItem]) -> None:
    if len(priorities) > MOST_PRIORITIES:
        raise PlanRefused("A plan has at most three priorities.")
    for each in priorities:
        if not each.title.strip() or not each.why.strip():
            raise PlanRefused("A priority says what to work on, and why.")
        if len(each.title) > LONGEST_TITLE or len(each.why) > LONGEST_WHY:
            raise PlanRefused(
                f"A priority has a title of {LONGEST_TITLE} and a reason of {LONGEST_WHY} "
                "characters at most."
            )
    for item in items:
        wrong = _wrong_with(item, len(priorities))
        if wrong:
            raise PlanRefused(f"Week {item.week}, row {item.position}: {wrong}")


def _wrong_with(item: ProposedItem, priorities: int) -> str:
    if not 1 <= item.week <= WEEKS:
        return "the plan has six weeks."
    if not 1 <= item.minutes <= MOST_MINUTES_A_DAY or not 1 <= item.days <= 7:
        return "a drill takes 1 to 240 minutes on 1 to 7 days."
    if not item.count.strip() or len(item.count) > LONGEST_COUNT:
        return f"say how much of the drill to do, in at most {LONGEST_COUNT} characters."
    if item.priority is not None and not 0 <= item.priority < priorities:
        return "the priority that it serves is not in the plan."
    return ""
