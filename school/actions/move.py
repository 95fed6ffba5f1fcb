"""Moving an enrolment to another school, with the money following.

The rule of the money: what was charged here is reversed, and what was paid moves by pairs of
entries. For each method the net sum is entered here as a refund by that method and there as a
payment by it, at one instant. Each pair comes to zero, by method, by day and by currency, so no
day's takings change, whether the day is still open or was closed; the payment as it was once
received stays untouched on its own day, with its bank line and its receipt.
"""

from __future__ import annotations

from decimal import Decimal

from django.utils import timezone

from school.actions.audit import note
from school.actions.enrolment import NOTHING_AGREED, add_to_list, seat_or_wait
from school.actions.money import release_charges
from school.actions.offers import offer_next
from school.actions.retry import in_a_fresh_transaction
from school.actions.seats import leave, live_enrolment, tell_cancelled
from school.models import Account, Consent, Enrolment, LedgerEntry, School
from school.queries.move import consents_that_follow, money_by_method, refuse_move
from school.signals import enrolment_cancelled

ANSWERS = ("goals", "keep_together", "diet", "wants_club_hire")


def move_enrolment(*, enrolment: Enrolment, to: School, actor: Account | None) -> Enrolment:
    """Enrol the golfer in `to` by its own rules and cancel here, without the refund policy.

    Answers are carried over, and consents with their text, time and giver. The balance here is
    then zero, and all that was paid stands there.

    Raises what `refuse_move` raises, and GuardianNeeded for a minor without a guardian on file.
    """

    def body() -> Enrolment:
        here, there = _lock_in_turn(enrolment.school_id, to.pk)
        old = live_enrolment(here, enrolment)
        refuse_move(old, there)
        new = add_to_list(there, old.golfer, NOTHING_AGREED, actor)
        _carry_answers(old, new)
        _carry_consents(old, new)
        carried = _carry_money(old, new, actor)
        note(
            actor=actor,
            verb="move_enrolment",
            subject=old,
            to=new.pk,
            school=there.pk,
            name=str(there),
            carried={method: f"{amount}" for method, amount in carried.items()},
        )
        note(actor=actor, verb="arrive", subject=new, came_from=old.pk, name=str(here))
        # Only now, so that the confirmation says what is still to pay.
        seat_or_wait(new, actor)
        _leave_here(old, here, there, actor)
        return new

    return in_a_fresh_transaction(body)


def _lock_in_turn(one: int, other: int) -> tuple[School, School]:
    """Both schools, locked by the lower key first so that two moves never wait for each other."""
    locked = School.objects.select_for_update().order_by("pk").in_bulk({one, other})
    return locked[one], locked[other]


def _leave_here(old: Enrolment, here: School, there: School, actor: Account | None) -> None:
    had_seat = old.seat is not None
    leave(old)
    release_charges(old, f"Moved to {there}", actor)
    tell_cancelled(old, f"You are moved to {there}, and what you paid counts there.")
    if had_seat:
        enrolment_cancelled.send(sender=Enrolment, enrolment=old, actor=actor)
        offer_next(here, actor)


def _carry_answers(old: Enrolment, new: Enrolment) -> None:
    for name in ANSWERS:
        setattr(new, name, getattr(old, name))
    new.save(update_fields=ANSWERS)


def _carry_consents(old: Enrolment, new: Enrolment) -> None:
    follow, _ = consents_that_follow(old, new.school)
    Consent.objects.bulk_create(
        Consent(
            enrolment=new,
            text=consent.text,
            given_by=consent.given_by,
            by_guardian=consent.by_guardian,
            given_at=consent.given_at,
            recorded_by=consent.recorded_by,
        )
        for consent in follow
    )


def _carry_money(old: Enrolment, new: Enrolment, actor: Account | None) -> dict[str, Decimal]:
    """Enter each method's pair; what was carried, by method."""
    carried = money_by_method(old)
    at = timezone.now()
    for method, amount in carried.items():
        for enrolment, sign, memo in (
            (old, 1, f"Moved to {new.school}"),
            (new, -1, f"Moved from {old.school}"),
        ):
            LedgerEntry.objects.create(
                enrolment=enrolment,
                kind=_kind(sign * amount),
                amount=sign * amount,
                method=method,
                memo=memo,
                entered_by=actor,
                entered_at=at,
            )
    return carried


def _kind(amount: Decimal) -> LedgerEntry.Kind:
    return LedgerEntry.Kind.REFUND if amount > 0 else LedgerEntry.Kind.PAYMENT
