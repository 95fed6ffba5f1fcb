"""The reference a golfer is asked to write on a transfer."""

import re

_WRITTEN = re.compile(r"(?<![0-9a-z])m[ -]?([0-9]{6,9})(?![0-9])", re.IGNORECASE)


def payment_reference(enrolment_pk: int) -> str:
    """`123` as “M000123”: long enough not to be met by chance in a bank's text."""
    return f"M{enrolment_pk:06d}"


def references_in(text: str) -> set[int]:
    """The keys of all enrolments that the text names by their reference."""
    return {int(digits) for digits in _WRITTEN.findall(text)}
