"""Whose money is it? Scores with their reasons, from what a bank line says.

Three things speak for an enrolment: its reference in the text, an amount that is exactly what is
due, and the golfer's name in the text. Nothing is proposed on less than one of the first and last
or, alone, an amount that nobody else owes. A proposal is certain only if the reference names one
enrolment and the amount or the name agrees with it. Currencies are never compared: a line is shown
no enrolment of another currency.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from school.bank_csv.reference import references_in
from school.folding import fold
from school.wording import format_money

REFERENCE, AMOUNT, NAME = 60, 30, 30
LEAST, MOST_SHOWN = 30, 3


@dataclass(frozen=True)
class WaitingLine:
    """A bank line that nobody has matched yet."""

    pk: int
    amount: Decimal
    currency: str
    text: str


@dataclass(frozen=True)
class Candidate:
    """An enrolment that may be paid for. `due` is all that is owed, `deposit_due` its first part;
    both may be nought."""

    pk: int
    name: str
    currency: str
    due: Decimal
    deposit_due: Decimal


@dataclass(frozen=True)
class Suggestion:
    """That `line` pays for `candidate`; the higher the score, the likelier. `words` say why."""

    line: WaitingLine
    candidate: Candidate
    score: int
    words: str
    is_certain: bool = False


def suggest(
    lines: Iterable[WaitingLine], candidates: Sequence[Candidate]
) -> dict[int, tuple[Suggestion, ...]]:
    """For each line's key up to three enrolments, the likeliest first.

    Of certain ones each line has at most one, and so has each enrolment: what one line has paid
    is no longer owed when the next is looked at.
    """
    owed = Counter((c.currency, c.due) for c in candidates if c.due > 0)
    names = {c.pk: _words(c.name) for c in candidates}
    found: dict[int, tuple[Suggestion, ...]] = {}
    settled: set[int] = set()
    for line in lines:
        named, said = references_in(line.text), _words(line.text)
        scored = [
            _score(line, c, named, _is_said(names[c.pk], said), owed[c.currency, c.due] == 1)
            for c in candidates
            if c.currency == line.currency
        ]
        likely = sorted(
            (s for s in scored if s.score >= LEAST), key=lambda s: (-s.score, s.candidate.pk)
        )[:MOST_SHOWN]
        if likely and likely[0].is_certain and likely[0].candidate.pk not in settled:
            settled.add(likely[0].candidate.pk)
            likely[1:] = [_doubtful(s) for s in likely[1:]]
        else:
            likely = [_doubtful(s) for s in likely]
        found[line.pk] = tuple(likely)
    return found


def _score(
    line: WaitingLine, candidate: Candidate, named: set[int], has_name: bool, is_only_one: bool
) -> Suggestion:
    has_reference = candidate.pk in named
    amount_words, is_exact = _of_amount(line, candidate)
    score = REFERENCE * has_reference + AMOUNT * is_exact + NAME * has_name
    reasons = []
    if has_reference:
        reasons.append(f"the reference names {candidate.name}")
        if has_name:
            reasons.append("the name is in the text too")
    elif has_name:
        reasons.append(f"the name {candidate.name} is in the text")
    if reasons:
        reasons.append(amount_words)
    else:
        score = AMOUNT if is_only_one and line.amount == candidate.due else 0
        reasons.append(f"only {candidate.name} owes exactly this")
    is_certain = has_reference and len(named) == 1 and candidate.due >= line.amount
    return Suggestion(
        line, candidate, score, _sentence(reasons), is_certain and (is_exact or has_name)
    )


def _of_amount(line: WaitingLine, candidate: Candidate) -> tuple[str, bool]:
    """What the amount says, and whether it is exactly what is due."""
    if line.amount == candidate.due:
        return "the amount is the whole balance", True
    if line.amount == candidate.deposit_due:
        return "the amount is the deposit that is due", True
    if candidate.due <= 0:
        return "nothing is owed", False
    if line.amount > candidate.due:
        more = format_money(line.amount - candidate.due, line.currency)
        return f"the amount is {more} more than is owed", False
    left = format_money(candidate.due - line.amount, line.currency)
    return f"{left} would still be owed", False


def _is_said(name: frozenset[str], said: frozenset[str]) -> bool:
    """Whether all of a name is in the text; a single word is met there by chance."""
    return len(name) > 1 and name <= said


def _sentence(reasons: list[str]) -> str:
    listed = ", ".join(reasons[:-1]) + (", and " if len(reasons) > 1 else "") + reasons[-1]
    return f"{listed[:1].upper()}{listed[1:]}."


def _doubtful(suggestion: Suggestion) -> Suggestion:
    return Suggestion(suggestion.line, suggestion.candidate, suggestion.score, suggestion.words)


def _words(text: str) -> frozenset[str]:
    """The words of a text as any bank may write them: no accents, capitals or punctuation."""
    plain = "".join(letter if letter.isalnum() else " " for letter in fold(text))
    return frozenset(plain.split())
