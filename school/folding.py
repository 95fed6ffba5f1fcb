"""Names, telephones and e-mails made comparable, the same on every database. Pure.

SQLite's small letters end at z and PostgreSQL's do not drop accents, so neither is asked.
"""

from __future__ import annotations

import re
from difflib import SequenceMatcher
from unicodedata import combining, normalize

# Letters that Unicode does not take apart into a plain letter and a mark.
_WITHOUT_MARK = str.maketrans(
    {"ł": "l", "ø": "o", "đ": "d", "ð": "d", "þ": "th", "æ": "ae", "œ": "oe", "ı": "i", "ħ": "h"}
)
_SIGNIFICANT_DIGITS = 9
_FEWEST_DIGITS = 7
_ALIKE = 0.8


def fold(text: str) -> str:
    """Small letters without accents: “Żółć” and “ZOLC” both become “zolc”."""
    parts = normalize("NFKD", text.casefold())
    plain = "".join(letter for letter in parts if not combining(letter))
    return " ".join(plain.translate(_WITHOUT_MARK).split())


def digits(text: str) -> str:
    """The digits 0 to 9 of a telephone number, in order."""
    return re.sub(r"[^0-9]", "", text)


def phone_key(phone: str) -> str:
    """What two ways of writing one telephone number share: its last nine digits.

    “+44 1632 960303” and “01632 960303” have one key. Empty below seven digits, which tell
    nothing without their area.
    """
    found = digits(phone)
    return found[-_SIGNIFICANT_DIGITS:] if len(found) >= _FEWEST_DIGITS else ""


def names_are_similar(one: str, other: str) -> bool:
    """Whether two names may be one person's: alike letter by letter, whatever the order of the
    words, or every word of the shorter one begins a word of the longer (“Jo Bell”, “Joanna Bell”).
    """
    mine, theirs = sorted(_words(one)), sorted(_words(other))
    if not mine or not theirs:
        return False
    if SequenceMatcher(None, " ".join(mine), " ".join(theirs)).ratio() >= _ALIKE:
        return True
    return _begins(mine, theirs) or _begins(theirs, mine)


def _begins(short: list[str], long: list[str]) -> bool:
    """Whether two words or more each begin a word of the other name."""
    return len(short) > 1 and all(any(word.startswith(s) for word in long) for s in short)


def _words(name: str) -> list[str]:
    return re.findall(r"\w+", fold(name))
