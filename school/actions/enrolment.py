"""Who comes to a school: joining, the waiting list, giving up.

Everybody joins the waiting list, and the list is served at once: the lowest free seat goes to
whoever has waited longest. One rule for joining, cancelling and a larger room keeps the order
fair. A row lock on the school makes these actions take turns; the unique seat in the database
is what makes overselling impossible, also for code that forgets the lock.
"""

from django.utils import timezone

from school.actions.audit import note
from school.actions.consents import write_consent
from school.actions.golfers import known_or_new
from school.actions.money import charge_price, release_charges
from school.actions.retry import in_a_fresh_transaction
from school.details import Agreement, GolferDetails
from school.errors import (
    AlreadyEnrolled,
    GuardianNeeded,
    NotEnrolled,
    SchoolIsNotOpen,
    WrongState,
)
from school.models import Account, Enrolment, Golfer, School
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

    def body() -> Enrolment:
        locked = lock_school(school)
        enrolment = join(locked, golfer, agreement, actor)
        serve_waiting_list(locked, actor)
        enrolment.refresh_from_db(fields=["state", "seat"])
        return enrolment

    return in_a_fresh_transaction(body)


def cancel_enrolment(*, enrolment: Enrolment, why: str, actor: Account | None) -> Enrolment:
    """Give up the seat or the place on the list, and let the charge go in full.

    What was paid stays on the ledger and is then owed to the golfer. The seat goes at once to
    the head of the waiting list.

    Raises NotEnrolled if it was cancelled before, WrongState once the school is closed.
    """

    def body() -> Enrolment:
        school = lock_school(enrolment.school)
        fresh = school.enrolments.select_related("golfer").get(pk=enrolment.pk)
        if fresh.state not in Enrolment.LIVE:
            raise NotEnrolled(f"{fresh.golfer} was cancelled before.")
        if school.state == School.State.CLOSED:
            raise WrongState(f"{school} is closed; who took part stays as it was.")
        seat = fresh.seat
        fresh.state, fresh.seat = Enrolment.State.CANCELLED, None
        fresh.cancelled_at = timezone.now()
        fresh.save(update_fields=["state", "seat", "cancelled_at"])
        release_charges(fresh, f"Cancelled: {why.strip()}" if why.strip() else "Cancelled", actor)
        note(actor=actor, verb="cancel_enrolment", subject=fresh, seat=seat, why=why)
        if seat is not None:
            enrolment_cancelled.send(sender=Enrolment, enrolment=fresh, actor=actor)
            serve_waiting_list(school, actor)
        return fresh

    return in_a_fresh_transaction(body)


def lock_school(school: School) -> School:
    """The school as it is now; others who change its seats wait until we have finished."""
    return School.objects.select_for_update().get(pk=school.pk)


def join(
    school: School, golfer: Golfer | GolferDetails, agreement: Agreement, actor: Account | None
) -> Enrolment:
    """Put the golfer at the end of the list. Joins the transaction with the lock."""
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
    enrolment = Enrolment.objects.create(
        school=school, golfer=golfer, state=Enrolment.State.WAITING
    )
    note(actor=actor, verb="enrol", subject=enrolment, golfer=golfer.pk, school=school.pk)
    for kind in sorted(agreement.kinds):
        write_consent(enrolment, kind, agreement.given_by, actor)
    return enrolment


def serve_waiting_list(school: School, actor: Account | None) -> list[Enrolment]:
    """Give each free seat to whoever waits longest. Joins the transaction with the lock."""
    free = free_seats(school)
    served = waiting_in_order(school, most=len(free)) if free else []
    for enrolment, seat in zip(served, free, strict=False):
        enrolment.state, enrolment.seat = Enrolment.State.SEATED, seat
        enrolment.save(update_fields=["state", "seat"])
        charge_price(enrolment, actor)
        note(actor=actor, verb="seat", subject=enrolment, seat=seat)
    return served
