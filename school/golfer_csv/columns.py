"""The columns of a list of golfers and the headings they go by."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from school.golfer_csv import cells

CONSENT = "consent "


@dataclass(frozen=True)
class Column:
    """`key` is a field of GolferDetails, or a consent's kind; `title` is the heading we print."""

    key: str
    title: str
    read: Callable[[str], Any]
    also: tuple[str, ...] = ()
    needed: bool = False


COLUMNS = (
    Column("full_name", "name", cells.text, ("full name", "golfer", "golfer name"), needed=True),
    Column("email", "email", cells.text, ("e mail", "mail", "email address", "e mail address")),
    Column("phone", "phone", cells.phone, ("telephone", "tel", "mobile", "phone number")),
    Column(
        "birth_date", "birth date", cells.birth_date, ("date of birth", "birthdate", "dob", "born")
    ),
    Column("handedness", "handed", cells.handedness, ("handedness", "hand", "plays"), needed=True),
    Column("handicap_index", "handicap", cells.handicap, ("handicap index", "index", "hcp")),
    Column("guardian_name", "guardian name", cells.text, ("guardian", "parent", "parent name")),
    Column("guardian_phone", "guardian phone", cells.phone, ("guardian telephone", "parent phone")),
    Column("care_notes", "care notes", cells.paragraph, ("notes", "care", "health")),
    Column("emergency_contact", "emergency contact", cells.text, ("emergency", "in an emergency")),
    Column("terms", CONSENT + "terms", cells.yes_or_no, ("terms",)),
    Column("risk", CONSENT + "risk", cells.yes_or_no, ("risk", "assumption of risk")),
    Column("filming", CONSENT + "filming", cells.yes_or_no, ("filming", "consent filmed")),
    Column("shown_in_class", CONSENT + "shown in class", cells.yes_or_no, ("shown in class",)),
    Column("consent_by", CONSENT + "by", cells.text, ("consent given by", "given by", "signed by")),
)
DETAILS = COLUMNS[:10]
CONSENTS = COLUMNS[10:14]

_BY_HEADING = {name: column for column in COLUMNS for name in (column.title, *column.also)}


def column_called(heading: str) -> Column | None:
    """The column a heading means, whatever its case and punctuation."""
    words = "".join(letter if letter.isalnum() else " " for letter in heading.casefold())
    return _BY_HEADING.get(" ".join(words.split()))


def count_known(headings: list[str]) -> int:
    return sum(column_called(heading) is not None for heading in headings)


def title_of(key: str) -> str:
    return next(column.title for column in COLUMNS if column.key == key)
