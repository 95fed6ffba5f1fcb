"""The only way a view reaches a row. Hidden and absent give the same 404."""

from django.db.models import Q, QuerySet
from django.http import Http404
from django.shortcuts import get_object_or_404

from school.actions.offers import enrolment_of_offer
from school.guards import is_front_desk, is_owner
from school.models import (
    Account,
    BankLine,
    Enrolment,
    EnrolmentDraft,
    Golfer,
    LedgerEntry,
    Message,
    PayEntry,
    School,
)


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


def draft_of_link(token: str) -> EnrolmentDraft:
    """The draft of whoever has its link; the token is all the proof there is."""
    return get_object_or_404(
        EnrolmentDraft.objects.select_related(
            "school__lead_instructor__account", "enrolment__golfer", "enrolment__school"
        ),
        token=token,
    )


def enrolment_of_link(token: str) -> Enrolment:
    """The enrolment that the link of an offer is about."""
    enrolment = enrolment_of_offer(token)
    if enrolment is None:
        raise Http404
    return enrolment


def golfer_for_desk(account: Account, pk: int) -> Golfer:
    """Any golfer on file, also one who was merged into another."""
    golfers = Golfer.objects.all() if is_front_desk(account) else Golfer.objects.none()
    return get_object_or_404(golfers.select_related("account__staff"), pk=pk)


def _own_or_desk(account: Account) -> Q:
    """Whose papers the account may have: the desk everyone's, a golfer their own."""
    return Q() if is_front_desk(account) else Q(golfer__account=account)


def enrolment_for_statement(account: Account, pk: int) -> Enrolment:
    found = Enrolment.objects.filter(_own_or_desk(account)).select_related("school", "golfer")
    return get_object_or_404(found, pk=pk)


def payment_for_receipt(account: Account, pk: int) -> LedgerEntry:
    """A payment, also one that was reversed; its receipt then says so."""
    enrolments = Enrolment.objects.filter(_own_or_desk(account))
    return get_object_or_404(
        LedgerEntry.objects.filter(
            kind=LedgerEntry.Kind.PAYMENT, enrolment__in=enrolments
        ).select_related("enrolment__school", "enrolment__golfer"),
        pk=pk,
    )


def bank_line_for_desk(account: Account, pk: int) -> BankLine:
    lines = BankLine.objects.all() if is_front_desk(account) else BankLine.objects.none()
    return get_object_or_404(lines, pk=pk)


def pay_entry_for_owner(account: Account, pk: int) -> PayEntry:
    entries = PayEntry.objects.all() if is_owner(account) else PayEntry.objects.none()
    return get_object_or_404(entries.select_related("school", "staff__account"), pk=pk)


def message_for_desk(account: Account, pk: int) -> Message:
    """Any message, also one about no enrolment."""
    sent = Message.objects.all() if is_front_desk(account) else Message.objects.none()
    return get_object_or_404(sent.select_related("enrolment__golfer", "enrolment__school"), pk=pk)
