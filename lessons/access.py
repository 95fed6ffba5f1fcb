"""The only way a page of teaching reaches a row. Hidden and absent give the same 404."""

from django.db.models import Q, QuerySet
from django.shortcuts import get_object_or_404

from lessons.models import Instructor, Plan, Session
from school.access import schools_for_desk
from school.guards import is_front_desk
from school.models import Account, Enrolment, School


def schools_to_teach(account: Account) -> QuerySet[School]:
    """All for the desk; an instructor's own: those they lead or have had a session in.

    A session counts that was published once, even if a later timetable gave it away: what its
    instructor recorded while out of reach of the network must still arrive.
    """
    return School.objects.all() if is_front_desk(account) else schools_taught(account)


def schools_taught(account: Account) -> QuerySet[School]:
    """Those the account leads or has had a session in, whatever else it does in the house."""
    taught = _published().filter(instructor__staff__account=account).values("plan__school")
    return School.objects.filter(Q(pk__in=taught) | Q(lead_instructor__account=account))


def teachers_of(school: School) -> QuerySet[Account]:
    """Who leads the school or ever had a session in it, and still teaches, by name."""
    taught = _published().filter(plan__school=school).values("instructor__staff")
    theirs = Q(staff__in=taught) | Q(staff=school.lead_instructor_id)
    teaching = Account.objects.filter(theirs, staff__teaches=True, is_active=True)
    return teaching.order_by("full_name", "pk")


def school_to_teach(account: Account, pk: int) -> School:
    return get_object_or_404(schools_to_teach(account).select_related("programme"), pk=pk)


def attendees_to_teach(account: Account) -> QuerySet[Enrolment]:
    """Those seated in the schools that the account may teach in."""
    return Enrolment.objects.filter(
        school__in=schools_to_teach(account), state=Enrolment.State.SEATED
    ).select_related("golfer", "school__programme")


def sessions_to_teach(account: Account) -> QuerySet[Session]:
    """Every session of those schools that was ever published."""
    return (
        _published()
        .filter(plan__school__in=schools_to_teach(account))
        .select_related("plan__school", "visit__station", "squad", "bay")
        .select_related("instructor__staff__account")
    )


def session_to_teach(account: Account, pk: int) -> Session:
    return get_object_or_404(sessions_to_teach(account), pk=pk)


def plan_for_desk(account: Account, pk: int) -> Plan:
    return get_object_or_404(
        Plan.objects.filter(school__in=schools_for_desk(account)).select_related(
            "school__programme"
        ),
        pk=pk,
    )


def instructor_of(account: Account) -> Instructor | None:
    """The account as a teacher; None until the desk has said what they are qualified for."""
    return Instructor.objects.filter(staff__account=account, staff__teaches=True).first()


def _published() -> QuerySet[Session]:
    return Session.objects.filter(plan__published_at__isnull=False)
