"""The only way a view reaches a row. Hidden and absent give the same 404."""

from django.db.models import QuerySet
from django.shortcuts import get_object_or_404

from school.guards import is_front_desk, is_owner
from school.models import Account, Enrolment, LedgerEntry, School


def schools_for_desk(account: Account) -> QuerySet[School]:
    return School.objects.all() if is_front_desk(account) else School.objects.none()


def school_for_desk(account: Account, pk: int) -> School:
    return get_object_or_404(
        schools_for_desk(account).select_related("programme", "lead_instructor__account"), pk=pk
    )


def enrolment_for_desk(account: Account, pk: int) -> Enrolment:
    return get_object_or_404(
        Enrolment.objects.filter(school__in=schools_for_desk(account)).select_related(
            "school__programme", "golfer"
        ),
        pk=pk,
    )


def ledger_entry_for_desk(account: Account, pk: int) -> LedgerEntry:
    return get_object_or_404(
        LedgerEntry.objects.filter(enrolment__school__in=schools_for_desk(account)), pk=pk
    )


def schools_for_owner(account: Account) -> QuerySet[School]:
    return School.objects.all() if is_owner(account) else School.objects.none()


def enrolments_for_golfer(account: Account) -> QuerySet[Enrolment]:
    """The signed-in golfer's own enrolments, cancelled ones included."""
    return Enrolment.objects.filter(golfer__account=account).select_related(
        "school__programme", "golfer"
    )


def enrolment_for_golfer(account: Account, pk: int) -> Enrolment:
    return get_object_or_404(enrolments_for_golfer(account), pk=pk)
