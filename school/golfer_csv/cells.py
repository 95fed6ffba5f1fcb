"""From the text of one cell to its value.

Each function raises ValueError with words for the person who typed the cell. The forms use the
same functions, so that a handicap may be written alike in both.
"""

import re
import unicodedata
from datetime import date
from decimal import Decimal

from school.wording import format_handicap

BEST_HANDICAP = Decimal("-10.0")
LAST_HANDICAP = Decimal("54.0")
OLDEST_YEARS = 110

_EMPTY = {"", "-", "–", "—", "n/a"}
_RIGHT = {"right", "r", "rh", "right handed", "right hand"}
_LEFT = {"left", "l", "lh", "left handed", "left hand"}
_YES = {"yes", "y", "true", "1", "x", "✓"}
_NO = {"no", "n", "false", "0"}
_NO_HANDICAP = {"none", "none yet", "no"}


class MonthFirst(ValueError):
    """A date that makes sense only with the month before the day."""


def text(cell: str) -> str:
    """One line of text. What a spreadsheet would run as a formula is refused."""
    return _plain(" ".join(cell.split()))


def paragraph(cell: str) -> str:
    """Text that may have several lines."""
    return _plain("\n".join(" ".join(line.split()) for line in cell.strip().splitlines()))


def phone(cell: str) -> str:
    """A telephone number; the plus of a country code is no formula."""
    number = " ".join(cell.split())
    if re.fullmatch(r"\+[0-9][0-9 ()./-]*", number):
        return number
    return _plain(number)


def handedness(cell: str) -> str:
    word = _word(cell)
    if word in _RIGHT:
        return "right"
    if word in _LEFT:
        return "left"
    if word in _EMPTY:
        raise ValueError("Say right or left.")
    raise ValueError(f"{quoted(cell)} is neither right nor left.")


def yes_or_no(cell: str) -> bool:
    """Whether a consent is given; an empty cell gives none."""
    word = _word(cell)
    if word in _YES:
        return True
    if word in _NO or word in _EMPTY:
        return False
    raise ValueError(f"{quoted(cell)} is neither yes nor no.")


def handicap(cell: str) -> Decimal | None:
    """A Handicap Index, −10.0 for the best, which is written +10.0; None where there is none."""
    word = " ".join(cell.split()).lower()
    if word in _EMPTY or word in _NO_HANDICAP:
        return None
    if not re.fullmatch(r"\+?[0-9]{1,2}([.,][0-9])?", word):
        raise ValueError(
            f"{quoted(cell)} is no Handicap Index. Write it like 18.4, a plus handicap like +2.1."
        )
    index = Decimal(word.lstrip("+").replace(",", ".")).quantize(Decimal("0.1"))
    if word.startswith("+"):
        index = -index if index else index
    if not BEST_HANDICAP <= index <= LAST_HANDICAP:
        raise ValueError(
            f"A Handicap Index lies between {format_handicap(BEST_HANDICAP)} "
            f"and {format_handicap(LAST_HANDICAP)}."
        )
    return index


def birth_date(cell: str) -> date | None:
    """A date with the year first (1980-12-31) or with the day first (31/12/1980, 31.12.1980)."""
    word = cell.strip()
    if word in _EMPTY:
        return None
    if match := re.fullmatch(r"([0-9]{4})-([0-9]{1,2})-([0-9]{1,2})", word):
        year, month, day = map(int, match.groups())
    elif match := re.fullmatch(r"([0-9]{1,2})[/.]([0-9]{1,2})[/.]([0-9]{4})", word):
        day, month, year = map(int, match.groups())
        if month > 12 >= day:
            raise MonthFirst(f"{quoted(cell)} has no such month. Days come before months here.")
    else:
        raise ValueError(f"{quoted(cell)} is no date. Write it like 1980-12-31 or 31/12/1980.")
    try:
        return date(year, month, day)
    except ValueError:
        raise ValueError(f"{quoted(cell)} is not in the calendar.") from None


def reads_two_ways(cell: str) -> bool:
    """Whether a date would be another one with the month first."""
    match = re.fullmatch(r"([0-9]{1,2})[/.]([0-9]{1,2})[/.][0-9]{4}", cell.strip())
    return match is not None and match[1] != match[2] and max(map(int, match.groups())) <= 12


def a_life_ago(born: date, today: date) -> None:
    """Refuse a birth date that lies ahead, or further back than anybody's."""
    if born > today:
        raise ValueError("This birth date lies in the future.")
    if today.year - born.year > OLDEST_YEARS:
        raise ValueError(f"This birth date is more than {OLDEST_YEARS} years ago.")


def quoted(cell: str) -> str:
    """The cell in quotation marks, cut short, to be named in a sentence."""
    short = " ".join(cell.split())
    return f"“{short if len(short) <= 30 else short[:29] + '…'}”"


def _plain(value: str) -> str:
    if value in _EMPTY:
        return ""
    if value.startswith(("=", "+", "-", "@")):
        raise ValueError(
            f"The cell begins with “{value[0]}”, which a spreadsheet takes for a formula."
        )
    if any(unicodedata.category(letter) in ("Cc", "Cs") for letter in value.replace("\n", "")):
        raise ValueError("The cell has a character that cannot be printed.")
    return value


def _word(cell: str) -> str:
    return " ".join(cell.replace("-", " ").split()).lower() if cell.strip() != "-" else "-"
