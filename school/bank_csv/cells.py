"""From the text of one cell of a bank's table to its value.

Each function raises ValueError with words for the person at the desk.
"""

import re
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from school.golfer_csv import cells
from school.wording import SIGNS

MOST = Decimal("9999999.99")
LONGEST_TEXT = 300
POINT, COMMA = ".", ","
_CREDIT = {"c", "cr", "crdt", "credit", "in", "h", "haben", "+"}
_DEBIT = {"d", "dr", "dbit", "debit", "out", "s", "soll", "-", "−"}
_BY_SIGN = {sign: code for code, sign in SIGNS.items() if sign != "$"}
_GAPS = " \u00a0\u202f'’"
_DAY_FIRST = r"([0-9]{1,2})([/. -])([0-9]{1,2}|[A-Za-z]{3,9})\2([0-9]{2}|[0-9]{4})"
_MONTH_NAMES = "janfebmaraprmayjunjulaugsepoctnovdec"
_MONTHS = {_MONTH_NAMES[3 * n : 3 * n + 3]: n + 1 for n in range(12)}
_FIGURE = re.compile(r"[0-9]+(?:[.,][0-9]+)*")


@dataclass(frozen=True)
class Amount:
    """Money with its direction: above zero it came in. `decimal` and `group` are the marks that
    showed the cents and the thousands; empty where none did."""

    value: Decimal
    decimal: str = ""
    group: str = ""
    sign: str = ""


def day(cell: str) -> date:
    """A date as banks write it: 2027-05-07, 20270507, 07/05/2027, 07.05.27, 7 May 2027; what
    follows it of a time is left out."""
    word = re.sub(r"[ T][0-9]{1,2}:[0-9]{2}.*", "", cell.strip())
    if match := re.fullmatch(r"([0-9]{4})([0-9]{2})([0-9]{2})", word):
        word = "-".join(match.groups())
    elif match := re.fullmatch(_DAY_FIRST, word):
        first, _, second, year = match.groups()
        second = str(_MONTHS.get(second[:3].lower(), second))
        word = f"{first}/{second}/{year if len(year) == 4 else '20' + year}"
    elif match := re.fullmatch(r"([0-9]{4})/([0-9]{1,2})/([0-9]{1,2})", word):
        word = "-".join(match.groups())
    found = cells.birth_date(word)
    if found is None:
        raise ValueError("The date is missing.")
    return found


def amount(cell: str) -> Amount:
    """A sum with either decimal mark, grouped or not, with a sign before or behind it.

    A mark with one or two digits behind it shows the cents; with three, the thousands. More than
    two decimals are refused: money is never rounded on its way in.
    """
    word = cell.strip().strip('="').strip()
    word, before = _without_direction(word)
    word, sign = _without_currency(word)
    word, behind = _without_direction(word)
    word = word.translate(dict.fromkeys(map(ord, _GAPS)))
    if not _FIGURE.fullmatch(word) or (before and behind):
        raise ValueError(f"{cells.quoted(cell)} is no amount. Write it like 240.00 or 240,00.")
    whole, decimal, cents, group = _parts(word, cell)
    value = Decimal(f"{whole}.{cents or '0'}").quantize(Decimal("0.01"))
    if value > MOST:
        raise ValueError(f"An amount cannot be more than {MOST:,}.")
    return Amount(-value if "-" in (before, behind) else value, decimal, group, sign)


def is_credit(cell: str) -> bool:
    word = cell.strip().strip(".").lower()
    if word in _CREDIT or word in _DEBIT:
        return word in _CREDIT
    raise ValueError(f"{cells.quoted(cell)} says neither debit nor credit.")


def currency(cell: str) -> str:
    """A code of three letters, from the code or a sign that only one currency has; empty for an
    empty cell."""
    word = cell.strip().upper()
    code = _BY_SIGN.get(word, word)
    if code and not re.fullmatch(r"[A-Z]{3}", code):
        raise ValueError(f"{cells.quoted(cell)} is no currency. Write its code, like GBP.")
    return code


def text(parts: list[str]) -> tuple[str, bool]:
    """All that a line says, on one line, and whether a formula's sign was left out of it.

    A bank's text is shown and may be exported; nothing in it may begin as a formula does.
    """
    kept, was_formula = [], False
    for part in parts:
        plain = part.strip()
        wrapped = re.fullmatch(r'="(.*)"', plain)  # keeps a spreadsheet from eating zeros
        plain = wrapped[1] if wrapped else plain
        bare = plain.lstrip("=+-@ \t")
        was_formula |= bare != plain
        kept.append(cells.text(bare))
    joined = " · ".join(filter(None, kept))
    if len(joined) > LONGEST_TEXT:
        joined = joined[: LONGEST_TEXT - 1] + "…"
    return joined, was_formula


def _parts(word: str, cell: str) -> tuple[str, str, str, str]:
    """The whole part, its decimal mark, the cents, and the mark of the thousands."""
    marks = re.findall(r"[.,]", word)
    if not marks:
        return word, "", "", ""
    pieces = re.split(r"[.,]", word)
    last = pieces[-1]
    is_decimal = len(last) <= 2
    starts_with_nought = len(last) == 3 and pieces[0].startswith("0")
    if len(last) > 3 or starts_with_nought or (len(last) == 3 and len(set(marks)) > 1):
        raise ValueError(
            f"{cells.quoted(cell)} has more than two decimals, or its groups are uneven."
        )
    groups = marks[:-1] if is_decimal else marks
    grouped = pieces[1:-1] if is_decimal else pieces[1:]
    if any(len(piece) != 3 for piece in grouped) or (groups and len(pieces[0]) > 3):
        raise ValueError(f"The groups of {cells.quoted(cell)} are uneven.")
    if len(set(groups)) > 1 or (is_decimal and marks[-1] in groups):
        raise ValueError(f"{cells.quoted(cell)} uses one mark for cents and thousands.")
    group = groups[0] if groups else ""
    if is_decimal:
        return "".join(pieces[:-1]), marks[-1], last, group
    return "".join(pieces), "", "", group


def _without_direction(word: str) -> tuple[str, str]:
    """The figure without a sign, brackets, or DR and CR; and what they said, “+” or “-”, if any."""
    if match := re.fullmatch(r"\((.*)\)", word):
        return match[1].strip(), "-"
    if match := re.fullmatch(r"([+\-−])\s*(.*)", word):
        return match[2], "+" if match[1] == "+" else "-"
    if match := re.fullmatch(r"(.*?)\s*([+\-−]|cr|dr)\.?", word, re.IGNORECASE):
        return match[1], "+" if match[2].lower() in ("+", "cr") else "-"
    return word, ""


def _without_currency(word: str) -> tuple[str, str]:
    """The figure without a currency's sign or code, and the code."""
    match = re.fullmatch(r"([A-Za-z]{3}|[£€$])?\s*(.*?)\s*([A-Za-z]{3}|[£€$])?", word)
    if match is None or (match[1] and match[3]):
        return word, ""
    sign = match[1] or match[3] or ""
    return match[2], "" if sign == "$" else currency(sign)
