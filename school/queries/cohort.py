"""Everyone enrolled in one school, with what the front desk must know of each."""

from dataclasses import dataclass
from decimal import Decimal

from django.db.models import OuterRef, Prefetch, QuerySet, Subquery, Sum

from school.models import Consent, ConsentKind, Enrolment, Golfer, LedgerEntry, School
from school.queries.money import to_the_cent

# A no to these is an answer as good as a yes; nobody need be asked again.
FREE_CHOICES = (
    ConsentKind.NAMED_IN_CLASS,
    ConsentKind.REFERENCE,
    ConsentKind.PUBLICITY,
    ConsentKind.NEWS,
)


@dataclass(frozen=True)
class Attendee:
    """`given` and `missing` are kinds of consent; `balance` is owed if above zero."""

    enrolment: Enrolment
    golfer: Golfer
    seat: int | None
    is_minor: bool
    given: tuple[str, ...]
    missing: tuple[str, ...]
    balance: Decimal

    @property
    def missing_words(self) -> list[str]:
        return [ConsentKind(kind).label for kind in self.missing]


def cohort(school: School) -> list[Attendee]:
    """Everyone with a seat, by its number. Two queries."""
    rows = school.enrolments.filter(state=Enrolment.State.SEATED)
    return _attendees(school, rows.order_by("seat"))


def offers(school: School) -> list[Attendee]:
    """Everyone who is offered a seat, whoever must answer first at the head. Two queries."""
    rows = school.enrolments.filter(state=Enrolment.State.OFFERED)
    return _attendees(school, rows.order_by("offer_ends_at", "pk"))


def waiting_list(school: School) -> list[Attendee]:
    """Everyone waiting for a seat, longest waiting first. Two queries."""
    rows = school.enrolments.filter(state=Enrolment.State.WAITING)
    return _attendees(school, rows.order_by("enrolled_at", "pk"))


def cancelled(school: School) -> list[Attendee]:
    """Everyone who gave up a seat or a place on the list, the latest first. Two queries."""
    rows = school.enrolments.filter(state=Enrolment.State.CANCELLED)
    return _attendees(school, rows.order_by("-cancelled_at", "-pk"))


def _attendees(school: School, enrolments: QuerySet[Enrolment]) -> list[Attendee]:
    balance = (
        LedgerEntry.objects.filter(enrolment=OuterRef("pk"))
        .order_by()
        .values("enrolment")
        .annotate(total=Sum("amount"))
        .values("total")
    )
    live = Consent.objects.standing().select_related("text")
    rows = (
        enrolments.select_related("golfer")
        .prefetch_related(Prefetch("consents", queryset=live, to_attr="live_consents"))
        .annotate(owed=Subquery(balance))
    )
    return [_attendee(school, row) for row in rows]


def _attendee(school: School, row: Enrolment) -> Attendee:
    kinds = {consent.text.kind for consent in row.live_consents}  # type: ignore[attr-defined]
    return Attendee(
        enrolment=row,
        golfer=row.golfer,
        seat=row.seat,
        is_minor=row.golfer.is_minor_on(school.starts_on),
        given=tuple(kind for kind in ConsentKind.values if kind in kinds),
        missing=tuple(
            kind for kind in ConsentKind.values if kind not in kinds and kind not in FREE_CHOICES
        ),
        balance=to_the_cent(row.owed),  # type: ignore[attr-defined]
    )
