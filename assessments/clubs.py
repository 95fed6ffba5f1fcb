"""The clubs of a set by code: `7i`, `pw`, `driver`. No two are ever pooled."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext

from assessments.models.stills import ClubClass


@dataclass(frozen=True)
class Club:
    """A club, and the class it is tested in; a hybrid is tested with the fairway woods."""

    code: str
    title: str
    club_class: ClubClass


def _numbered(letter: str, name: str, numbers: str, club_class: ClubClass) -> list[Club]:
    return [Club(f"{number}{letter}", f"{number}-{name}", club_class) for number in numbers]


_ALL = [
    Club("driver", "driver", ClubClass.DRIVER),
    *_numbered("w", "wood", "234579", ClubClass.WOOD),
    *_numbered("h", "hybrid", "234567", ClubClass.WOOD),
    *_numbered("i", "iron", "123456789", ClubClass.IRON),
    Club("pw", "pitching wedge", ClubClass.WEDGE),
    Club("gw", "gap wedge", ClubClass.WEDGE),
    Club("sw", "sand wedge", ClubClass.WEDGE),
    Club("lw", "lob wedge", ClubClass.WEDGE),
]
CLUBS: Mapping[str, Club] = {club.code: club for club in _ALL}


def club_of(payload: Mapping[str, Any]) -> str:
    """What a payload says of its club: the code, or else the class; nothing if neither."""
    return str(payload.get("club") or payload.get("club_class") or "")


def club_title(code: str) -> str:
    """`7-iron` for `7i`; the label of the class for a class; the code if it is neither."""
    if code in CLUBS:
        return gettext(CLUBS[code].title)
    return gettext(str(ClubClass(code).label)) if code in ClubClass.values else code
