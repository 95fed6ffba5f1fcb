"""What may be said of a change, as whole sentences in the language of whoever reads them."""

from __future__ import annotations

import math

from django.utils.text import capfirst
from django.utils.translation import gettext, gettext_noop

from assessments.stations.base import MeasureKind
from assessments.stations.readings import number, unit_label, written
from assessments.statistics.change import Change, Verdict
from lessons.models import Phase

# How a measure moved, and whether that is the better side; by whether it went up.
_MOVED = {
    (True, None): gettext_noop("up by {amount}"),
    (True, True): gettext_noop("up by {amount}, for the better"),
    (True, False): gettext_noop("up by {amount}, for the worse"),
    (False, None): gettext_noop("down by {amount}"),
    (False, True): gettext_noop("down by {amount}, for the better"),
    (False, False): gettext_noop("down by {amount}, for the worse"),
}
_CLAIMED = {
    "real": gettext_noop("{moved}: a real change, past the {past} that may be chance."),
    "swing": gettext_noop(
        "{moved}: an indication, past the {past} that may be chance in a single swing."
    ),
    "session": gettext_noop(
        "{moved}: an indication, past the {past} that may be chance in a single session."
    ),
}
_NOT_MEASURED = {
    Phase.INTAKE: gettext_noop("Not measured on the first day, so nothing is compared."),
    Phase.EXIT: gettext_noop("Not measured on the last day, so nothing is compared."),
}
_DOUBTFUL = {
    Phase.INTAKE: gettext_noop(
        "The intake still is doubtful and stays out of claims; the reason stands below it."
    ),
    Phase.EXIT: gettext_noop(
        "The exit still is doubtful and stays out of claims; the reason stands below it."
    ),
}


def not_measured(phase: Phase) -> str:
    return gettext(_NOT_MEASURED[phase])


def doubtful(phase: Phase) -> str:
    """That a still stays out of claims; the still itself says why."""
    return gettext(_DOUBTFUL[phase])


def said_of(measure: MeasureKind, change: Change | None, *, is_swing: bool) -> str:
    """The verdict as a sentence; the threshold is rounded away from contradicting it."""
    if change is None:
        return gettext("Shown for the record; how sure it is is not known, so nothing is claimed.")
    scale = 10**measure.decimals
    if change.verdict == Verdict.WITHIN:
        past = number(math.ceil(change.threshold * scale) / scale, measure.decimals)
        if not shows(measure, change.difference):
            return gettext(
                "No difference, within what we can measure: only more than {past} counts."
            ).format(past=past)
        pattern = gettext("{moved}, within what we can measure: only more than {past} counts.")
        return capfirst(pattern.format(moved=moved(measure, change.difference), past=past))
    claim = "swing" if is_swing else "session"
    if change.verdict == Verdict.REAL_CHANGE:
        claim = "real"
    pattern = gettext(_CLAIMED[claim])
    past = amount(measure, math.floor(change.threshold * scale) / scale)
    told = moved(measure, change.difference, is_judged=True)
    return capfirst(pattern.format(moved=told, past=past))


def moved(measure: MeasureKind, difference: float, *, is_judged: bool = False) -> str:
    """`up by 3 m`, and `, for the better` if it is to be judged and a side is better."""
    is_better = {"higher": difference > 0, "lower": difference < 0}.get(measure.better)
    pattern = gettext(_MOVED[difference > 0, is_better if is_judged else None])
    return pattern.format(amount=amount(measure, abs(difference)))


def shows(measure: MeasureKind, difference: float) -> bool:
    """Whether the difference is more than a zero to the decimals it is written with."""
    return float(f"{difference:.{measure.decimals}f}") != 0


def amount(measure: MeasureKind, size: float) -> str:
    """`34 m`, `5.0°`: a size without a sign, with the measure's unit."""
    return _with_unit(measure, number(size, measure.decimals))


def valued(measure: MeasureKind, value: float) -> str:
    """The same of a value: one that has a side shows its sign."""
    return _with_unit(measure, written(value, measure))


def _with_unit(measure: MeasureKind, text: str) -> str:
    if measure.unit == "%":
        return gettext("{number}%").format(number=text)
    unit = unit_label(measure.unit)
    return f"{text}{'' if unit == '°' else chr(0xA0)}{unit}".rstrip()
