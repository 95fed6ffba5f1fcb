"""Whatever is done with bank lines, in whatever order, each pays once and in its own currency."""

from contextlib import suppress
from decimal import Decimal

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from school.actions.bank import match_certain, match_line, set_aside, take_up_again
from school.actions.enrolment import enrol
from school.bank_csv import payment_reference
from school.errors import MarramError
from school.models import BankLine, Enrolment, LedgerEntry
from school.queries.bank import worklist
from tests.factories import BankLineFactory, GolferFactory, SchoolFactory

WHICH = st.integers(0, 3)
STEP = st.one_of(
    st.tuples(st.sampled_from(["match", "aside", "again"]), WHICH, WHICH),
    st.just(("certain", 0, 0)),
)


def take(step: tuple[str, int, int], lines: list[BankLine], enrolments: list[Enrolment]) -> None:
    verb, line, enrolment = step
    if verb == "match":
        match_line(line=lines[line], enrolment=enrolments[enrolment], actor=None)
    elif verb == "aside":
        set_aside(line=lines[line], why="rent", actor=None)
    elif verb == "again":
        take_up_again(line=lines[line], why="wrong", actor=None)
    else:
        sure = [work.certain for work in worklist() if work.certain]
        match_certain(shown={(s.line.pk, s.candidate.pk) for s in sure}, actor=None)


@pytest.mark.django_db
@settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(st.lists(STEP, max_size=12))
def test_each_line_pays_once_and_in_its_own_currency(steps: list[tuple[str, int, int]]) -> None:
    schools = [SchoolFactory.create(currency=code) for code in ("GBP", "EUR")]
    enrolments = [
        enrol(school=school, golfer=GolferFactory.create(), actor=None) for school in schools * 2
    ]
    lines = [
        BankLineFactory.create(text=payment_reference(e.pk), currency=e.school.currency)
        for e in enrolments
    ]
    for step in steps:
        with suppress(MarramError):
            take(step, lines, enrolments)
    matched = BankLine.objects.filter(pk__in=[line.pk for line in lines], entry__isnull=False)
    standing = LedgerEntry.objects.filter(
        enrolment__in=enrolments, kind="payment", reversed_by__isnull=True
    )
    assert {line.entry_id for line in matched} == {entry.pk for entry in standing}
    for line in matched.select_related("entry__enrolment__school"):
        assert line.entry is not None
        assert (line.currency, line.amount) == (
            line.entry.enrolment.school.currency,
            -line.entry.amount,
        )
    paid = sum((line.amount for line in matched), Decimal(0))
    assert sum(e.balance() for e in enrolments) == 4 * Decimal("960.00") - paid
