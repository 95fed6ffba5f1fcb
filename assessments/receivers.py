"""What this app does when the school app says something happened."""

from typing import Any

from django.dispatch import receiver

from assessments.actions.reports import queue_reports
from assessments.queries.entries import recorded_by_attendee
from assessments.stations import registry
from lessons.models import Session
from lessons.signals import anywhere_asked, attendees_shown
from school.models import Account, School
from school.signals import school_closed


@receiver(school_closed, dispatch_uid="assessments.queue_reports")
def queue_reports_of_closed_school(
    sender: object, *, school: School, actor: Account | None, **kwargs: Any
) -> None:
    queue_reports(school=school, actor=actor)


@receiver(attendees_shown, dispatch_uid="assessments.count_entries")
def count_entries(sender: object, *, session: Session, **kwargs: Any) -> dict[int, int]:
    return recorded_by_attendee(session)


@receiver(anywhere_asked, dispatch_uid="assessments.name_what_is_recorded_anywhere")
def name_what_is_recorded_anywhere(sender: object, **kwargs: Any) -> list[tuple[str, str]]:
    return [(kind, station.title) for kind, station in registry().items() if station.anywhere]
