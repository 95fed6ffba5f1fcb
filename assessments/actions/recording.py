"""What must hold before anything is recorded of an attendee. Each joins the transaction."""

from __future__ import annotations

from assessments.errors import NotTaughtHere
from assessments.queries.stills import may_be_filmed
from lessons.access import schools_to_teach
from school.errors import ConsentMissing, NotEnrolled
from school.models import Account, Enrolment


def lock_attendee(enrolment: Enrolment) -> Enrolment:
    """The enrolment as it is now; others who record for it wait until we have finished."""
    return (
        Enrolment.objects.select_for_update(of=("self",))
        .select_related("golfer", "school")
        .get(pk=enrolment.pk)
    )


def refuse_unless_taught(attendee: Enrolment, account: Account) -> None:
    """Raises NotEnrolled for somebody without a seat, NotTaughtHere for another's school."""
    if not attendee.is_seated:
        raise NotEnrolled(f"{attendee.golfer} has no seat in {attendee.school} any more.")
    if not schools_to_teach(account).filter(pk=attendee.school_id).exists():
        raise NotTaughtHere(f"{account} does not teach in {attendee.school}.")


def refuse_unless_filmed(attendee: Enrolment) -> None:
    """Raises ConsentMissing unless somebody agreed to filming, and still does."""
    if not may_be_filmed(attendee):
        raise ConsentMissing(filming_words(attendee))


def filming_words(attendee: Enrolment) -> str:
    """Who has to agree before the attendee is filmed."""
    golfer = attendee.golfer
    who = str(golfer)
    if golfer.is_minor_on(attendee.school.starts_on):
        who = golfer.guardian_name or "the guardian"
        who = f"{who}, as the guardian of {golfer},"
    return f"Do not film: {who} has not agreed to filming. The front desk can record it."
