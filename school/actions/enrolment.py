"""Who comes to a school: joining and giving up. What free seats do is told in `offers`."""

from decimal import Decimal

from school.actions.audit import note
from school.actions.consents import write_consent
from school.actions.golfers import known_or_new
from school.actions.offers import offer_next
from school.actions.refunds import settle_cancellation
from school.actions.retry import in_a_fresh_transaction
from school.actions.seats import (
    give_seat,
    leave,
    live_enrolment,
    lock_school,
    tell_cancelled,
    tell_waiting,
)
from school.details import Agreement, GolferDetails
from school.errors import (
    AlreadyEnrolled,
    FiguresChanged,
    GuardianNeeded,
    SchoolIsNotOpen,
    WrongState,
)
from school.models import Account, Enrolment, Golfer, School
from school.queries.money import refund_on_cancelling
from school.queries.seats import free_seats, waiting_in_order
from school.signals import enrolment_cancelled

NOTHING_AGREED = Agreement()


def enrol(
    *,
    school: School,
    golfer: Golfer | GolferDetails,
    actor: Account | None,
    agreement: Agreement = NOTHING_AGREED,
) -> Enrolment:
    """Give the golfer the lowest free seat and charge it, or a place on the waiting list.

    Raises SchoolIsNotOpen, AlreadyEnrolled, GuardianNeeded for a minor without a guardian on
    file or with consents given by somebody else, and ValidationError for impossible details.
    """

    return in_a_fresh_transaction(lambda: join(lock_school(school), golfer, agreement, actor))


def cancel_enrolment(
    *,
    enrolment: Enrolment,
    why: str,
    actor: Account | None,
    expected_kept: Decimal | None = None,
) -> Enrolment:
    """Give up the seat, the offer or the place on the list, by the school's refund policy.

    What was charged is let go, what the policy keeps is charged, and what was paid stays: a
    balance below zero is owed to the golfer. The seat is offered to the head of the list.

    Raises NotEnrolled if it was cancelled before, WrongState once the school is closed, and
    FiguresChanged if not `expected_kept` is kept, for whoever has agreed to that.
    """

    def body() -> Enrolment:
        school = lock_school(enrolment.school)
        fresh = live_enrolment(school, enrolment)
        if school.state == School.State.CLOSED:
            raise WrongState(f"{school} is closed; who took part stays as it was.")
        due = refund_on_cancelling(fresh)
        if expected_kept not in (None, due.kept):
            raise FiguresChanged(f"The figures have changed since. {due.words}")
        seat, reason = fresh.seat, why.strip()
        leave(fresh)
        settle_cancellation(fresh, due, reason, actor)
        note(
            actor=actor,
            verb="cancel_enrolment",
            subject=fresh,
            seat=seat,
            why=reason,
            kept=f"{due.kept}",
        )
        tell_cancelled(fresh, due.words)
        if seat is not None:
            enrolment_cancelled.send(sender=Enrolment, enrolment=fresh, actor=actor)
            offer_next(school, actor)
        return fresh

    return in_a_fresh_transaction(body)


def join(
    school: School, golfer: Golfer | GolferDetails, agreement: Agreement, actor: Account | None
) -> Enrolment:
    """Seat the golfer at once if a seat is free and nobody waits, or put them on the list.

    Joins the transaction with the school's lock.
    """
    enrolment = add_to_list(school, golfer, agreement, actor)
    seat_or_wait(enrolment, actor)
    return enrolment


def add_to_list(
    school: School, golfer: Golfer | GolferDetails, agreement: Agreement, actor: Account | None
) -> Enrolment:
    """Put the golfer at the end of the list, with nothing said to them yet.

    The first half of joining; `seat_or_wait` follows in the same transaction.
    """
    golfer = _who_may_join(school, golfer, actor)
    enrolment = Enrolment.objects.create(
        school=school, golfer=golfer, state=Enrolment.State.WAITING
    )
    note(actor=actor, verb="enrol", subject=enrolment, golfer=golfer.pk, school=school.pk)
    for kind in sorted(agreement.kinds):
        write_consent(enrolment, kind, agreement.given_by, actor)
    return enrolment


def seat_or_wait(enrolment: Enrolment, actor: Account | None) -> None:
    """Give who was just added a free seat, if nobody waits before them, and tell them."""
    free = free_seats(enrolment.school)
    if free and waiting_in_order(enrolment.school, most=1) == [enrolment]:
        give_seat(enrolment, free[0], actor)
    else:
        tell_waiting(enrolment)


def _who_may_join(school: School, golfer: Golfer | GolferDetails, actor: Account | None) -> Golfer:
    if school.state != School.State.OPEN:
        raise SchoolIsNotOpen(f"{school} is {school.get_state_display()} and takes nobody now.")
    if isinstance(golfer, GolferDetails):
        golfer = known_or_new(golfer, actor)
    if school.enrolments.filter(golfer=golfer, state__in=Enrolment.LIVE).exists():
        raise AlreadyEnrolled(f"{golfer} is already enrolled in {school}.")
    if golfer.is_minor_on(school.starts_on) and not (
        golfer.guardian_name and golfer.guardian_phone
    ):
        raise GuardianNeeded(
            f"{golfer} will be under 18 when the school starts. "
            "Enter the guardian's name and telephone."
        )
    return golfer
