"""What is said after something was recorded."""

from django.contrib import messages
from django.http import HttpRequest

from assessments.models import Entry
from assessments.stations import registry
from school.models import School


def say_recorded(request: HttpRequest, entry: Entry) -> None:
    title = registry()[entry.kind].title
    golfer, phase = entry.enrolment.golfer, entry.get_phase_display()
    messages.success(request, f"{title} of {golfer}, {phase}, is recorded.")
    warn_if_closed(request, entry)


def warn_if_closed(request: HttpRequest, entry: Entry) -> None:
    if entry.enrolment.school.state == School.State.CLOSED:
        messages.warning(
            request,
            "The school is closed and its reports were made without this. "
            "Ask the front desk to make the report again.",
        )
