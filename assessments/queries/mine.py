"""What a golfer sees of their own schools: dates, where to be next, the report."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import F
from django.utils import timezone

from assessments.models import Report
from lessons.models import Session
from school.access import enrolments_for_golfer
from school.models import Account, Enrolment


@dataclass(frozen=True)
class MySchool:
    """One enrolment. `ready` is the newest report to read; `coming` is still being made."""

    enrolment: Enrolment
    next_session: Session | None
    later_sessions: int
    ready: Report | None
    coming: Report | None


def my_schools(account: Account) -> list[MySchool]:
    """The golfer's enrolments that were not cancelled, 3 queries.

    Those with something to do or to read come first, and of these the newest school.
    """
    enrolments = list(
        enrolments_for_golfer(account)
        .exclude(state=Enrolment.State.CANCELLED)
        .order_by("-school__starts_on", "-pk")
    )
    sessions = _sessions_to_come(enrolments)
    reports = _reports(enrolments)
    mine = [
        _my_school(one, sessions.get(one.pk, []), reports.get(one.pk, [])) for one in enrolments
    ]
    return sorted(mine, key=lambda one: not (one.next_session or one.ready or one.coming))


def _my_school(enrolment: Enrolment, sessions: list[Session], reports: list[Report]) -> MySchool:
    done = [report for report in reports if report.state == Report.State.DONE]
    coming = [report for report in reports if report.is_current and not report.is_finished]
    return MySchool(
        enrolment,
        next_session=sessions[0] if sessions else None,
        later_sessions=max(0, len(sessions) - 1),
        ready=done[0] if done else None,
        coming=coming[0] if coming else None,
    )


def _sessions_to_come(enrolments: Iterable[Enrolment]) -> dict[int, list[Session]]:
    """Published sessions that have not ended, by enrolment, soonest first."""
    found: defaultdict[int, list[Session]] = defaultdict(list)
    sessions = (
        Session.objects.filter(
            plan__is_published=True,
            squad__members__enrolment__in=enrolments,
            ends_at__gte=timezone.now(),
        )
        .select_related("visit", "bay__place", "instructor__staff__account")
        .annotate(of_enrolment=F("squad__members__enrolment"))
        .order_by("starts_at")
    )
    for session in sessions:
        found[session.of_enrolment].append(session)
    return found


def _reports(enrolments: Iterable[Enrolment]) -> dict[int, list[Report]]:
    """Reports by enrolment, newest version first."""
    found: defaultdict[int, list[Report]] = defaultdict(list)
    for report in Report.objects.filter(enrolment__in=enrolments).order_by("-version"):
        found[report.enrolment_id].append(report)
    return found
