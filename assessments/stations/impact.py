"""Impact: one still, marked.

Payload: `{"landmarks": {name: [u, v]}, "click_sd_px": 1.5}`, in pixels of the still.
"""

from __future__ import annotations

import math
from functools import partial
from typing import Any, get_args

from django import forms

from assessments.errors import EntryRefused
from assessments.impact.errors import WARNING_WORDS
from assessments.impact.geometry import CLICK_SD_PX, StillGeometry
from assessments.impact.landmarks import Club, Handedness, number, parse_landmarks
from assessments.impact.measures import ImpactResult, Measured, measure_still
from assessments.impact.verdicts import forearm_verdict, grip_verdict
from assessments.impact.words import MEASURE_WORDS
from assessments.models import ShotKind, Still
from assessments.stations.base import (
    Computed,
    Context,
    MeasureKind,
    Measures,
    MeasureValue,
    Payload,
    StationForm,
    StationModule,
)
from assessments.stations.charts import CHANGE_CHART, change_chart

FOREARM_LINE, GRIP_LINE = "forearm_line_offset_bd", "grip_line_clearance_bd"
# What describes the picture and not the golfer is stored but not compared.
SHOWN = (
    (FOREARM_LINE, "bd"),
    ("forearm_lean_deg", "deg"),
    ("shaft_lean_deg", "deg"),
    ("forearm_shaft_angle_deg", "deg"),
    (GRIP_LINE, "bd"),
    ("hands_ahead_bd", "bd"),
    ("ball_position_bd", "bd"),
)


class LandmarksField(forms.JSONField):
    def to_python(self, value: Any) -> Any:
        try:
            return super().to_python(value)
        except RecursionError as error:  # thousands of brackets, which no page sends
            raise forms.ValidationError(self.error_messages["invalid"], "invalid") from error


class LandmarksForm(StationForm):
    landmarks = LandmarksField()

    def clean_landmarks(self) -> dict[str, Any]:
        landmarks = self.cleaned_data["landmarks"]
        if not isinstance(landmarks, dict):
            raise forms.ValidationError("The marks did not arrive. Place them again.")
        return landmarks

    def payload(self) -> Payload:
        return {"landmarks": self.cleaned_data["landmarks"], "click_sd_px": CLICK_SD_PX}

    @classmethod
    def initial_from(cls, payload: Payload) -> dict[str, Any]:
        return {"landmarks": payload["landmarks"]}


def geometry_of(still: Still, payload: Payload) -> StillGeometry:
    """The still as marked.

    Raises
    ------
    StillRefused
        If a landmark cannot be read.
    EntryRefused
        If the payload holds no landmarks or no click error.
    """
    landmarks = payload.get("landmarks")
    if not isinstance(landmarks, dict):
        raise EntryRefused({"landmarks": "The marks did not arrive. Place them again."})
    return StillGeometry(
        width_px=still.width_px,
        height_px=still.height_px,
        handedness=_handedness(still),
        club=club_of(still),
        landmarks=parse_landmarks(landmarks),
        click_sd_px=_click_sd(payload),
    )


def club_of(still: Still) -> Club:
    """The club class of the construction; a specialty shot is one of its own."""
    name = "specialty" if still.shot_kind == ShotKind.SPECIALTY else still.club_class
    return next(club for club in get_args(Club) if club == name)


def measured(still: Still, payload: Payload) -> ImpactResult:
    """The still measured by the marks of a payload; raises as `geometry_of` and `measure_still`."""
    return measure_still(geometry_of(still, payload))


def _handedness(still: Still) -> Handedness:
    return next(side for side in get_args(Handedness) if side == still.handedness)


def _click_sd(payload: Payload) -> float:
    try:
        value = number(payload.get("click_sd_px"))
    except TypeError:
        value = math.nan
    if not 0 < value < math.inf:
        raise EntryRefused({"click_sd_px": "The click error must be a number above 0."})
    return value


def _compute(payload: Payload, context: Context) -> Computed:
    if context.still is None:
        raise EntryRefused({"still": "Impact is measured on a still. Choose one first."})
    result = measured(context.still, payload)
    values = [_stored(one, result.definitions_version) for one in result.measures.values()]
    return Computed(tuple(values), result.warnings)


def _stored(measure: Measured, version: str) -> MeasureValue:
    return MeasureValue(
        measure.name,
        measure.value,
        measure.unit,
        measure.standard_uncertainty,
        measure.low,
        measure.high,
        f"error of marking, {measure.method}; {version}",
    )


def _verdicts(measures: Measures) -> tuple[str, ...]:
    found = [
        judge(measures[name].value, u).sentence
        for name, judge in ((FOREARM_LINE, forearm_verdict), (GRIP_LINE, grip_verdict))
        if name in measures and (u := measures[name].standard_uncertainty) is not None
    ]
    return tuple(found)


def _kind(name: str, unit: str) -> MeasureKind:
    words = MEASURE_WORDS[name]
    return MeasureKind(
        name,
        words.title,
        unit,
        words.decimals,
        primary=name == FOREARM_LINE,
        signed=bool(words.plus),
    )


MEASURES = tuple(_kind(name, unit) for name, unit in SHOWN)
CHARTED = [kind for kind in MEASURES if kind.name in (FOREARM_LINE, "shaft_lean_deg", GRIP_LINE)]

STATION = StationModule(
    kind="impact",
    title="Impact",
    form_class=LandmarksForm,
    measures=MEASURES,
    compute=_compute,
    chart=partial(change_chart, "Impact", CHARTED),
    chart_template=CHANGE_CHART,
    repeats=True,
    needs_still=True,
    verdicts=_verdicts,
    warning_words=WARNING_WORDS,
)
