"""What is wrong with a drill or a rule as somebody wrote it, in words. Pure.

Each check returns a sentence for each field that cannot stay so, by the field's name; nothing if
all is well.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping
from typing import get_args

from assessments.practice.values import When
from assessments.practice.words import EQUIPMENT, HURTS

FEWEST_STEPS, MOST_STEPS = 3, 6
# A finding that lies beside what is usual knows no change, one that changed nothing usual.
MAY_NAME: Mapping[str, tuple[str, ...]] = {
    "low": ("measure", "value", "usual"),
    "high": ("measure", "value", "usual"),
    "worse": ("measure", "value", "change"),
    "better": ("measure", "value", "change"),
}
assert set(MAY_NAME) == set(get_args(When))

# Of each station by its kind, each measure and the better side of it: "higher", "lower" or "none".
Known = Mapping[str, Mapping[str, str]]


def faults_of_drill(
    *,
    steps: str,
    equipment: Iterable[str],
    avoid_with: Iterable[str],
    picture: str,
    pictures: Collection[str],
) -> dict[str, str]:
    """`pictures` are the names that are drawn."""
    drawn = "" if picture in pictures else f"No picture is drawn that is called “{picture}”."
    found = {
        "steps": _steps_fault(steps),
        "equipment": _codes_fault(equipment, EQUIPMENT, "needed"),
        "avoid_with": _codes_fault(avoid_with, HURTS, "what may hurt"),
        "picture": drawn,
    }
    return {name: words for name, words in found.items() if words}


def faults_of_rule(*, kind: str, measure: str, when: str, why: str, known: Known) -> dict[str, str]:
    found = {
        **_measure_fault(kind, measure, when, known),
        "why": _why_fault(when, why),
    }
    return {name: words for name, words in found.items() if words}


def _steps_fault(steps: str) -> str:
    count = len([line for line in steps.splitlines() if line.strip()])
    if FEWEST_STEPS <= count <= MOST_STEPS:
        return ""
    return f"A drill has {FEWEST_STEPS} to {MOST_STEPS} steps, one a line; these are {count}."


def _codes_fault(codes: Iterable[str], words: Mapping[str, str], what: str) -> str:
    unknown = [f"“{code}”" for code in codes if code not in words]
    if not unknown:
        return ""
    return f"Not known as {what}: {', '.join(unknown)}. Known are {', '.join(words)}."


def _measure_fault(kind: str, measure: str, when: str, known: Known) -> dict[str, str]:
    if kind not in known:
        return {"kind": f"No station is called “{kind}”."}
    if measure not in known[kind]:
        return {"measure": f"That station has no measure called “{measure}”."}
    if when in ("worse", "better") and known[kind][measure] == "none":
        return {
            "when": "This measure has no better side: it can lie below or above what is usual, "
            "and not get worse or better."
        }
    return {}


def _why_fault(when: str, why: str) -> str:
    if re.search(r"[{}]", re.sub(r"{\w+}", "", why)):
        return "A bracket stands alone. Write names as in {value}."
    allowed = MAY_NAME.get(when, ())
    strange = [name for name in re.findall(r"{\w+}", why) if name[1:-1] not in allowed]
    if not strange:
        return ""
    names = ", ".join(f"{{{name}}}" for name in allowed)
    return f"Such a finding has no {', '.join(strange)}. It may name {names or 'nothing'}."
