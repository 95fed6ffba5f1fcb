"""Bank lines: what importing a table would do, and whose money each waiting line may be."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Q, QuerySet, Sum

from school.bank_csv import (
    BankRow,
    BankSheet,
    Candidate,
    Suggestion,
    WaitingLine,
    references_in,
    suggest,
)
from school.golfer_csv import CellError
from school.models import BankLine, Enrolment, School
from school.payments.parts import parts_due
from school.queries.money import ZERO, to_the_cent

MONEY_MOVED = ("payment", "refund")
RECEIVED = Q(ledger__kind__in=MONEY_MOVED) | Q(ledger__reverses__kind__in=MONEY_MOVED)


@dataclass(frozen=True)
class PlannedLine:
    row: BankRow
    is_known: bool


@dataclass(frozen=True)
class BankPlan:
    table: str
    currency: str
    lines: tuple[PlannedLine, ...]
    errors: tuple[CellError, ...]
    notes: tuple[str, ...]

    @property
    def new(self) -> list[BankRow]:
        return [line.row for line in self.lines if not line.is_known]


@dataclass(frozen=True)
class LineWork:
    """A waiting line and whose money it may be, the likeliest first."""

    line: BankLine
    suggestions: tuple[Suggestion, ...]

    @property
    def certain(self) -> Suggestion | None:
        return next((s for s in self.suggestions if s.is_certain), None)


def plan_bank_import(sheet: BankSheet) -> BankPlan:
    """Which lines of the sheet are new. One query, however many lines."""
    known = set(
        BankLine.objects.filter(fingerprint__in=[r.fingerprint for r in sheet.rows])
        .order_by()
        .values_list("fingerprint", flat=True)
    )
    lines = tuple(PlannedLine(row, row.fingerprint in known) for row in sheet.rows)
    return BankPlan(sheet.table, sheet.currency, lines, sheet.errors, sheet.notes)


def waiting_lines() -> QuerySet[BankLine]:
    """The lines that are neither matched nor set aside, oldest first."""
    return BankLine.objects.filter(entry__isnull=True, set_aside="")


def worklist(lines: Iterable[BankLine] | None = None) -> list[LineWork]:
    """The waiting lines with proposals. Two queries, however many lines and enrolments."""
    rows = list(waiting_lines() if lines is None else lines)
    named = {pk for row in rows for pk in references_in(row.text)}
    found = suggest(
        [WaitingLine(row.pk, row.amount, row.currency, row.text) for row in rows],
        _candidates(named) if rows else [],
    )
    return [LineWork(row, found[row.pk]) for row in rows]


def dealt_with(most: int) -> list[BankLine]:
    """The lines that were matched or set aside last, latest first. One query."""
    rows = BankLine.objects.exclude(entry__isnull=True, set_aside="")
    return list(
        rows.select_related("entry__enrolment__golfer", "entry__enrolment__school").order_by(
            "-booked_on", "-pk"
        )[:most]
    )


def currencies_in_use() -> list[str]:
    """The currencies schools are sold in, the one of the latest school first. One query."""
    found = School.objects.order_by("-pk").values_list("currency", flat=True)
    return list(dict.fromkeys(found))


def _candidates(named: set[int]) -> list[Candidate]:
    """Whoever owes something, and whoever a text names by reference. One query."""
    rows = (
        Enrolment.objects.annotate(
            owed=Sum("ledger__amount"), moved=Sum("ledger__amount", filter=RECEIVED)
        )
        .filter(Q(owed__gt=0) | Q(pk__in=named))
        .select_related("golfer", "school")
        .order_by("pk")
    )
    return [_candidate(row) for row in rows]


def _candidate(row: Enrolment) -> Candidate:
    owed, received = to_the_cent(row.owed), ZERO - to_the_cent(row.moved)  # type: ignore[attr-defined]
    parts = parts_due(deposit=row.school.deposit, price=owed + received, received=received)
    return Candidate(
        pk=row.pk,
        name=row.golfer.full_name,
        currency=row.school.currency,
        due=parts.balance,
        deposit_due=parts.deposit,
    )


def enrolments_to_match(currency: str) -> QuerySet[Enrolment]:
    """Everyone a line of this currency could be matched with by hand, by name."""
    return (
        Enrolment.objects.filter(school__currency=currency)
        .filter(Q(state__in=Enrolment.LIVE) | Q(ledger__isnull=False))
        .select_related("golfer", "school")
        .order_by("golfer__full_name", "pk")
        .distinct()
    )
