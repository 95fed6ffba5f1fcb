"""Who sits where: the steps of which enrolling, offering and cancelling are made.

Each joins a transaction that holds the school's lock. The lock makes the actions take turns; the
unique seat in the database is what makes overselling impossible, also for code that forgets it.
"""

from datetime import datetime

from django.utils import timezone

from school.actions.audit import note
from school.actions.messages import calendar_for, send
from school.actions.money import charge_price
from school.errors import NotEnrolled
from school.models import Account, Enrolment, MessageKind, School


def lock_school(school: School) -> School:
    """The school as it is now; others who change its seats wait until we have finished."""
    return School.objects.select_for_update().get(pk=school.pk)


def live_enrolment(school: School, enrolment: Enrolment) -> Enrolment:
    """The enrolment as it is now, locked with its ledger. Raises NotEnrolled once cancelled."""
    rows = school.enrolments.select_for_update(of=("self",)).select_related("golfer")
    fresh = rows.get(pk=enrolment.pk)
    if fresh.state not in Enrolment.LIVE:
        raise NotEnrolled(f"{fresh.golfer} was cancelled before.")
    return fresh


def give_seat(enrolment: Enrolment, seat: int, actor: Account | None) -> None:
    """Seat the golfer, charge the price and confirm it."""
    place(enrolment, Enrolment.State.SEATED, seat, None)
    charge_price(enrolment, actor)
    note(actor=actor, verb="seat", subject=enrolment, seat=seat)
    tell(enrolment, MessageKind.CONFIRMATION, calendar=calendar_for(enrolment))


def tell_waiting(enrolment: Enrolment) -> None:
    """Tell who has just joined that they wait."""
    tell(enrolment, MessageKind.WAITING)


def take_back_offer(enrolment: Enrolment, why: str, actor: Account | None) -> int:
    """Put who was offered a seat back into their old place on the list; the seat."""
    seat, ended = enrolment.seat, enrolment.offer_ends_at
    assert seat is not None
    assert ended is not None
    place(enrolment, Enrolment.State.WAITING, None, None)
    note(actor=actor, verb="take_back_offer", subject=enrolment, seat=seat, why=why)
    tell(enrolment, MessageKind.WAITING, about=ended.isoformat())
    return seat


def leave(enrolment: Enrolment) -> None:
    """Give up the seat, the offer or the place on the list."""
    enrolment.cancelled_at = timezone.now()
    place(enrolment, Enrolment.State.CANCELLED, None, None)


def tell_cancelled(enrolment: Enrolment, words: str) -> None:
    """Say that the place is gone, and what becomes of the money."""
    tell(enrolment, MessageKind.CANCELLED, refund=words)


def place(
    enrolment: Enrolment, state: Enrolment.State, seat: int | None, ends_at: datetime | None
) -> None:
    """Write where the golfer stands now."""
    enrolment.state, enrolment.seat, enrolment.offer_ends_at = state, seat, ends_at
    enrolment.save(update_fields=["state", "seat", "offer_ends_at", "cancelled_at"])


def tell(
    enrolment: Enrolment, kind: str, *, about: str = "", calendar: str = "", **context: object
) -> None:
    """Put a message to the golfer into the outbox. `about` tells two of one kind apart."""
    send(
        kind=kind,
        to=enrolment.golfer.email,
        once_key=":".join(filter(None, (kind, str(enrolment.pk), about))),
        context=context,
        enrolment=enrolment,
        calendar=calendar,
    )
