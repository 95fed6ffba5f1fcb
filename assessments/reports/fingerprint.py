"""What a report says, as one number: two reports with the same fingerprint say the same.

It is of what was gathered, not of the file: a file also tells when it was made. How a measure is
titled or a drill described is the house's and no part of it, so that a better wording undoes no
signature.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Set
from dataclasses import fields, is_dataclass
from datetime import date, time
from decimal import Decimal
from enum import Enum
from pathlib import PurePath
from typing import TYPE_CHECKING, Any
from uuid import UUID

from assessments.queries.findings import Finding
from assessments.queries.practice import TakeHomeItem, TakeHomePlan, Week
from assessments.stations.base import MeasureKind

if TYPE_CHECKING:
    from assessments.reports.gather import ReportContents

# Of the edition and the day it was made, and of how it is written and printed, not of what was
# found. What is usual of others moves whenever somebody is measured: nobody signs for that.
LEFT_OUT = frozenset({"made_on", "version", "replaces", "signed_by", "signed_on"})
LEFT_OUT |= {"units", "language", "paper", "placings"}
# The numbers of a finding count; its words are those same numbers in the golfer's units. Of a plan
# it counts which drills are to be done how long, and what for; how a drill is described is the
# library's, and how often the plan was saved is nobody's.
UNSAID: dict[type, frozenset[str]] = {
    Finding: frozenset({"sentence", "moved"}),
    TakeHomePlan: frozenset({"edition", "is_edited", "left_out", "cautions"}),
    Week: frozenset({"heading", "words"}),
    TakeHomeItem: frozenset({"name", "purpose", "set_up", "steps", "caution", "picture"}),
}
# What differs beyond is the rounding of one machine or another.
DIGITS = 12


def fingerprint_of(contents: ReportContents) -> str:
    """The SHA-256 of everything a report says, as 64 hexadecimal digits.

    1. Each dataclass becomes its fields by name, each mapping its items; both are sorted.
    2. Numbers are written to 12 significant digits, days and times as ISO 8601 has them.
    3. The whole is hashed as JSON without spaces.

    Raises
    ------
    TypeError
        If something was gathered that has no such form, e.g. a row of the database.
    """
    said = {
        each.name: _plain(getattr(contents, each.name))
        for each in fields(contents)
        if each.name not in LEFT_OUT
    }
    text = json.dumps(said, sort_keys=True, separators=(",", ":"), allow_nan=True)
    return hashlib.sha256(text.encode()).hexdigest()


def _plain(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {str(_plain(key)): _plain(each) for key, each in value.items()}
    if isinstance(value, Set):
        return sorted(map(_plain, value), key=repr)
    if isinstance(value, list | tuple):
        return [_plain(each) for each in value]
    if is_dataclass(value) and not isinstance(value, MeasureKind):
        unsaid = UNSAID.get(type(value), frozenset())
        named = (each.name for each in fields(value) if each.name not in unsaid)
        return {name: _plain(getattr(value, name)) for name in named}
    return _leaf(value)


def _leaf(value: Any) -> Any:
    match value:
        case Enum():
            return _leaf(value.value)
        case float():
            return repr(float(f"{value:.{DIGITS}g}"))
        case date() | time():
            return value.isoformat()
        case MeasureKind():
            return value.name
        case UUID() | Decimal() | PurePath():
            return str(value)
        case None | bool() | int() | str():
            return value
    raise TypeError(f"{type(value).__name__} has no place in what a report says.")
