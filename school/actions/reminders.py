"""Sending the reminders that are due: a duty of the sweeper."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta

from django.db import transaction
from django.utils import timezone

from school.actions.messages import send
from school.models import Enrolment, MessageKind, School
from school.queries.messages import seated_before, settled_keys
from school.queries.missing import missing_by_enrolment
from school.reminders import Dates, Reminder, due_reminders


def remind(now: datetime | None = None) -> int:
    """Send each reminder that is due and was not sent; how many.

    Each is a transaction of its own: one that fails keeps no other back. One query if none is
    due, and two to five more for each that is.
    """
    now = now or timezone.now()
    # The day has not begun everywhere, or is over elsewhere: the dates decide, not this filter.
    schools = School.objects.filter(
        state=School.State.OPEN, starts_on__gte=(now - timedelta(days=1)).date()
    )
    return sum(
        _remind(school, reminder)
        for school in schools
        for reminder in due_reminders(_dates(school), now)
    )


def _dates(school: School) -> Dates:
    balance_due = school.starts_on - timedelta(days=school.balance_due_days)
    return Dates(opens=school.slot_instant(0, 0), balance_due=balance_due)


def _remind(school: School, reminder: Reminder) -> int:
    rows = {_key(row, reminder): row for row in seated_before(school, reminder.since)}
    known = settled_keys(list(rows))
    fresh = {row: key for key, row in rows.items() if key not in known}
    sent = 0
    for row, context in _concerned(list(fresh), reminder):
        with transaction.atomic(durable=True):
            sent += bool(
                send(
                    kind=reminder.kind,
                    to=row.golfer.email,
                    once_key=fresh[row],
                    context=context,
                    enrolment=row,
                )
            )
    return sent


def _key(enrolment: Enrolment, reminder: Reminder) -> str:
    return ":".join(filter(None, (reminder.kind, str(enrolment.pk), reminder.name)))


def _concerned(
    rows: list[Enrolment], reminder: Reminder
) -> Iterator[tuple[Enrolment, dict[str, object]]]:
    """Those of the attendees whom the reminder is about, with what it must say besides."""
    missing = {}
    if rows and reminder.kind == MessageKind.CONSENT_MISSING:
        missing = missing_by_enrolment(rows)
    for row in rows:
        if reminder.kind == MessageKind.CONSENT_MISSING:
            consents = [i.words for i in missing.get(row.pk, ()) if i.what == "consents"]
            if consents:
                yield row, {"consents": ", ".join(consents)}
        elif reminder.kind == MessageKind.BALANCE_DUE:
            if row.balance() > 0:
                yield row, {}
        elif reminder.kind != MessageKind.WHAT_TO_BRING or row.school.to_bring:
            yield row, {}
