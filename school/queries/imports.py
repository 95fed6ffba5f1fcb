"""What a list of golfers would do to a school, before anything is written."""

from dataclasses import dataclass

from django.core.exceptions import ValidationError

from school.details import Agreement, GolferDetails, refuse_wrong_giver
from school.errors import MarramError
from school.golfer_csv import CellError, Sheet, SheetRow
from school.golfer_csv.columns import title_of
from school.models import ConsentKind, Enrolment, Golfer, School
from school.queries.golfers import details_of, known_golfers, recognise
from school.queries.seats import free_seats, waiting_in_order


@dataclass(frozen=True)
class RowPlan:
    """What one row will do. `seat` or `place`, counted from 1 on the waiting list, or neither."""

    number: int
    details: GolferDetails
    agreement: Agreement
    is_known: bool
    is_enrolled: bool
    seat: int | None = None
    place: int | None = None

    @property
    def consents(self) -> list[str]:
        return [ConsentKind(k).label for k in ConsentKind.values if k in self.agreement.kinds]


@dataclass(frozen=True)
class ImportPlan:
    text: str
    rows: tuple[RowPlan, ...]
    errors: tuple[CellError, ...]
    notes: tuple[str, ...]

    @property
    def joining(self) -> list[RowPlan]:
        return [row for row in self.rows if not row.is_enrolled]


def plan_import(school: School, sheet: Sheet) -> ImportPlan:
    """What importing the sheet would do now. Four queries, however many rows."""
    known = known_golfers(row.details for row in sheet.rows)
    enrolled = set(
        school.enrolments.filter(
            state__in=Enrolment.LIVE, golfer__in={golfer.pk for golfer in known.values()}
        ).values_list("golfer_id", flat=True)
    )
    queue = len(waiting_in_order(school))
    free = [] if queue else free_seats(school)  # who waits already is asked first
    rows: list[RowPlan] = []
    errors = list(sheet.errors)
    for row in sheet.rows:
        golfer = recognise(row.details, known)
        is_enrolled = golfer is not None and golfer.pk in enrolled
        wrong = [] if is_enrolled else _errors(row, golfer, school)
        errors += wrong
        if wrong:
            continue
        seat = place = None
        if not is_enrolled and free:
            seat = free.pop(0)
        elif not is_enrolled:
            queue += 1
            place = queue
        rows.append(
            RowPlan(
                number=row.number,
                details=row.details,
                agreement=row.agreement,
                is_known=golfer is not None,
                is_enrolled=is_enrolled,
                seat=seat,
                place=place,
            )
        )
    errors.sort(key=lambda error: error.row)
    return ImportPlan(sheet.text, tuple(rows), tuple(errors), sheet.notes)


def _errors(row: SheetRow, golfer: Golfer | None, school: School) -> list[CellError]:
    """What the file of golfers or the school cannot take. No query."""
    details = row.details.filled_over(details_of(golfer)) if golfer else row.details
    would_be = Golfer(**details.__dict__)
    found = []
    try:
        would_be.clean_fields(exclude=["account"])
    except ValidationError as refused:
        found = [
            CellError(row.number, title_of(key), " ".join(words))
            for key, words in refused.message_dict.items()
        ]
    is_minor = would_be.is_minor_on(school.starts_on)
    if is_minor:
        found += [
            CellError(
                row.number, title_of(key), "A minor comes only with a guardian: fill this in."
            )
            for key in ("guardian_name", "guardian_phone")
            if not getattr(details, key)
        ]
    if row.agreement.kinds and (details.guardian_name or not is_minor):
        try:
            guardian = details.guardian_name if is_minor else None
            refuse_wrong_giver(guardian, row.agreement.given_by)
        except MarramError as refused:
            found.append(CellError(row.number, title_of("consent_by"), str(refused)))
    return found
