"""What moving an enrolment to another school would do, before anything is written."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import QuerySet

from school.errors import AlreadyEnrolled, MoveRefused, NotEnrolled, SchoolIsNotOpen
from school.models import Consent, Enrolment, LedgerEntry, School
from school.queries.money import ZERO
from school.queries.seats import free_seats, waiting_in_order
from school.wording import count_of, format_balance, format_money

MONEY = (LedgerEntry.Kind.PAYMENT, LedgerEntry.Kind.REFUND)


@dataclass(frozen=True)
class MovePlan:
    """In words: what happens here, there and with the money. `carried` is by method."""

    here: tuple[str, ...]
    there: tuple[str, ...]
    money: tuple[str, ...]
    carried: dict[str, Decimal]


def schools_to_move_to(enrolment: Enrolment) -> QuerySet[School]:
    """The open schools in the same currency, by first day."""
    return School.objects.filter(
        state=School.State.OPEN, currency=enrolment.school.currency
    ).exclude(pk=enrolment.school_id)


def refuse_move(enrolment: Enrolment, to: School) -> None:
    """Refuse what cannot be moved. One query.

    Raises
    ------
    NotEnrolled
        If the enrolment is cancelled.
    MoveRefused
        For the same school, a closed one behind, or another currency: what was paid in one
        cannot be owed in the other without a rate, and the ledger has none.
    SchoolIsNotOpen, AlreadyEnrolled
        If the other school takes nobody, or has the golfer.
    """
    here, golfer = enrolment.school, enrolment.golfer
    if enrolment.state not in Enrolment.LIVE:
        raise NotEnrolled(f"{golfer} is no longer enrolled in {here}.")
    if here.pk == to.pk:
        raise MoveRefused(f"{golfer} is in {here} already.")
    if here.state == School.State.CLOSED:
        raise MoveRefused(f"{here} is closed; who took part stays as it was.")
    if here.currency != to.currency:
        raise MoveRefused(
            f"{here} is paid in {here.currency} and {to} in {to.currency}, so the money cannot "
            "follow. Cancel here, pay back what is owed, and enrol there."
        )
    if to.state != School.State.OPEN:
        raise SchoolIsNotOpen(f"{to} is {to.get_state_display()} and takes nobody now.")
    if to.enrolments.filter(golfer=golfer, state__in=Enrolment.LIVE).exists():
        raise AlreadyEnrolled(f"{golfer} is already enrolled in {to}.")


def plan_move(enrolment: Enrolment, to: School) -> MovePlan:
    """What moving would do now. Six queries at most; raises what `refuse_move` raises."""
    refuse_move(enrolment, to)
    carried = money_by_method(enrolment)
    paid = sum(carried.values(), ZERO)
    free = free_seats(to)
    queue = waiting_in_order(to)
    has_seat = bool(free) and not queue
    return MovePlan(
        here=tuple(_here(enrolment)),
        there=tuple(_there(enrolment, to, free[0] if has_seat else None, len(queue) + 1)),
        money=tuple(_money(enrolment, to, paid, has_seat)),
        carried=carried,
    )


def money_by_method(enrolment: Enrolment) -> dict[str, Decimal]:
    """What was paid and not paid back or reversed, by method; methods that come to nothing are
    left out. Below zero where more went out by a method than came in by it. One query.
    """
    sums: defaultdict[str, Decimal] = defaultdict(Decimal)
    for entry in enrolment.ledger.select_related("reverses"):
        what = entry.reverses or entry
        if what.kind in MONEY:
            sums[what.method] -= entry.amount
    return {method: total for method, total in sorted(sums.items()) if total}


def consents_that_follow(enrolment: Enrolment, to: School) -> tuple[list[Consent], list[Consent]]:
    """The live consents that hold in the other school too, and those to be asked for anew.

    A guardian's consent holds while the golfer is a minor on the first day, the golfer's own
    when not. One query.
    """
    is_minor = enrolment.golfer.is_minor_on(to.starts_on)
    given = enrolment.consents.standing().select_related("text")
    live = list(given.order_by("text__kind", "text__version"))
    return (
        [consent for consent in live if consent.by_guardian == is_minor],
        [consent for consent in live if consent.by_guardian != is_minor],
    )


def _here(enrolment: Enrolment) -> list[str]:
    golfer, here = enrolment.golfer, enrolment.school
    if enrolment.seat is None:
        first = f"{golfer} leaves the waiting list of {here}."
    else:
        first = (
            f"{golfer} gives up seat {enrolment.seat} in {here}; it is free for the waiting list."
        )
    return [first, "The refund policy is not applied: nothing is kept back."]


def _there(enrolment: Enrolment, to: School, seat: int | None, place: int) -> list[str]:
    follow, anew = consents_that_follow(enrolment, to)
    lines = [
        f"{enrolment.golfer} gets seat {seat} in {to}."
        if seat
        else f"{to} is full: {enrolment.golfer} goes to place {place} of its waiting list."
    ]
    if follow:
        named = ", ".join(consent.text.get_kind_display() for consent in follow)
        lines.append(f"{count_of(len(follow), 'consent')} as given before: {named}.")
    if anew:
        named = ", ".join(consent.text.get_kind_display() for consent in anew)
        age = "under 18" if enrolment.golfer.is_minor_on(to.starts_on) else "of age"
        lines.append(f"To be asked for again, since the golfer will be {age}: {named}.")
    lines.append("Goals, diet, club hire and the wish to stay together are carried over.")
    return lines


def _money(enrolment: Enrolment, to: School, paid: Decimal, has_seat: bool) -> list[str]:
    currency, here = to.currency, enrolment.school
    lines = [f"What was charged or let off for {here} is reversed."]
    if paid:
        verb = "counts as paid" if paid > 0 else "counts as paid back"
        lines.append(
            f"{format_money(abs(paid), currency)} {verb} for {to} instead. "
            "No money changes hands and no day's takings change."
        )
    if enrolment.checkouts.filter(state="started").exists():
        lines.append(f"An online payment under way, if it succeeds, is still entered for {here}.")
    charged = to.price if has_seat else ZERO
    lines.append(
        f"{format_money(charged, currency)} is charged for {to}"
        f"{'' if has_seat else ' until a seat is free'}; "
        f"then {enrolment.golfer} {_settled(charged - paid, currency)}."
    )
    return lines


def _settled(balance: Decimal, currency: str) -> str:
    return format_balance(balance, currency) if balance else "owes nothing"
