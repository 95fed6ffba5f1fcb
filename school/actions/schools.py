"""The life of a school: set up, opened, resized, closed."""

from datetime import date, timedelta
from decimal import Decimal

from django.db import transaction
from django.utils import timezone

from school.actions.audit import note
from school.actions.offers import offer_next
from school.actions.retry import in_a_fresh_transaction
from school.actions.seats import lock_school
from school.clock import today_at
from school.errors import CapacityTooSmall, WrongState
from school.models import Account, Enrolment, Programme, School, SchoolRefundStep, Staff
from school.queries.seats import free_seats
from school.signals import school_closed


def open_school(
    *,
    programme: Programme,
    name: str,
    starts_on: date,
    lead_instructor: Staff,
    actor: Account | None,
    capacity: int | None = None,
    price: Decimal | None = None,
    deposit: Decimal | None = None,
    paper: str = "",
    time_zone: str = "Europe/London",
    venue: str = "",
    is_demo: bool = False,
) -> School:
    """Set up a dated running of the programme, whose terms and refund policy are copied into it.

    A lower price alone caps the deposit; without a `paper` it is the programme's. Raises
    WrongState if the lead instructor does not teach, ValidationError naming fields.
    """
    if not lead_instructor.teaches:
        raise WrongState(f"{lead_instructor} does not teach and cannot lead a school.")
    terms = {field: getattr(programme, field) for field in School.TERM_FIELDS}
    if price is not None:
        terms |= {"price": price, "deposit": min(terms["deposit"], max(price, Decimal(0)))}
    if deposit is not None:
        terms["deposit"] = deposit
    if paper:
        terms["paper"] = paper
    school = School(
        programme=programme,
        name=name,
        starts_on=starts_on,
        ends_on=starts_on + timedelta(days=programme.days - 1),
        time_zone=time_zone,
        venue=venue,
        capacity=programme.capacity if capacity is None else capacity,
        lead_instructor=lead_instructor,
        is_demo=is_demo,
        **terms,
        **{field: getattr(programme, field) for field in School.GRID_FIELDS},
    )
    with transaction.atomic(durable=True):
        school.full_clean()
        school.save(force_insert=True)
        SchoolRefundStep.objects.bulk_create(
            SchoolRefundStep(school=school, days_before=step.days_before, percent=step.percent)
            for step in programme.refund_steps.all()
        )
        note(actor=actor, verb="open_school", subject=school, programme=programme.pk)
    return school


def open_enrolment(*, school: School, actor: Account | None) -> School:
    """Let golfers join. Raises WrongState unless the school is being set up."""
    with transaction.atomic(durable=True):
        locked = lock_school(school)
        if locked.state != School.State.DRAFT:
            raise WrongState(f"{locked} is already {locked.get_state_display()}.")
        locked.state = School.State.OPEN
        locked.save(update_fields=["state"])
        note(actor=actor, verb="open_enrolment", subject=locked)
        return locked


def change_capacity(*, school: School, capacity: int, actor: Account | None) -> School:
    """Make the school larger, and offer the new seats, or smaller, which moves high seats.

    Raises CapacityTooSmall if more have or are offered a seat, WrongState once closed,
    ValidationError outside 1 to 96.
    """

    def body() -> School:
        locked = lock_school(school)
        if locked.state == School.State.CLOSED:
            raise WrongState(f"{locked} is closed.")
        was, locked.capacity = locked.capacity, capacity
        locked.clean_fields(exclude=[f.name for f in School._meta.fields if f.name != "capacity"])
        _move_high_seats(locked)
        locked.save(update_fields=["capacity"])
        note(actor=actor, verb="change_capacity", subject=locked, was=was, now=capacity)
        offer_next(locked, actor)
        return locked

    return in_a_fresh_transaction(body)


def close_school(*, school: School, actor: Account | None, early: bool = False) -> School:
    """End the school and, through those who listen, have its reports made.

    Raises WrongState unless it is open, and before its last day unless `early` says it is meant.
    """
    with transaction.atomic(durable=True):
        locked = lock_school(school)
        if locked.state != School.State.OPEN:
            raise WrongState(f"{locked} is {locked.get_state_display()} and cannot be closed.")
        if today_at(locked) < locked.ends_on and not early:
            raise WrongState(
                f"The last day is {locked.ends_on:%-d %B %Y}. Say that you mean to close early."
            )
        locked.state, locked.closed_at = School.State.CLOSED, timezone.now()
        locked.save(update_fields=["state", "closed_at"])
        note(actor=actor, verb="close_school", subject=locked, early=early)
        school_closed.send(sender=School, school=locked, actor=actor)
        return locked


def _move_high_seats(school: School) -> None:
    """Give whoever sits above the new capacity a free seat below it; a seat is only a number."""
    high = school.enrolments.filter(state__in=Enrolment.HOLDS_SEAT, seat__gt=school.capacity)
    free = free_seats(school)
    moving = list(high.order_by("seat"))
    if len(moving) > len(free):
        held = school.capacity - len(free) + len(moving)
        raise CapacityTooSmall(
            f"{held} golfers have a seat or are offered one; "
            f"the school cannot hold only {school.capacity}."
        )
    for enrolment, seat in zip(moving, free, strict=False):
        enrolment.seat = seat
        enrolment.save(update_fields=["seat"])
