"""Physical screen: how far joints move and how long a golfer stands on one leg.

It finds what a coach should know before choosing drills; it diagnoses nothing. Pain stops it.

Payload: `{"asked": true, "handedness": "right", "age_years": 44,
"found": {"trunk_rotation_lead": 48.0, "toe_touch": true, "hip_internal_rotation_lead": "pain"}}`.
What is not among the found was not done; `asked` says that the golfer was asked about pain,
injuries and a doctor's advice, and agreed.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from functools import partial
from typing import Any

from django.utils import timezone

from assessments.stations.base import (
    Computed,
    Context,
    MeasureKind,
    MeasureValue,
    Payload,
    StationModule,
)
from assessments.stations.charts import CHANGE_CHART, change_chart
from assessments.stations.physical_form import PhysicalForm
from assessments.stations.physical_items import (
    ANGLE_U_DEG,
    BALANCE_SOURCE,
    CAP_S,
    DEGREES,
    ITEMS,
    LEAD,
    PARTS,
    SECONDS,
    SEEN,
    TIME_U_SHARE,
    TRAIL,
    Item,
    Part,
    side_of_body,
    usual_balance_s,
)
from assessments.stations.values import is_number, refuse_any
from assessments.statistics.intervals import Z_95
from school.models import Enrolment, Handedness

PAIN = "pain"
PROFESSIONAL = "See a licensed professional"
STOPPED = f"Stop here. {PROFESSIONAL}."
BALANCE = "one_leg_balance_s"
YOUNGEST, OLDEST = 5, 110
ANGLE_SOURCE = (
    f"one reading; a standard uncertainty of {ANGLE_U_DEG:g}° assumed of a goniometer or phone "
    "(order of D. C. Boone et al., Physical Therapy 58 (1978) 1355-1360, from memory)"
)
TIME_SOURCE = (
    f"one trial; a standard uncertainty of {100 * TIME_U_SHARE:.0f} % assumed: common practice, "
    "no source"
)
CAPPED_SOURCE = f"held for the whole {CAP_S} s; how much longer is not known"
MEASURED = tuple(part for part in PARTS if part.item.unit != SEEN)


def _kind(part: Part) -> MeasureKind:
    usual = part.item.usual
    typical = () if usual is None else (usual,)
    return MeasureKind(part.measure, part.title, part.item.unit, 0, typical=typical)


MEASURES = (
    MeasureKind(BALANCE, "standing on one leg, the shorter", SECONDS, 0, primary=True),
    *(_kind(part) for part in MEASURED),
)
CHARTED = (BALANCE, "trunk_rotation_lead_deg", "trunk_rotation_trail_deg")


def _compute(payload: Payload, context: Context) -> Computed:
    refuse_any(_faults(payload))
    found = payload["found"]
    measures = {
        part.key: _measure(part.measure, part.item, float(found[part.key]))
        for part in MEASURED
        if is_number(found.get(part.key), part.item.low, part.item.high)
    }
    codes = [*_pains(found), *_low(measures, payload.get("age_years")), *_uneven(measures)]
    return Computed((*_shorter(measures), *measures.values()), tuple(codes))


def _faults(payload: Payload) -> Iterator[tuple[str, str]]:
    if payload.get("asked") is not True:
        yield "asked", "Ask about pain, injuries and a doctor’s advice first, and say that you did."
    if payload.get("handedness") not in Handedness.values:
        yield "handedness", "Say which way the golfer plays: it tells lead from trail."
    age = payload.get("age_years")
    if age is not None and not is_number(age, YOUNGEST, OLDEST):
        yield "age_years", f"An age is a number of years from {YOUNGEST} to {OLDEST}."
    found = payload.get("found")
    if not isinstance(found, dict) or not found:
        yield "found", "Enter at least one item of the screen."
        return
    unknown = found.keys() - {part.key for part in PARTS}
    if unknown:
        yield "found", f"The screen does not ask for {', '.join(sorted(unknown))}."
    for part in PARTS:
        if part.key in found and not _is_possible(found[part.key], part.item):
            yield f"found.{part.key}", f"{part.heading}: {_possible(part.item)}"
    yield from _after_pain(found)


def _is_possible(value: object, item: Item) -> bool:
    if value == PAIN:
        return True
    if item.unit == SEEN:
        return type(value) is bool
    return is_number(value, item.low, item.high)


def _possible(item: Item) -> str:
    if item.unit == SEEN:
        return "say yes, no or pain."
    unit = "degrees" if item.unit == DEGREES else "seconds"
    words = f"enter {item.low:g} to {item.high:g} {unit}, or pain."
    return words.replace("-", "−")


def _after_pain(found: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    """Pain ends the test: nothing may stand after it."""
    stopped: Part | None = None
    for part in PARTS:
        if stopped is not None and part.key in found:
            yield (
                f"found.{part.key}",
                f"The test ended with pain at {stopped.title}: leave this empty. {STOPPED}",
            )
        elif found.get(part.key) == PAIN:
            stopped = part


def _measure(name: str, item: Item, value: float) -> MeasureValue:
    if item.unit == SECONDS and value >= CAP_S:
        return MeasureValue(name, value, item.unit, None, None, None, CAPPED_SOURCE)
    u = _uncertainty(item, value)
    low = value - Z_95 * u
    if item.unit == SECONDS:
        low = max(0.0, low)
    source = ANGLE_SOURCE if item.unit == DEGREES else TIME_SOURCE
    return MeasureValue(name, value, item.unit, u, low, value + Z_95 * u, source)


def _uncertainty(item: Item, value: float) -> float:
    """A time is read to the second, however short."""
    return ANGLE_U_DEG if item.unit == DEGREES else max(TIME_U_SHARE * value, 1 / math.sqrt(12))


def _shorter(measures: Mapping[str, MeasureValue]) -> Iterator[MeasureValue]:
    """The primary measure, once both legs were timed."""
    legs = [measures.get(f"one_leg_balance_{side}") for side in (LEAD, TRAIL)]
    timed = [leg for leg in legs if leg is not None]
    if len(timed) == len(legs):
        shorter = min(timed, key=lambda leg: leg.value)
        item = next(item for item in ITEMS if item.unit == SECONDS)
        yield _measure(BALANCE, item, shorter.value)


def _pains(found: Mapping[str, Any]) -> Iterator[str]:
    return (f"pain_{part.key}" for part in PARTS if found.get(part.key) == PAIN)


def _low(measures: Mapping[str, MeasureValue], age_years: float | None) -> Iterator[str]:
    for part in MEASURED:
        usual = usual_balance_s(age_years)
        if part.item.usual is not None:
            usual = part.item.usual.low
        measure = measures.get(part.key)
        if measure is not None and usual is not None and measure.value < usual:
            yield f"low_{part.key}"


def _uneven(measures: Mapping[str, MeasureValue]) -> Iterator[str]:
    """Items whose sides differ by more than two such readings of one side would, at 95 %."""
    for item in ITEMS:
        sides = [measures.get(f"{item.key}_{side}") for side in (LEAD, TRAIL)]
        both = [side.value for side in sides if side is not None]
        if len(both) < len(sides):
            continue
        apart = Z_95 * math.hypot(*(_uncertainty(item, value) for value in both))
        if abs(both[0] - both[1]) > apart:
            yield f"sides_{item.key}"


WARNING_WORDS = {
    **{f"pain_{part.key}": f"Pain at {part.title}. {STOPPED}" for part in PARTS},
    **{
        f"low_{part.key}": f"{part.heading}: less than is usual. {PROFESSIONAL} before it is "
        "worked on."
        for part in MEASURED
    },
    **{
        f"sides_{item.key}": f"{item.title[:1].upper()}{item.title[1:]}: the sides differ by more "
        f"than the reading explains. {PROFESSIONAL} before it is worked on."
        for item in ITEMS
        if item.has_sides
    },
}


def _details(payload: Payload) -> dict[str, Any]:
    """What was found, item by item, up to where pain ended it."""
    found, handedness = payload["found"], payload["handedness"]
    rows = [
        {
            "title": part.heading,
            "body": f" ({side_of_body(part.side, handedness)})" if part.side else "",
            "found": _found(found[part.key], part.item),
            "usual": _usual(part.item, payload.get("age_years")),
        }
        for part in PARTS
        if part.key in found
    ]
    return {"rows": rows, "stopped": PAIN in found.values(), "sources": _sources(found, payload)}


def _found(value: Any, item: Item) -> str:
    if value == PAIN:
        return "pain"
    if item.unit == SEEN:
        return "yes" if value else "no"
    if item.unit == SECONDS:
        return f"{value:g} s{' or more' if value >= CAP_S else ''}"
    return f"{value:g}°".replace("-", "−")


def _usual(item: Item, age_years: float | None) -> str:
    if item.usual is not None:
        return f"{item.usual.low:g}° or more"
    seconds = usual_balance_s(age_years) if item.unit == SECONDS else None
    return f"{seconds:.0f} s or more" if seconds is not None else "–"


def _sources(found: Mapping[str, Any], payload: Payload) -> list[str]:
    """Where what is usual is from, each once."""
    items = [item for item in ITEMS if any(key.startswith(item.key) for key in found)]
    told = [f"{item.title}: {item.usual.source}" for item in items if item.usual is not None]
    has_time = any(item.unit == SECONDS for item in items)
    if has_time and usual_balance_s(payload.get("age_years")) is not None:
        told.append(f"standing on one leg: {BALANCE_SOURCE}")
    return told


def _initial(enrolment: Enrolment) -> dict[str, Any]:
    """Which way the golfer plays, and the age today."""
    golfer = enrolment.golfer
    return {"handedness": golfer.handedness, "age_years": golfer.age_on(timezone.localdate())}


STATION = StationModule(
    kind="physical",
    title="Physical screen",
    form_class=PhysicalForm,
    measures=MEASURES,
    compute=_compute,
    page_template="assessments/stations/physical.html",
    details=_details,
    detail_template="assessments/stations/physical_details.html",
    initial=_initial,
    chart=partial(change_chart, "Physical screen", [m for m in MEASURES if m.name in CHARTED]),
    chart_template=CHANGE_CHART,
    anywhere=True,
    warning_words=WARNING_WORDS,
    for_professionals=True,
)
