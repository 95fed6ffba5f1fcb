"""From the bytes of a file to the records of a table."""

import codecs
import csv
import io
import re
import unicodedata
from collections.abc import Callable, Iterator

from school.errors import ImportRefused

MAX_CHARACTERS = 500_000
SEPARATORS = ",;\t"


def decode(data: bytes | str) -> tuple[str, list[str]]:
    """The text of a file and what there is to say about how it was read.

    UTF-8 and, with its mark, UTF-16 are read for sure. Anything else is taken for
    Windows-1252, which the reader is told, since a wrong letter then needs their eye.
    """
    notes: list[str] = []
    if isinstance(data, str):
        text = data
    elif data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        text = _strictly(data, "utf-16")
    else:
        try:
            text = data.decode("utf-8")
        except UnicodeDecodeError:
            text = _strictly(data, "cp1252")
            notes.append(
                "The file is not in UTF-8; it was read as Windows-1252. Look at names with accents."
            )
    # One spelling of é, so that a name is the same name whichever machine wrote it.
    text = unicodedata.normalize("NFC", text.removeprefix("\ufeff"))
    if "\0" in text:
        raise ImportRefused("This is no text file. Save the list as “CSV UTF-8” and try again.")
    if len(text) > MAX_CHARACTERS:
        raise ImportRefused(f"The list is longer than {MAX_CHARACTERS:,} characters.")
    return text, notes


def records(text: str, count_known: Callable[[list[str]], int]) -> list[list[str]]:
    """The table, cut at whichever separator gives its first row the most known headings."""
    text = re.sub(r"\Asep=.\r?\n", "", text)  # a spreadsheet's own hint, which we do not need
    separator = max(SEPARATORS, key=lambda mark: count_known(_first_record(text, mark)))
    found: list[list[str]] = []
    try:
        found.extend(_reader(text, separator))
    except csv.Error:
        raise ImportRefused(
            f"From row {len(found) + 1} on the list cannot be read: a quotation mark is "
            "missing or too many."
        ) from None
    return found


def _reader(text: str, separator: str) -> Iterator[list[str]]:
    return csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)


def _first_record(text: str, separator: str) -> list[str]:
    try:
        return next((record for record in _reader(text, separator) if any(record)), [])
    except csv.Error:
        return []


def _strictly(data: bytes, encoding: str) -> str:
    try:
        return data.decode(encoding)
    except UnicodeDecodeError:
        raise ImportRefused(
            "The file's letters cannot be read. Save the list as “CSV UTF-8” and try again."
        ) from None
