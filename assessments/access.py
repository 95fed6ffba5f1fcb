"""The only way a page of stills, entries and reports reaches a row. Hidden and absent: 404."""

from __future__ import annotations

from dataclasses import dataclass
from uuid import UUID

from django.db.models import Q, QuerySet
from django.http import Http404
from django.shortcuts import get_object_or_404

from assessments.models import Bundle, Entry, Preview, Report, ReportLink, Still, Study
from assessments.queries.wall import agrees_to
from assessments.stations import registry
from assessments.stations.base import StationModule
from lessons.access import (
    attendees_to_teach,
    schools_taught,
    schools_to_teach,
    session_to_teach,
)
from lessons.models import Session
from school.access import schools_for_desk
from school.guards import is_front_desk, is_instructor
from school.models import Account, ConsentKind, Enrolment, School


def may_see(account: Account) -> Q:
    """Rows of an enrolment that the account teaches, runs, or is the golfer of."""
    return Q(enrolment__school__in=schools_to_teach(account)) | Q(
        enrolment__golfer__account=account
    )


def stills_to_see(account: Account) -> QuerySet[Still]:
    return Still.objects.filter(may_see(account)).select_related("enrolment__golfer")


def still_to_see(account: Account, pk: UUID) -> Still:
    return get_object_or_404(stills_to_see(account), pk=pk)


def still_to_mark(account: Account, pk: UUID) -> Still:
    """A still of somebody seated in a school that the account teaches in."""
    return get_object_or_404(
        Still.objects.filter(enrolment__in=attendees_to_teach(account)).select_related(
            "enrolment__golfer", "enrolment__school"
        ),
        pk=pk,
    )


def _shown_in_class(account: Account) -> Q:
    return Q(agrees_to(ConsentKind.SHOWN_IN_CLASS), enrolment__in=attendees_to_teach(account))


def still_on_wall(account: Account, pk: UUID) -> Still:
    """A still that hangs on a wall of the account's, with whose agreement ends its being seen.

    Of the account's own schools those that may be shown in class; for anybody who teaches or runs
    a school, those of the reference set.
    """
    shown = _shown_in_class(account)
    if is_instructor(account) or is_front_desk(account):
        shown |= Q(agrees_to(ConsentKind.REFERENCE), as_reference__isnull=False)
    return get_object_or_404(Still.objects.filter(shown), pk=pk)


def still_to_export(account: Account, pk: UUID) -> Still:
    """A still of the account's own schools that may be shown in class.

    The reference set may be shown to others, which is less than to be handed out.
    """
    return get_object_or_404(Still.objects.filter(_shown_in_class(account)), pk=pk)


def still_to_keep(account: Account, pk: UUID) -> Still:
    """A still of the account's own schools, to be put in the reference set or taken out."""
    return get_object_or_404(
        Still.objects.filter(enrolment__school__in=schools_to_teach(account)).select_related(
            "enrolment__golfer"
        ),
        pk=pk,
    )


def entry_to_see(account: Account, pk: UUID) -> Entry:
    return get_object_or_404(
        Entry.objects.filter(may_see(account))
        .select_related("enrolment__golfer", "enrolment__school", "still", "recorded_by")
        .select_related("session__visit__station", "superseded_by__recorded_by")
        .prefetch_related("measures"),
        pk=pk,
    )


@dataclass(frozen=True)
class StationPlace:
    """One attendee at the station of one session."""

    session: Session
    enrolment: Enrolment
    station: StationModule

    @property
    def phase(self) -> str:
        return self.session.visit.phase

    @property
    def is_minor(self) -> bool:
        return self.enrolment.golfer.is_minor_on(self.enrolment.school.starts_on)


def station_to_record(
    account: Account, session_pk: int, enrolment_pk: int, kind: str
) -> StationPlace:
    """A session that records `kind`, as any does what is recorded anywhere, and who is seated.

    Not only its squad: people stand in, and squads are made anew.
    """
    session = session_to_teach(account, session_pk)
    station = registry().get(kind)
    if station is None:
        raise Http404
    if not station.anywhere and session.visit.station.entry_kind != kind:
        raise Http404
    seated = attendees_to_teach(account).filter(school=session.plan.school_id)
    return StationPlace(session, get_object_or_404(seated, pk=enrolment_pk), station)


def attendee_to_teach(account: Account, school_pk: int, enrolment_pk: int) -> Enrolment:
    """Somebody seated in a school that the account teaches in."""
    seated = attendees_to_teach(account).filter(school=school_pk)
    return get_object_or_404(seated, pk=enrolment_pk)


def may_record(account: Account, enrolment: Enrolment) -> bool:
    return is_instructor(account) and attendees_to_teach(account).filter(pk=enrolment.pk).exists()


def report_for_desk(account: Account, pk: int) -> Report:
    return get_object_or_404(
        Report.objects.filter(enrolment__school__in=schools_for_desk(account)).select_related(
            "enrolment__golfer", "enrolment__school"
        ),
        pk=pk,
    )


def report_to_read(account: Account, pk: int) -> Report:
    """A finished report, for those who teach or run the school and for its golfer."""
    return get_object_or_404(
        Report.objects.filter(may_see(account), state=Report.State.DONE).select_related(
            "enrolment__golfer", "enrolment__school"
        ),
        pk=pk,
    )


def attendee_for_desk(account: Account, school_pk: int, enrolment_pk: int) -> Enrolment:
    """Anybody enrolled in that school, for the front desk."""
    theirs = Enrolment.objects.filter(school__in=schools_for_desk(account), school=school_pk)
    return get_object_or_404(theirs.select_related("golfer", "school"), pk=enrolment_pk)


def attendee_to_sign(account: Account, school_pk: int, enrolment_pk: int) -> Enrolment:
    """Somebody seated in a school that the account taught in, whose report it may sign."""
    seated = _attendees_taught(account).filter(school=school_pk)
    return get_object_or_404(seated, pk=enrolment_pk)


def _attendees_taught(account: Account) -> QuerySet[Enrolment]:
    """Not those of every school, though the account be at the front desk too."""
    return attendees_to_teach(account).filter(school__in=schools_taught(account))


def may_sign(account: Account, school: School) -> bool:
    return is_instructor(account) and schools_taught(account).filter(pk=school.pk).exists()


def preview_to_see(account: Account, pk: int) -> Preview:
    """The finished pages of somebody whose report the account may sign."""
    return get_object_or_404(
        Preview.objects.filter(
            enrolment__in=_attendees_taught(account), state=Preview.State.DONE
        ).select_related("enrolment__golfer", "enrolment__school"),
        pk=pk,
    )


def own_report(account: Account, pk: int) -> Report:
    """A finished report of the account's own."""
    return get_object_or_404(
        Report.objects.filter(
            enrolment__golfer__account=account, state=Report.State.DONE
        ).select_related("enrolment__golfer", "enrolment__school"),
        pk=pk,
    )


def report_link_for_desk(account: Account, pk: UUID) -> ReportLink:
    return get_object_or_404(
        ReportLink.objects.filter(
            report__enrolment__school__in=schools_for_desk(account)
        ).select_related("report__enrolment__golfer"),
        pk=pk,
    )


def bundle_for_desk(account: Account, pk: int) -> Bundle:
    """A bundle that is made and has not been replaced."""
    return get_object_or_404(
        Bundle.objects.filter(
            school__in=schools_for_desk(account), state=Bundle.State.DONE, is_current=True
        ).select_related("school"),
        pk=pk,
    )


def study_to_see(pk: int) -> Study:
    """Any study, for all who teach or run schools: it shows neither names nor pictures."""
    return get_object_or_404(Study.objects.select_related("place", "opened_by"), pk=pk)
