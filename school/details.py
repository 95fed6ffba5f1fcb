"""What is said about a golfer and what they agree to, on its way to the database. Pure."""

from __future__ import annotations

from dataclasses import asdict, dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Any
from unicodedata import normalize

from school.errors import GuardianNeeded, MarramError

Key = tuple[str, ...]
# The kinds of consent without which nobody enrols by themselves; all others are free.
NEEDED_TO_JOIN = frozenset({"terms", "risk"})


@dataclass(frozen=True)
class GolferDetails:
    """The columns of a golfer that a person types. `handicap_index` below zero is a plus."""

    full_name: str
    handedness: str
    email: str = ""
    phone: str = ""
    birth_date: date | None = None
    handicap_index: Decimal | None = None
    guardian_name: str = ""
    guardian_phone: str = ""
    care_notes: str = ""
    emergency_contact: str = ""
    guardian_email: str = ""

    def known_by(self) -> list[Key]:
        """What tells golfers apart, strongest first: e-mail and name, then birth date and name.

        Empty when neither is known; such a golfer is never recognised again.
        """
        name = normalize("NFC", self.full_name).casefold()
        found: list[Key] = []
        if self.email:
            found.append(("e-mail", self.email.lower(), name))
        if self.birth_date:
            found.append(("born", self.birth_date.isoformat(), name))
        return found

    def filled_over(self, other: GolferDetails) -> GolferDetails:
        """These details, with `other`'s wherever these are empty, and the name as `other` has it:
        who was known again by it only had it spelt with other capitals."""
        mine: dict[str, Any] = {
            name: value
            for name, value in asdict(self).items()
            if value not in ("", None) and name != "full_name"
        }
        return replace(other, **mine)


@dataclass(frozen=True)
class Wishes:
    """What an attendee wants of one school."""

    goals: str = ""
    diet: str = ""
    keep_together: str = ""
    wants_club_hire: bool = False


@dataclass(frozen=True)
class Agreement:
    """The kinds of consent given, and by whom. Each kind stands alone."""

    kinds: frozenset[str] = frozenset()
    given_by: str = ""


def refuse_wrong_giver(guardian: str | None, given_by: str) -> None:
    """Refuse a consent that names nobody or, where there is a `guardian`, somebody else.

    Raises MarramError or GuardianNeeded. `guardian` is None for an adult, who signs alone.
    """
    if not given_by:
        raise MarramError("Say who gave the consent.")
    if guardian is not None and given_by.casefold() != guardian.casefold():
        raise GuardianNeeded(
            f"For a minor the guardian gives consent: {guardian or 'enter the guardian first'}."
        )
