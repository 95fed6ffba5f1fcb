"""Finding people."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.core.paginator import Page, Paginator
from django.db.models import QuerySet

from school.folding import digits, fold
from school.models import Enrolment, Golfer
from school.queries.missing import missing_by_enrolment

PAGE = 50
MOST = 20_000
COLUMNS = ("full_name", "email", "guardian_name", "guardian_email")
PHONES = ("phone", "guardian_phone")


@dataclass(frozen=True)
class PersonRow:
    """A golfer with the enrolments that are not cancelled, newest school first, and in words
    what is missing for those that are still to come."""

    golfer: Golfer
    enrolments: tuple[Enrolment, ...]
    missing: tuple[str, ...]


@dataclass(frozen=True)
class Found:
    """One page of people. `is_partial`: more are on file than were looked through."""

    rows: tuple[PersonRow, ...]
    page: Page[int]
    is_partial: bool


def golfers_on_file() -> QuerySet[Golfer]:
    """Everybody but those who were merged into somebody else."""
    return Golfer.objects.filter(merged_into__isnull=True)


def find_people(words: str, number: int | str = 1) -> Found:
    """The golfers in whose name, e-mail, telephone or guardian all `words` occur; all if empty.

    Case and accents do not matter, nor how a telephone number is spaced. The newest 20,000
    golfers are looked through in Python, because the two databases fold letters differently; a
    house with more needs a column with the folded text and, on PostgreSQL, a trigram index.

    Six queries at most, however many golfers.
    """
    rows = golfers_on_file().order_by("-pk").values_list("pk", *COLUMNS, *PHONES)[: MOST + 1]
    looked_through = list(rows)
    is_partial = len(looked_through) > MOST
    hits = [
        (fold(row[1]), row[0]) for row in looked_through[:MOST] if matches(words, row[1:5], row[5:])
    ]
    page = Paginator([pk for _, pk in sorted(hits)], PAGE).get_page(number)
    return Found(_rows(list(page.object_list)), page, is_partial)


def matches(words: str, texts: Iterable[str], phones: Iterable[str]) -> bool:
    """Whether every one of the `words` occurs in the texts, or all together are in a phone."""
    wanted = fold(words)
    as_phone = digits(wanted)
    if as_phone and not wanted.strip("0123456789 +()./-"):
        return any(as_phone in digits(phone) for phone in phones)
    text = fold(" ".join(texts))
    return all(word in text for word in wanted.split())


def _rows(keys: list[int]) -> tuple[PersonRow, ...]:
    golfers = Golfer.objects.in_bulk(keys)
    enrolments: dict[int, list[Enrolment]] = {key: [] for key in keys}
    live = Enrolment.objects.filter(golfer__in=keys, state__in=Enrolment.LIVE)
    found = list(live.select_related("school", "golfer").order_by("-school__starts_on", "-pk"))
    missing = missing_by_enrolment(found)
    for enrolment in found:
        enrolments[enrolment.golfer_id].append(enrolment)
    return tuple(
        PersonRow(
            golfer=golfers[key],
            enrolments=tuple(enrolments[key]),
            # Once each, although two schools may miss the same.
            missing=tuple(
                dict.fromkeys(
                    item.words for each in enrolments[key] for item in missing.get(each.pk, ())
                )
            ),
        )
        for key in keys
    )
