"""Telling people of their timetable: all when the first is published, then whose day changed."""

from collections.abc import Iterable

from django.urls import reverse

from lessons.models import Instructor, Plan
from lessons.queries.comparison import Change, Day, comparison
from school.actions.messages import send
from school.actions.seats import tell
from school.models import Enrolment, MessageKind


def tell_whose_day_changed(plan: Plan, before: Plan | None) -> None:
    """Write to golfers and instructors about the plan just published in place of the one before.

    Call inside the transaction that publishes it.
    """
    differs = comparison(before, plan)
    kind = MessageKind.TIMETABLE_CHANGED if before else MessageKind.TIMETABLE_READY
    # A plan may be published again after another: each time is an occasion of its own.
    occasion = f"{plan.pk}:{plan.published_at:%s}"
    _tell_golfers(differs.golfers, kind, occasion)
    _tell_instructors(plan, differs.instructors, kind, occasion)


def _tell_golfers(days: Iterable[Day], kind: MessageKind, occasion: str) -> None:
    changes = {day.pk: day.changes for day in days}
    enrolments = Enrolment.objects.select_related("golfer", "school").filter(pk__in=changes)
    for enrolment in enrolments.order_by("pk"):
        words = _in_lines(changes[enrolment.pk])
        tell(enrolment, kind, about=occasion, sessions=words, link=reverse("mine"))


def _tell_instructors(plan: Plan, days: Iterable[Day], kind: MessageKind, occasion: str) -> None:
    changes = {day.pk: day.changes for day in days}
    people = Instructor.objects.filter(pk__in=changes, staff__account__is_active=True)
    for person in people.select_related("staff__account").order_by("pk"):
        send(
            kind=kind,
            to=person.staff.account.email,
            once_key=f"{kind}:instructor:{person.pk}:{occasion}",
            context={
                "golfer": str(person),
                "school": plan.school.name,
                "first_day": plan.school.starts_on,
                "last_day": plan.school.ends_on,
                "sessions": _in_lines(changes[person.pk]),
                "link": reverse("my_day_on", args=[plan.school.starts_on]),
            },
        )


def _in_lines(changes: Iterable[Change]) -> str:
    return "\n".join(_line(change) for change in changes)


def _line(change: Change) -> str:
    if change.was and change.now:
        return f"{change.now}\n  instead of {change.was}"
    return change.now or f"No more: {change.was}"
