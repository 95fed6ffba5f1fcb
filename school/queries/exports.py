"""The columns of the desk's two files, and their rows."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Generic, TypeVar

from school.errors import ExportRefused
from school.exports import Cell
from school.models import ConsentKind, LedgerEntry, School
from school.queries.cohort import Attendee, cohort, waiting_list
from school.wording import format_handicap

T = TypeVar("T")


@dataclass(frozen=True)
class Column(Generic[T]):
    """`is_private`: not ticked for anybody, since only few need it."""

    key: str
    title: str
    value: Callable[[T], Cell]
    is_private: bool = False


def _consent(kind: ConsentKind) -> Column[Attendee]:
    return Column(f"consent_{kind}", f"consent: {kind.label}", lambda a: kind.value in a.given)


COHORT: tuple[Column[Attendee], ...] = (
    Column("seat", "seat", lambda a: a.seat),
    Column("state", "state", lambda a: a.enrolment.get_state_display()),
    Column("name", "name", lambda a: a.golfer.full_name),
    Column("email", "email", lambda a: a.golfer.email),
    Column("phone", "phone", lambda a: a.golfer.phone),
    Column("handed", "handed", lambda a: a.golfer.handedness),
    Column("handicap", "handicap", lambda a: format_handicap(a.golfer.handicap_index)),
    Column("birth_date", "birth date", lambda a: a.golfer.birth_date, is_private=True),
    Column("guardian", "guardian name", lambda a: a.golfer.guardian_name, is_private=True),
    Column("guardian_phone", "guardian phone", lambda a: a.golfer.guardian_phone, is_private=True),
    Column("emergency", "emergency contact", lambda a: a.golfer.emergency_contact, is_private=True),
    Column("care_notes", "care notes", lambda a: a.golfer.care_notes, is_private=True),
    Column("goals", "goals", lambda a: a.enrolment.goals),
    Column("diet", "diet", lambda a: a.enrolment.diet, is_private=True),
    Column("club_hire", "club hire", lambda a: a.enrolment.wants_club_hire),
    Column("keep_together", "together with", lambda a: a.enrolment.keep_together),
    *(_consent(kind) for kind in ConsentKind),
    Column("balance", "balance", lambda a: a.balance),
)

LEDGER: tuple[Column[LedgerEntry], ...] = (
    Column("entry", "entry", lambda e: e.pk),
    Column("when", "when", lambda e: e.entered_at.astimezone(e.enrolment.school.zone)),
    Column("golfer", "golfer", lambda e: e.enrolment.golfer.full_name),
    Column("kind", "kind", lambda e: e.get_kind_display()),
    Column("method", "method", lambda e: e.get_method_display()),
    Column("amount", "amount", lambda e: e.amount.quantize(Decimal("0.01"))),
    Column("currency", "currency", lambda e: e.enrolment.school.currency),
    Column("memo", "note", lambda e: e.memo),
    Column("reverses", "reverses entry", lambda e: e.reverses_id),
    Column("entered_by", "entered by", lambda e: str(e.entered_by or "Marram")),
)


def cohort_rows(school: School) -> list[Attendee]:
    """Everyone with a seat, then the waiting list. Four queries."""
    return [*cohort(school), *waiting_list(school)]


def ledger_rows(school: School) -> list[LedgerEntry]:
    """Every entry of the school's enrolments, oldest first. One query."""
    entries = LedgerEntry.objects.filter(enrolment__school=school)
    return list(entries.select_related("enrolment__golfer", "enrolment__school", "entered_by"))


def asked_for(columns: Sequence[Column[T]], keys: Sequence[str]) -> list[Column[T]]:
    """The columns of these keys, in our order. Raises ExportRefused for none or an unknown one."""
    unknown = set(keys) - {column.key for column in columns}
    if unknown:
        raise ExportRefused(f"There is no column {', '.join(sorted(unknown))}.")
    if not keys:
        raise ExportRefused("Tick at least one column.")
    return [column for column in columns if column.key in keys]
