"""Enrolling by oneself: a draft from the first page to the seat.

What was typed is kept page by page under a token that only its owner has. The last step is one
transaction: the golfer, the place, each consent and the draft's end are there together or not
at all, and a draft that has ended is never enrolled again.
"""

from collections.abc import Mapping
from dataclasses import asdict, replace
from datetime import timedelta
from secrets import token_urlsafe
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from school.actions.audit import note
from school.actions.enrolment import join
from school.actions.golfers import write_golfer
from school.actions.messages import send
from school.actions.retry import in_a_fresh_transaction
from school.actions.seats import lock_school
from school.details import NEEDED_TO_JOIN, Agreement, GolferDetails, Wishes
from school.errors import (
    AlreadyEnrolled,
    AskTheDesk,
    ConsentMissing,
    DraftIsOver,
    GuardianNeeded,
    SchoolIsFull,
    SchoolIsNotOpen,
    TooMuchMail,
)
from school.models import Enrolment, EnrolmentDraft, Golfer, Message, MessageKind, School
from school.queries.consents import latest_texts
from school.queries.golfers import details_of, known_golfers
from school.queries.public import is_taking

KEPT_DAYS = 30
MOST_TYPED = 4000
LINKS_A_DAY = 3


def start_draft(*, school: School, answers: Mapping[str, str]) -> EnrolmentDraft:
    """Keep the first page. Raises SchoolIsNotOpen."""
    with transaction.atomic(durable=True):
        _refuse_unless_taking(school)
        return EnrolmentDraft.objects.create(
            token=token_urlsafe(32), school=school, answers={"you": _cut(answers)}
        )


def save_page(*, draft: EnrolmentDraft, page: str, answers: Mapping[str, str]) -> EnrolmentDraft:
    """Keep a page as it was typed, right or wrong. Raises DraftIsOver once it was sent."""
    with transaction.atomic(durable=True):
        fresh = EnrolmentDraft.objects.select_for_update().get(pk=draft.pk)
        if fresh.enrolment_id is not None:
            raise DraftIsOver("This was sent already; it stands as it was sent.")
        fresh.answers = {**fresh.answers, page: _cut(answers)}
        fresh.changed_at = timezone.now()
        fresh.save(update_fields=["answers", "changed_at"])
        return fresh


def mail_resume_link(*, draft: EnrolmentDraft, to: str, name: str, link: str) -> None:
    """Send the link of the draft to the address typed in it.

    Raises TooMuchMail once an address got three such links within a day: anybody can type
    anybody's address.
    """
    with transaction.atomic(durable=True):
        since = timezone.now() - timedelta(days=1)
        sent = Message.objects.filter(kind=MessageKind.RESUME, to=to.lower(), queued_at__gt=since)
        count = sent.count()
        if count >= LINKS_A_DAY:
            raise TooMuchMail(
                f"{count} links went to {to} within a day. Copy the link from this page instead."
            )
        send(
            kind=MessageKind.RESUME,
            to=to,
            once_key=f"resume:{draft.pk}:{timezone.now():%Y-%m-%d}:{count}",
            context={"golfer": name, "school": draft.school.name, "link": link},
        )


def finish_draft(
    *,
    draft: EnrolmentDraft,
    details: GolferDetails,
    wishes: Wishes,
    agreement: Agreement,
    versions: Mapping[str, int],
    may_wait: bool,
) -> Enrolment:
    """Enrol whom the draft is about; a draft sent before gives the same enrolment again.

    `versions` are those of the consent texts that were read. `may_wait` says that a place on the
    waiting list will do.

    Raises SchoolIsNotOpen, SchoolIsFull unless `may_wait`, ConsentMissing without a needed
    consent or when its words have changed, GuardianNeeded, ValidationError for impossible
    details, and AskTheDesk for what only somebody who may see the file can sort out.
    """

    def body() -> Enrolment:
        fresh = EnrolmentDraft.objects.select_for_update().get(pk=draft.pk)
        if fresh.enrolment is not None:
            return fresh.enrolment
        school = lock_school(fresh.school)
        _refuse_unless_taking(school)
        _refuse_unread(agreement, versions)
        enrolment = _join_unvouched(school, details, agreement)
        for name, value in asdict(wishes).items():
            setattr(enrolment, name, value)
        enrolment.save(update_fields=list(asdict(wishes)))
        if not enrolment.is_seated and not may_wait:
            raise SchoolIsFull(
                "The last seat was taken while you were typing. Nothing you wrote is lost: "
                "you can join the waiting list instead."
            )
        fresh.enrolment, fresh.changed_at = enrolment, timezone.now()
        fresh.save(update_fields=["enrolment", "changed_at"])
        return enrolment

    try:
        return in_a_fresh_transaction(body)
    except AskTheDesk as refused:
        _leave_a_trace(draft, refused)
        raise


def clear_old_drafts() -> int:
    """Forget what was typed more than 30 days ago, sent or not; how many drafts went.

    What was sent lives on in the enrolment, and what the file says otherwise in the trail.
    """
    old = EnrolmentDraft.objects.filter(changed_at__lt=timezone.now() - timedelta(days=KEPT_DAYS))
    if not old.exists():
        return 0  # asked every few seconds, it must not queue for the write lock
    with transaction.atomic(durable=True):
        return old.delete()[0]


def is_too_old(draft: EnrolmentDraft) -> bool:
    return timezone.now() - draft.changed_at > timedelta(days=KEPT_DAYS)


def _join_unvouched(school: School, details: GolferDetails, agreement: Agreement) -> Enrolment:
    """Put whom the details mean on the list, without telling a stranger what is on file."""
    golfer, was_known = _unvouched_golfer(details, school)
    try:
        return join(school, golfer, agreement, None)
    except (AlreadyEnrolled, GuardianNeeded) as refused:
        if was_known:
            raise AskTheDesk.without_saying_why() from refused
        raise


def _unvouched_golfer(details: GolferDetails, school: School) -> tuple[Golfer, bool]:
    """The golfer of this e-mail and name, or a new one; whether they were on file.

    Nobody vouches for the words of a public page: they fill what is empty on file and replace
    nothing. What they say otherwise goes to the trail for the desk. A birth date and a name are
    known to too many to stand for somebody.
    """
    known = known_golfers([details])
    by_email = [key for key in details.known_by() if key[0] == "e-mail"]
    golfer = next((known[key] for key in by_email if key in known), None)
    if golfer is None:
        return write_golfer(Golfer(), details, None), False
    on_file = details_of(golfer)
    if golfer.birth_date and golfer.birth_date != details.birth_date:
        typed = Golfer(birth_date=details.birth_date)
        if golfer.is_minor_on(school.starts_on) != typed.is_minor_on(school.starts_on):
            raise AskTheDesk.without_saying_why()
    try:
        filled = replace(on_file.filled_over(details), full_name=on_file.full_name)
        golfer = write_golfer(golfer, filled, None)
    except (GuardianNeeded, ValidationError) as refused:
        raise AskTheDesk.without_saying_why() from refused
    otherwise = _said_otherwise(details, details_of(golfer))
    if otherwise:
        note(actor=None, verb="say_otherwise", subject=golfer, typed=otherwise)
    return golfer, True


def _said_otherwise(typed: GolferDetails, on_file: GolferDetails) -> dict[str, str]:
    kept = asdict(on_file)
    return {
        name: str(value)
        for name, value in asdict(typed).items()
        if value not in ("", None) and str(value).casefold() != str(kept[name]).casefold()
    }


def _refuse_unless_taking(school: School) -> None:
    if not is_taking(school):
        raise SchoolIsNotOpen(f"{school} takes nobody now. Ask the front desk, or see the others.")


def _refuse_unread(agreement: Agreement, versions: Mapping[str, int]) -> None:
    if not agreement.kinds >= NEEDED_TO_JOIN:
        raise ConsentMissing("Without the terms and the assumption of risk nobody can join.")
    now = {text.kind: text.version for text in latest_texts()}
    if any(now.get(kind) != versions.get(kind) for kind in agreement.kinds):
        raise ConsentMissing("The words of a consent have changed. Read them again on page 3.")


def _leave_a_trace(draft: EnrolmentDraft, refused: AskTheDesk) -> None:
    """Tell the desk, through the trail, what the page could not say."""
    with transaction.atomic(durable=True):
        why = refused.__cause__
        note(actor=None, verb="refuse_draft", subject=draft, why=str(why or "another birth date"))


def _cut(answers: Mapping[str, str]) -> dict[str, Any]:
    """As it was typed, within reason."""
    return {name: value[:MOST_TYPED] for name, value in answers.items()}
