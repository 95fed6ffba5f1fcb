"""What a browser sends beside what is typed."""

from __future__ import annotations

MOST_DIGITS = 9


def whole_number(text: str) -> int:
    """A whole number from 0 up; 0 for what is none, or longer than any that we send."""
    return int(text) if text.isdecimal() and len(text) <= MOST_DIGITS else 0
