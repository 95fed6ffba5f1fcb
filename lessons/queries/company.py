"""Who of a cohort belongs with whom: a minor and who looks after them, and what points that way.

No row says which golfer a minor's guardian is, so it is told by name and e-mail, and only where
exactly one adult of the cohort can be meant.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from school.models import Enrolment, Golfer, School


@dataclass(frozen=True)
class Company:
    """Keys of enrolments: minors with who looks after them, and pairs that perhaps are such."""

    cares: tuple[tuple[int, int], ...]
    perhaps: tuple[tuple[int, int], ...]


def company_of(school: School, enrolments: Iterable[Enrolment]) -> Company:
    """The cohort's pairs, each the minor first. No query."""
    seated = list(enrolments)
    minors = [each for each in seated if each.golfer.is_minor_on(school.starts_on)]
    adults = [each for each in seated if each not in minors]
    cares: list[tuple[int, int]] = []
    perhaps: list[tuple[int, int]] = []
    for minor in minors:
        guardian = _guardian(minor.golfer, adults)
        if guardian is not None:
            cares.append((minor.pk, guardian.pk))
        else:
            perhaps += [(minor.pk, each.pk) for each in adults if _akin(minor.golfer, each.golfer)]
    return Company(tuple(cares), tuple(perhaps))


def _guardian(minor: Golfer, adults: Sequence[Enrolment]) -> Enrolment | None:
    """Who bears the guardian's name, unless e-mails differ; else who has the guardian's e-mail."""
    by_name = [
        each
        for each in adults
        if _plain(each.golfer.full_name) == _plain(minor.guardian_name)
        and not _differ(each.golfer.email, minor.guardian_email)
    ]
    by_email = [each for each in adults if _same(each.golfer.email, minor.guardian_email)]
    for found in (by_name, by_email):
        if len(found) == 1:
            return found[0]
    return None


def _akin(minor: Golfer, adult: Golfer) -> bool:
    """An e-mail shared with the minor or the guardian, or the surname of one of them."""
    emails, names = (minor.email, minor.guardian_email), (minor.full_name, minor.guardian_name)
    return any(_same(adult.email, each) for each in emails) or any(
        _same(_surname(adult.full_name), _surname(each)) for each in names
    )


def _surname(name: str) -> str:
    return _plain(name).rpartition(" ")[2]


def _plain(name: str) -> str:
    return " ".join(name.casefold().split())


def _same(one: str, other: str) -> bool:
    return bool(one) and one.casefold() == other.casefold()


def _differ(one: str, other: str) -> bool:
    return bool(one and other) and not _same(one, other)
