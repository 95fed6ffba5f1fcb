"""Whatever the front desk does, in whatever order, the promises hold."""

from contextlib import suppress
from decimal import Decimal

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from school.actions.enrolment import cancel_enrolment, enrol
from school.actions.money import record_payment, reverse_entry
from school.actions.schools import change_capacity
from school.errors import MarramError
from school.models import Enrolment, Golfer, LedgerEntry, School
from school.queries.cohort import cohort, waiting_list
from school.queries.money import school_money
from tests.factories import GolferFactory, SchoolFactory

WHO = st.integers(min_value=0, max_value=4)
STEP = st.one_of(
    st.tuples(st.just("enrol"), WHO),
    st.tuples(st.just("cancel"), WHO),
    st.tuples(st.just("pay"), WHO, st.decimals("0.01", "999.99", places=2)),
    st.tuples(st.just("reverse"), WHO, st.integers(0, 9)),
    st.tuples(st.just("resize"), st.integers(1, 4)),
)


def take(step: tuple[str, *tuple[object, ...]], school: School, golfers: list[Golfer]) -> None:
    verb, *rest = step
    if verb == "resize":
        change_capacity(school=school, capacity=rest[0], actor=None)  # type: ignore[arg-type]
        return
    golfer = golfers[rest[0]]  # type: ignore[call-overload]
    if verb == "enrol":
        enrol(school=school, golfer=golfer, actor=None)
        return
    enrolment = school.enrolments.filter(golfer=golfer).order_by("-pk").first()
    if enrolment is None:
        return
    if verb == "cancel":
        cancel_enrolment(enrolment=enrolment, why="", actor=None)
    elif verb == "pay":
        record_payment(enrolment=enrolment, amount=rest[1], method="cash", actor=None)  # type: ignore[arg-type]
    else:
        entries = list(enrolment.ledger.order_by("pk"))
        if entries:
            entry = entries[rest[1] % len(entries)]  # type: ignore[operator]
            reverse_entry(entry=entry, why="wrong", actor=None)


def promises(school: School, order: list[int]) -> None:
    """`order` is the keys of the waiting list as it was before the step."""
    school.refresh_from_db()
    rows = list(school.enrolments.all())
    seated = [row for row in rows if row.state == Enrolment.State.SEATED]
    waiting = [attendee.enrolment.pk for attendee in waiting_list(school)]
    seats = [row.seat for row in seated]
    assert len(seats) == len(set(seats))
    assert all(seat is not None and 1 <= seat <= school.capacity for seat in seats)
    assert not waiting or len(seated) == school.capacity
    live = [row.golfer_id for row in rows if row.state in Enrolment.LIVE]
    assert len(live) == len(set(live))
    still = [key for key in order if key in waiting]
    assert waiting[: len(still)] == still
    entries = LedgerEntry.objects.filter(enrolment__school=school)
    total = sum((entry.amount for entry in entries), Decimal("0.00"))
    assert school_money(school).due == total
    for attendee in cohort(school):
        own = [entry.amount for entry in entries if entry.enrolment_id == attendee.enrolment.pk]
        assert attendee.balance == sum(own, Decimal("0.00"))


@pytest.mark.django_db
@settings(
    max_examples=40,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(st.lists(STEP, max_size=14))
def test_any_sequence_keeps_the_promises(steps: list[tuple[str, *tuple[object, ...]]]) -> None:
    """Each example has a school and golfers of its own, so that none sees another's rows."""
    school = SchoolFactory.create(capacity=2, price=Decimal("60.10"))
    golfers = GolferFactory.create_batch(5)
    for step in steps:
        order = [attendee.enrolment.pk for attendee in waiting_list(school)]
        with suppress(MarramError):
            take(step, school, golfers)
        promises(school, order)
