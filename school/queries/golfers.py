"""Knowing a golfer again."""

from collections.abc import Iterable

from django.db.models import F, Q
from django.db.models.functions import Lower

from school.details import GolferDetails, Key
from school.models import Golfer


def details_of(golfer: Golfer) -> GolferDetails:
    """The golfer's columns as they stand on file. No query."""
    return GolferDetails(
        **{name: getattr(golfer, name) for name in GolferDetails.__dataclass_fields__}
    )


def known_golfers(wanted: Iterable[GolferDetails]) -> dict[Key, Golfer]:
    """The golfers on file that any of the details may mean, by each of their keys. One query.

    Who was merged into another is known as that other, also under the old keys. Names are
    compared here and not by the database, whose small letters may end at z.
    """
    looked_for = list(wanted)
    emails = {details.email.lower() for details in looked_for if details.email}
    births = {details.birth_date for details in looked_for if details.birth_date}
    rows = (
        Golfer.objects.annotate(small_email=Lower("email"))
        .filter(Q(small_email__in=emails) | Q(birth_date__in=births))
        .select_related("merged_into")
        # Of two alike, one who was not merged is kept, then the older one.
        .order_by(F("merged_into").asc(nulls_last=True), "-pk")
    )
    return {
        key: golfer.merged_into or golfer
        for golfer in rows
        for key in details_of(golfer).known_by()
    }


def recognise(details: GolferDetails, known: dict[Key, Golfer]) -> Golfer | None:
    """The golfer these details mean, if on file. No query."""
    return next((known[key] for key in details.known_by() if key in known), None)
