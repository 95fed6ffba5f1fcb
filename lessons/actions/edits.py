"""Changing a timetable by hand: a copy to work on, one session at a time, each step undoable."""

from dataclasses import asdict
from datetime import datetime
from typing import Any

from django.db import IntegrityError, transaction
from django.utils import timezone

from lessons.errors import MoveRefused, NothingToUndo, PlanNotEditable, first_few
from lessons.models import Bay, Instructor, Plan, PlanEdit, Session
from lessons.planner.judging.judge import broken_rules
from lessons.planner.judging.worth import goal_values
from lessons.planner.plan import Goal
from lessons.queries.edits import objections_to_move
from lessons.queries.fit import problem_now, sessions_of
from lessons.queries.groups import Group, group_of
from lessons.queries.placements import as_placements
from lessons.queries.slots import span
from school.actions.audit import note
from school.models import Account, LeasedJob, School

# What a step may change, by the name under which it is kept.
COLUMNS = {
    "bay": "bay_id",
    "instructor": "instructor_id",
    "starts_at": "starts_at",
    "ends_at": "ends_at",
    "is_pinned": "is_pinned",
}
WORDS_LENGTH = 300
OVERTAKEN = "Somebody else changed this timetable just now. Nothing was lost; look, and try again."

Values = dict[str, Any]
Changes = dict[int, Values]


def copy_plan(*, plan: Plan, actor: Account | None) -> Plan:
    """Make a draft with the same sessions, to be changed by hand.

    If the school goes by a published timetable already, what has begun is over in the copy.

    Raises
    ------
    PlanNotEditable
        If the plan is not ready or the school is closed.
    """
    with transaction.atomic(durable=True):
        source = Plan.objects.select_related("school__programme").get(pk=plan.pk)
        _refuse_unready(source)
        copy = Plan.objects.create(
            school=source.school,
            requested_by=actor,
            origin=Plan.Origin.HAND,
            state=LeasedJob.State.DONE,
            finished_at=timezone.now(),
            based_on=source,
            kept_before=_kept_before(source),
            remake_squads=False,
            planner_version=source.planner_version,
        )
        sessions = list(source.sessions.all())
        for session in sessions:
            session.pk, session.plan = None, copy
        Session.objects.bulk_create(sessions)
        _count_goals(copy)
        note(actor=actor, verb="copy_plan", subject=copy, name=str(source))
    return copy


def move_session(
    *,
    session: Session,
    day: int,
    slot: int,
    bay: Bay,
    instructor: Instructor,
    actor: Account | None,
) -> PlanEdit:
    """Put a session in another slot, bay or hands; squads that have it together move with it.

    In such a group, all whom the session's instructor taught go to the new one.

    Raises
    ------
    PlanNotEditable
        If the timetable cannot be changed.
    MoveRefused
        With what speaks against it, or if somebody else changed the plan at the same moment.
    """
    try:
        with transaction.atomic(durable=True):
            plan = _locked(session.plan_id)
            held = plan.sessions.get(pk=session.pk)
            words = objections_to_move(held, day=day, slot=slot, bay=bay, instructor=instructor)
            if words:
                raise MoveRefused(first_few(words))
            group, names_teacher = group_of(held), held.instructor_id != instructor.pk
            was = _where(group, names_teacher)
            when = span(plan.school, day, slot, held.visit.slots)
            place = {"bay": bay.pk, "starts_at": when.starts_at, "ends_at": when.ends_at}
            changes = _moved(group, place, held.instructor_id, instructor.pk)
            if not changes:
                raise MoveRefused(f"{_what(group)} is there already.")
            before = _apply(group.sessions, changes)
            there = group_of(plan.sessions.get(pk=held.pk))
            said = f"{_what(group)} from {was} to {_where(there, names_teacher)}"
            return _step(plan, said, before, changes, actor=actor, verb="move_session")
    except IntegrityError as error:
        raise MoveRefused(OVERTAKEN) from error


def pin_session(*, session: Session, pinned: bool, actor: Account | None) -> PlanEdit | None:
    """Say that a session must stay when the plan is made anew, or need not; a group as one.

    Returns
    -------
    PlanEdit or None
        None if it was said before.

    Raises
    ------
    PlanNotEditable
        If the timetable cannot be changed.
    MoveRefused
        If somebody else changed the plan at the same moment.
    """
    try:
        with transaction.atomic(durable=True):
            plan = _locked(session.plan_id)
            group = group_of(plan.sessions.get(pk=session.pk))
            loose = [each for each in group.sessions if each.is_pinned != pinned]
            if not loose:
                return None
            changes: Changes = {each.pk: {"is_pinned": pinned} for each in loose}
            before = _apply(loose, changes)
            said = f"{_what(group)}, {_where(group, False)}, {'pinned' if pinned else 'let go'}"
            return _step(plan, said, before, changes, actor=actor, verb="pin_session")
    except IntegrityError as error:
        raise MoveRefused(OVERTAKEN) from error


def undo_edit(*, plan: Plan, actor: Account | None) -> PlanEdit:
    """Take the last step back; returns it, though it is no longer kept.

    Raises
    ------
    PlanNotEditable
        If the timetable cannot be changed.
    NothingToUndo
        If no step is left.
    MoveRefused
        If the bay or the instructor of before has been deleted since.
    """
    with transaction.atomic(durable=True):
        held = _locked(plan.pk)
        edit = held.edits.first()
        if edit is None:
            raise NothingToUndo("There is no step left to take back.")
        changes = {int(pk): _read(values) for pk, values in edit.before.items()}
        _refuse_gone(changes)
        _apply(held.sessions.filter(pk__in=changes), changes)
        if any(values.keys() != {"is_pinned"} for values in changes.values()):
            _count_goals(held)
        note(actor=actor, verb="undo_edit", subject=held, what=edit.words)
        edit.delete()
    return edit


# Whether it may be changed


def _locked(pk: int) -> Plan:
    """The plan, which nobody else changes until this transaction ends."""
    plan = Plan.objects.select_for_update().get(pk=pk)
    _refuse_unready(plan)
    if plan.is_published:
        raise PlanNotEditable("This timetable is published. Copy it, and change the copy.")
    if plan.published_at is not None:
        raise PlanNotEditable("This timetable was published once. Copy it, and change the copy.")
    return plan


def _refuse_unready(plan: Plan) -> None:
    if plan.school.state == School.State.CLOSED:
        raise PlanNotEditable("The school is closed; its timetable stays as it was.")
    if plan.state != LeasedJob.State.DONE:
        raise PlanNotEditable("This timetable is not ready.")


def _refuse_gone(changes: Changes) -> None:
    """No session keeps a bay or an instructor from being deleted that it has left."""
    for name, rows in (("bay", Bay.objects), ("instructor", Instructor.objects)):
        named = {values[name] for values in changes.values() if name in values}
        if rows.filter(pk__in=named).count() < len(named):
            raise MoveRefused(f"The {name} it had before is gone. Move it where it can be.")


def _kept_before(source: Plan) -> datetime | None:
    now = timezone.now()
    gone_by = Session.objects.filter(
        plan__school=source.school, plan__is_published=True, starts_at__lt=now
    )
    return now if gone_by.exists() else source.kept_before


# Steps


def _moved(group: Group, place: Values, taught_by: int, teaches: int) -> Changes:
    """What the move changes, session by session."""
    changes: Changes = {}
    for each in group.sessions:
        person = teaches if each.instructor_id == taught_by else each.instructor_id
        wanted = {**place, "instructor": person}
        other = {
            name: value for name, value in wanted.items() if getattr(each, COLUMNS[name]) != value
        }
        if other:
            changes[each.pk] = other
    return changes


def _apply(sessions: Any, changes: Changes) -> Changes:
    """Write the changes; returns what stood there before."""
    before: Changes = {}
    for session in sessions:
        values = changes.get(session.pk, {})
        before[session.pk] = {name: getattr(session, COLUMNS[name]) for name in values}
        for name, value in values.items():
            setattr(session, COLUMNS[name], value)
        if values:
            session.save(update_fields=[COLUMNS[name] for name in values])
    return before


def _step(
    plan: Plan, said: str, before: Changes, after: Changes, *, actor: Account | None, verb: str
) -> PlanEdit:
    """Keep the step. Two that were made at once get one number, and the second is refused."""
    last = plan.edits.first()
    edit = PlanEdit.objects.create(
        plan=plan,
        number=last.number + 1 if last else 1,
        words=said[:WORDS_LENGTH],
        before=_written(before),
        after=_written(after),
        made_by=actor,
    )
    if verb == "move_session":
        _count_goals(plan)
    note(actor=actor, verb=verb, subject=plan, what=edit.words)
    return edit


def _count_goals(plan: Plan) -> None:
    """Count what the plan is worth now; nothing, while it breaks a rule.

    Nobody looked for the best: only a goal that is at zero is proven.
    """
    sessions = list(sessions_of(plan))
    problem = problem_now(plan, sessions)
    placed = as_placements(plan.school, sessions)
    values = {} if broken_rules(problem, placed) else goal_values(problem, placed)
    goals = [Goal(name, value, bound=0, proven=value == 0) for name, value in values.items()]
    plan.origin, plan.goals = Plan.Origin.HAND, [asdict(goal) for goal in goals]
    plan.save(update_fields=["origin", "goals"])


def _written(changes: Changes) -> dict[str, Values]:
    return {
        str(pk): {
            name: value.isoformat() if isinstance(value, datetime) else value
            for name, value in values.items()
        }
        for pk, values in changes.items()
    }


def _read(values: Values) -> Values:
    return {
        name: datetime.fromisoformat(value) if name.endswith("_at") else value
        for name, value in values.items()
    }


# Words


def _what(group: Group) -> str:
    """“Squad 2: Putting”, “Squads 1, 2: Talk”."""
    return f"{group.squads}: {group.first.visit.name}"


def _where(group: Group, with_instructors: bool) -> str:
    """“Tue 10:30, Green 1”, and who teaches there if that is of interest."""
    starts_at = group.when.starts_at.astimezone(group.first.plan.school.zone)
    people = f", {group.instructors}" if with_instructors else ""
    return f"{starts_at:%a %H:%M}, {group.first.bay.name}{people}"
