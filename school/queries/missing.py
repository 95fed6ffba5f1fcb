"""What is missing from whom before a school can begin."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from school.clock import today_at
from school.models import Consent, ConsentKind, ConsentText, Enrolment, LedgerEntry, School
from school.policy import due_by, schedule
from school.queries.money import ZERO
from school.wording import format_money

# The two without which nobody takes part; the others are a free choice that may stay a no.
NEEDED_CONSENTS = (ConsentKind.TERMS, ConsentKind.RISK)
What = Literal["consents", "birth date or guardian", "emergency contact", "balance", "e-mail"]
KINDS: tuple[What, ...] = (
    "consents",
    "birth date or guardian",
    "emergency contact",
    "balance",
    "e-mail",
)


@dataclass(frozen=True)
class Missing:
    """One thing to ask for; `words` stand after “missing:”."""

    what: What
    words: str


@dataclass(frozen=True)
class MissingLine:
    enrolment: Enrolment
    items: tuple[Missing, ...]

    @property
    def words(self) -> str:
        return ", ".join(item.words for item in self.items)


@dataclass(frozen=True)
class SchoolMissing:
    """Who lacks what, by seat; `counts` says of how many attendees each is missing, most first."""

    lines: tuple[MissingLine, ...]
    counts: tuple[tuple[What, int], ...]


def missing_in(school: School) -> SchoolMissing:
    """What is missing from those who have a seat in the school. Four queries."""
    rows = list(
        school.enrolments.filter(state=Enrolment.State.SEATED)
        .select_related("golfer", "school")
        .order_by("seat")
    )
    found = missing_by_enrolment(rows)
    lines = tuple(MissingLine(row, found[row.pk]) for row in rows if row.pk in found)
    counts = [(what, sum(what in {i.what for i in line.items} for line in lines)) for what in KINDS]
    return SchoolMissing(
        lines, tuple(sorted((c for c in counts if c[1]), key=lambda count: -count[1]))
    )


def missing_by_enrolment(enrolments: Sequence[Enrolment]) -> dict[int, tuple[Missing, ...]]:
    """What each enrolment lacks, by its key; those that lack nothing, or whose school is closed,
    are left out. They come with their golfer and school. Three queries.
    """
    asked = [row for row in enrolments if row.school.state != School.State.CLOSED]
    has_words = set(ConsentText.objects.values_list("kind", flat=True).distinct())
    given: dict[int, set[str]] = {}
    live = (
        Consent.objects.standing()
        .filter(enrolment__in=[row.pk for row in asked])
        .values_list("enrolment", "text__kind")
    )
    for key, kind in live:
        given.setdefault(key, set()).add(kind)
    overdue = _overdue(asked)
    needed = [kind for kind in NEEDED_CONSENTS if kind in has_words]
    found = {}
    for row in asked:
        consents = [kind for kind in needed if kind not in given.get(row.pk, ())]
        items = tuple(_lacks(row, consents, overdue[row.pk]))
        if items:
            found[row.pk] = items
    return found


def _overdue(enrolments: Sequence[Enrolment]) -> dict[int, Decimal]:
    """How much of what has fallen due is not paid, by enrolment. One query."""
    ledger: defaultdict[int, list[LedgerEntry]] = defaultdict(list)
    entries = LedgerEntry.objects.filter(enrolment__in=[row.pk for row in enrolments])
    for entry in entries.select_related("reverses", "reversed_by"):
        ledger[entry.enrolment_id].append(entry)
    return {row.pk: _overdue_of(row.school, ledger[row.pk]) for row in enrolments}


def _overdue_of(school: School, entries: Iterable[LedgerEntry]) -> Decimal:
    price = received = ZERO
    charged_at = []
    for entry in entries:
        what = entry.reverses or entry
        if what.kind in (LedgerEntry.Kind.PAYMENT, LedgerEntry.Kind.REFUND):
            received -= entry.amount
            continue
        price += entry.amount
        if entry.kind == LedgerEntry.Kind.CHARGE and not hasattr(entry, "reversed_by"):
            charged_at.append(entry.entered_at)
    if not charged_at:
        return ZERO
    dues = schedule(
        price=price,
        deposit=school.deposit,
        starts_on=school.starts_on,
        balance_due_days=school.balance_due_days,
        enrolled_on=min(charged_at).astimezone(school.zone).date(),
        currency=school.currency,
    )
    return max(ZERO, due_by(dues, today_at(school)) - received)


def _lacks(row: Enrolment, consents: Iterable[ConsentKind], overdue: Decimal) -> Iterator[Missing]:
    golfer, school = row.golfer, row.school
    for kind in consents:
        yield Missing("consents", f"consent to “{kind.label}”")
    if golfer.birth_date is None:
        yield Missing("birth date or guardian", "birth date")
    elif golfer.is_minor_on(school.starts_on) and not (
        golfer.guardian_name and golfer.guardian_phone
    ):
        yield Missing("birth date or guardian", "a guardian's name and telephone")
    if not golfer.emergency_contact:
        yield Missing("emergency contact", "emergency contact")
    if overdue:
        yield Missing("balance", f"{format_money(overdue, school.currency)} overdue")
    if not (golfer.email or golfer.guardian_email):
        yield Missing("e-mail", "e-mail")
