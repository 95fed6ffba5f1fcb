"""Free seats and the waiting list.

1. A seat that comes free while somebody waits is offered to whoever has waited longest. The seat
   is held for them and nothing is charged.
2. They accept, and have the seat; or decline, or let the time pass, and are off the list. Then
   the next is offered it.
3. So while somebody waits no seat is free, and who joins then waits too.

The desk may seat somebody or offer out of turn, and says why. If no seat is free, the offer to
whoever of those asked has waited least is taken back, and they keep their place on the list.
"""

from datetime import datetime, timedelta
from functools import partial

from django.core.signing import BadSignature, Signer
from django.urls import reverse
from django.utils import timezone

from school.actions.audit import note
from school.actions.retry import in_a_fresh_transaction
from school.actions.seats import (
    give_seat,
    leave,
    live_enrolment,
    lock_school,
    place,
    take_back_offer,
    tell,
    tell_cancelled,
)
from school.errors import NoSeatToGive, OfferIsOver, ReasonMissing, WrongState
from school.models import Account, Enrolment, MessageKind, School
from school.queries.money import refund_on_cancelling
from school.queries.seats import (
    free_seats,
    last_offered,
    schools_with_lapsed_offers,
    waiting_in_order,
)

_signer = Signer(salt="school.offer")


def offer_token(enrolment: Enrolment) -> str:
    """What the link carries with which an offer is answered, without signing in."""
    return _signer.sign(str(enrolment.pk))


def enrolment_of_offer(token: str) -> Enrolment | None:
    """The enrolment that a link is about, whatever its state now; None for a made-up link."""
    try:
        pk = int(_signer.unsign(token))
    except (BadSignature, ValueError):
        return None
    return Enrolment.objects.select_related("school__programme", "golfer").filter(pk=pk).first()


def offer_next(
    school: School, actor: Account | None, now: datetime | None = None
) -> list[Enrolment]:
    """Offer each free seat to whoever waits longest; who was offered one.

    Joins the transaction with the school's lock. A school that is not open offers nothing.
    """
    if school.state != School.State.OPEN:
        return []
    free = free_seats(school)
    asked = waiting_in_order(school, most=len(free)) if free else []
    for enrolment, seat in zip(asked, free, strict=False):
        _offer(enrolment, seat, actor, now or timezone.now())
    return asked


def accept_offer(*, enrolment: Enrolment, actor: Account | None) -> Enrolment:
    """Take the seat that is offered, and be charged; who has the seat already keeps it.

    Raises OfferIsOver if nothing is offered or its time has passed, NotEnrolled once cancelled,
    WrongState if the school is not open.
    """

    def body() -> Enrolment:
        school = _lock_open(enrolment.school)
        fresh = live_enrolment(school, enrolment)
        if fresh.is_seated:
            return fresh
        seat = _offered_seat(fresh)
        if fresh.offer_ends_at and fresh.offer_ends_at <= timezone.now():
            raise OfferIsOver("The time for this offer has passed, and the seat goes on.")
        note(actor=actor, verb="accept_offer", subject=fresh, seat=seat)
        give_seat(fresh, seat, actor)
        return fresh

    return in_a_fresh_transaction(body)


def decline_offer(*, enrolment: Enrolment, actor: Account | None) -> Enrolment:
    """Let the offered seat go to the next, and leave the list.

    Raises OfferIsOver if nothing is offered, NotEnrolled once cancelled.
    """

    def body() -> Enrolment:
        school = lock_school(enrolment.school)
        fresh = live_enrolment(school, enrolment)
        seat = _offered_seat(fresh)
        _let_go(fresh, "You let the seat go.")
        note(actor=actor, verb="decline_offer", subject=fresh, seat=seat)
        offer_next(school, actor)
        return fresh

    return in_a_fresh_transaction(body)


def expire_offers(now: datetime | None = None) -> int:
    """Take who has not answered in time off the list and ask the next; how many offers ended.

    A periodic duty; one transaction a school.
    """
    now = now or timezone.now()
    return sum(
        in_a_fresh_transaction(partial(_expire, school, now))
        for school in schools_with_lapsed_offers(now)
    )


def seat_out_of_turn(*, enrolment: Enrolment, why: str, actor: Account | None) -> Enrolment:
    """Seat who waits or is offered a seat, by the desk's word.

    Raises ReasonMissing, NoSeatToGive, WrongState if they have a seat or the school is not open,
    NotEnrolled once cancelled.
    """

    def body() -> Enrolment:
        fresh, seat = _out_of_turn(enrolment, why, actor)
        note(actor=actor, verb="seat_out_of_turn", subject=fresh, seat=seat, why=why.strip())
        give_seat(fresh, seat, actor)
        return fresh

    return in_a_fresh_transaction(body)


def offer_out_of_turn(*, enrolment: Enrolment, why: str, actor: Account | None) -> Enrolment:
    """Offer a seat to somebody who waits, before their turn, by the desk's word.

    Who is offered one already gets the whole time anew. Raises as seat_out_of_turn.
    """

    def body() -> Enrolment:
        fresh, seat = _out_of_turn(enrolment, why, actor)
        note(actor=actor, verb="offer_out_of_turn", subject=fresh, seat=seat, why=why.strip())
        _offer(fresh, seat, actor, timezone.now())
        return fresh

    return in_a_fresh_transaction(body)


def _offer(enrolment: Enrolment, seat: int, actor: Account | None, now: datetime) -> None:
    """Keep the seat free for the golfer for the school's hours, and say so."""
    ends_at = now + timedelta(hours=enrolment.school.offer_hours)
    place(enrolment, Enrolment.State.OFFERED, seat, ends_at)
    note(actor=actor, verb="offer", subject=enrolment, seat=seat, ends_at=ends_at.isoformat())
    link = reverse("offer_answer", args=[offer_token(enrolment)])
    tell(enrolment, MessageKind.OFFER, about=ends_at.isoformat(), link=link)


def _expire(school: School, now: datetime) -> int:
    locked = lock_school(school)
    lapsed = locked.enrolments.filter(state=Enrolment.State.OFFERED, offer_ends_at__lte=now)
    ended = list(lapsed.select_related("golfer").order_by("enrolled_at", "pk"))
    for enrolment in ended:
        seat = enrolment.seat
        _let_go(enrolment, "The offer ended without an answer.")
        note(actor=None, verb="expire_offer", subject=enrolment, seat=seat, why="no answer in time")
    offer_next(locked, None, now)
    return len(ended)


def _let_go(enrolment: Enrolment, why: str) -> None:
    leave(enrolment)
    tell_cancelled(enrolment, f"{why} {refund_on_cancelling(enrolment).words}")


def _offered_seat(enrolment: Enrolment) -> int:
    if enrolment.state != Enrolment.State.OFFERED or enrolment.seat is None:
        raise OfferIsOver(f"No seat is offered to {enrolment.golfer} now.")
    return enrolment.seat


def _lock_open(school: School) -> School:
    locked = lock_school(school)
    if locked.state != School.State.OPEN:
        raise WrongState(f"{locked} is {locked.get_state_display()}; no seat is given now.")
    return locked


def _out_of_turn(enrolment: Enrolment, why: str, actor: Account | None) -> tuple[Enrolment, int]:
    """The enrolment as it is now, and the seat it gets: its own, a free one, or one taken back."""
    if not why.strip():
        raise ReasonMissing("Say why it is done out of turn.")
    school = _lock_open(enrolment.school)
    fresh = live_enrolment(school, enrolment)
    if fresh.is_seated:
        raise WrongState(f"{fresh.golfer} has seat {fresh.seat} already.")
    if fresh.seat is not None:
        return fresh, fresh.seat
    free = free_seats(school)
    if free:
        return fresh, free[0]
    asked = last_offered(school)
    if asked is None:
        raise NoSeatToGive("Every seat is taken, and none is only offered. Add a seat first.")
    return fresh, take_back_offer(asked, why.strip(), actor)
