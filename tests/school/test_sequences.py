"""Whatever the desk and the golfers do, in whatever order, the promises hold.

The machine keeps books of its own beside the database: who came when, and each enrolment's money
in whole cents, by the rules as they are written down and not as they are programmed.
"""

from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.utils import timezone
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from school.actions.enrolment import cancel_enrolment, enrol
from school.actions.money import record_payment, reverse_entry
from school.actions.move import move_enrolment
from school.actions.offers import (
    accept_offer,
    decline_offer,
    expire_offers,
    offer_out_of_turn,
    seat_out_of_turn,
)
from school.actions.refunds import discount, refund
from school.actions.schools import change_capacity
from school.errors import MarramError
from school.models import Enrolment, Golfer, LedgerEntry, School
from school.queries.cohort import cohort, offers, waiting_list
from school.queries.money import Sums, enrolment_money, money_by_school
from tests.factories import GolferFactory, SchoolFactory, giving_back

PERCENT_BACK = 50
PRICES = (Decimal("60.13"), Decimal("75.00"))
AMOUNTS = st.decimals("0.01", "99.99", places=2)
PICK = st.integers(0, 99)
SCHOOL = st.integers(0, 1)


@dataclass
class Book:
    """One enrolment's money in cents: what is to be paid and what was."""

    price: int = 0
    received: int = 0


def cents(amount: Decimal) -> int:
    return int(amount * 100)


class House(RuleBasedStateMachine):
    """Two schools of one and two seats, and six golfers who have all asked for the first."""

    @initialize()
    def open_schools(self) -> None:
        self.schools: list[School] = [
            giving_back(
                SchoolFactory.create(capacity=seats, price=price, starts_on=date(2099, 5, 7)),
                {0: PERCENT_BACK},
            )
            for seats, price in enumerate(PRICES, 1)
        ]
        self.golfers: list[Golfer] = GolferFactory.create_batch(6)
        self.books: dict[int, Book] = {}
        self.arrived: list[int] = []
        self.favoured: set[int] = set()
        self.now = timezone.now()
        for who in range(6):
            self.come(who, 0)

    def teardown(self) -> None:
        # Offers left behind would be looked at by every later example.
        ended = {"state": "cancelled", "seat": None, "offer_ends_at": None}
        Enrolment.objects.filter(state="offered").update(cancelled_at=timezone.now(), **ended)

    def rows(self) -> list[Enrolment]:
        return list(Enrolment.objects.filter(pk__in=self.arrived).order_by("pk"))

    def any_of(self, pick: int, *states: str) -> Enrolment | None:
        rows = [row for row in self.rows() if not states or row.state in states]
        return rows[pick % len(rows)] if rows else None

    def come(self, who: int, where: int) -> None:
        with suppress(MarramError):
            self.arrive(enrol(school=self.schools[where], golfer=self.golfers[who], actor=None))

    def arrive(self, made: Enrolment) -> None:
        self.arrived.append(made.pk)
        self.books[made.pk] = Book()
        others = [row for row in self.rows() if row.school_id == made.school_id]
        if made.is_seated:
            assert not any(row.state == "waiting" for row in others)
            self.charge(made)

    def charge(self, enrolment: Enrolment) -> None:
        self.books[enrolment.pk].price += cents(enrolment.school.price)

    @rule(who=st.integers(0, 5), where=SCHOOL)
    def enrol(self, who: int, where: int) -> None:
        self.come(who, where)

    @rule(pick=PICK)
    def cancel(self, pick: int) -> None:
        chosen = self.any_of(pick, "seated", "offered", "waiting")
        if chosen:
            cancel_enrolment(enrolment=chosen, why="", actor=None)
            book = self.books[chosen.pk]
            book.price -= (book.price * PERCENT_BACK + 50) // 100  # half a cent goes back

    @precondition(lambda self: self.any_of(0, "offered"))
    @rule(pick=PICK)
    def accept(self, pick: int) -> None:
        chosen = self.any_of(pick, "offered")
        if chosen:
            self.charge(accept_offer(enrolment=chosen, actor=None))

    @precondition(lambda self: self.any_of(0, "offered"))
    @rule(pick=PICK)
    def decline(self, pick: int) -> None:
        chosen = self.any_of(pick, "offered")
        if chosen:
            decline_offer(enrolment=chosen, actor=None)

    @rule(hours=st.sampled_from([1, 30, 60]))
    def expire(self, hours: int) -> None:
        self.now += timedelta(hours=hours)
        rows = {row.pk: row for row in self.rows()}
        lapsed = [k for k, r in rows.items() if r.offer_ends_at and r.offer_ends_at <= self.now]
        assert expire_offers(self.now) == len(lapsed)
        assert all(row.state == "cancelled" for row in self.rows() if row.pk in lapsed)

    @rule(pick=PICK)
    def seat_out_of_turn(self, pick: int) -> None:
        chosen = self.any_of(pick, "waiting", "offered")
        with suppress(MarramError):
            if chosen:
                self.charge(seat_out_of_turn(enrolment=chosen, why="promised", actor=None))

    @rule(pick=PICK)
    def offer_out_of_turn(self, pick: int) -> None:
        chosen = self.any_of(pick, "waiting")
        with suppress(MarramError):
            if chosen:
                offer_out_of_turn(enrolment=chosen, why="promised", actor=None)
                self.favoured.add(chosen.pk)

    @rule(pick=PICK)
    def move(self, pick: int) -> None:
        chosen = self.any_of(pick, "seated", "offered", "waiting")
        if not chosen:
            return
        to = next(school for school in self.schools if school.pk != chosen.school_id)
        with suppress(MarramError):
            made = move_enrolment(enrolment=chosen, to=to, actor=None)
            self.arrive(made)
            self.books[made.pk].received = self.books[chosen.pk].received
            self.books[chosen.pk] = Book()

    @rule(where=SCHOOL, capacity=st.integers(1, 3))
    def resize(self, where: int, capacity: int) -> None:
        with suppress(MarramError):
            change_capacity(school=self.schools[where], capacity=capacity, actor=None)

    def enter(
        self, pick: int, action: Callable[..., LedgerEntry], *states: str, **given: Any
    ) -> Enrolment | None:
        """Whose ledger took the entry, if anybody's."""
        chosen = self.any_of(pick, *states)
        with suppress(MarramError):
            if chosen:
                entry = action(enrolment=chosen, actor=None, **given)
                self.note(chosen, entry.kind, cents(entry.amount))
                return chosen
        return None

    def note(self, chosen: Enrolment, kind: str, amount: int) -> None:
        book = self.books[chosen.pk]
        if kind in ("charge", "discount"):
            book.price += amount
        else:
            book.received -= amount

    @rule(pick=PICK, amount=AMOUNTS)
    def pay(self, pick: int, amount: Decimal) -> None:
        self.enter(pick, record_payment, amount=amount, method="cash")

    @rule(pick=PICK, amount=AMOUNTS)
    def discount(self, pick: int, amount: Decimal) -> None:
        self.enter(pick, discount, "seated", "cancelled", amount=amount, why="pair")

    @rule(pick=PICK, amount=AMOUNTS)
    def refund(self, pick: int, amount: Decimal) -> None:
        paid_back = self.enter(pick, refund, amount=amount, method="card")
        assert paid_back is None or paid_back.balance() <= 0

    @rule(which=PICK)
    def reverse(self, which: int) -> None:
        entries = list(LedgerEntry.objects.filter(enrolment__in=self.arrived).order_by("pk"))
        with suppress(MarramError):
            if entries:
                entry = entries[which % len(entries)]
                reverse_entry(entry=entry, why="wrong", actor=None)
                self.note(entry.enrolment, entry.kind, -cents(entry.amount))

    @invariant()
    def never_oversold(self) -> None:
        for school in self.schools:
            school.refresh_from_db()
            held = school.enrolments.filter(seat__isnull=False).values_list("seat", flat=True)
            assert len(held) == len(set(held)) <= school.capacity
            assert all(1 <= seat <= school.capacity for seat in held if seat)

    @invariant()
    def nobody_is_in_twice(self) -> None:
        for school in self.schools:
            live = school.enrolments.filter(state__in=Enrolment.LIVE)
            golfers = list(live.values_list("golfer", flat=True))
            assert len(golfers) == len(set(golfers))

    @invariant()
    def the_list_is_fair(self) -> None:
        """By arrival, and asked before who came later; no seat is free while somebody waits."""
        for school in self.schools:
            waiting = [each.enrolment.pk for each in waiting_list(school)]
            asked = [each.enrolment.pk for each in offers(school)]
            assert waiting == sorted(waiting, key=self.arrived.index)
            assert not waiting or len(cohort(school)) + len(asked) == school.capacity
            in_turn = [self.arrived.index(pk) for pk in asked if pk not in self.favoured]
            assert not waiting or all(n < self.arrived.index(waiting[0]) for n in in_turn)

    @invariant()
    def the_ledger_adds_up(self) -> None:
        totals = {school.pk: Sums() for school in self.schools}
        for row in self.rows():
            book, sums = self.books[row.pk], enrolment_money(row)
            totals[row.school_id] += sums
            assert (cents(sums.price), cents(sums.received)) == (book.price, book.received)
            assert cents(row.balance()) == book.price - book.received
            assert sums.price >= 0
        assert dict(money_by_school(self.schools)) | totals == totals


@pytest.mark.django_db
def test_any_sequence_keeps_the_promises() -> None:
    """Each example has schools and golfers of its own, so that none sees another's rows."""
    run_state_machine_as_test(
        House,
        settings=settings(
            max_examples=25,
            stateful_step_count=25,
            deadline=None,
            suppress_health_check=list(HealthCheck),
        ),
    )
