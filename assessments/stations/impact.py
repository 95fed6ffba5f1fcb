"""Impact: one still, marked, and the frame before it if there is one.

What is sent: `{"landmarks": {name: [u, v]}, "landmarks_before": {...}}`, in pixels of the frame,
the second only with two frames. What is known of the filming place joins it when it is recorded
(see `impact_settings`): the spreads of clicks and joints, the step, a fixed scale, the camera.
"""

from __future__ import annotations

import logging
import math
from functools import partial
from typing import Any, get_args

import numpy as np
from django import forms
from django.core.files.storage import default_storage
from django.utils.translation import gettext
from PIL import Image

from assessments.errors import EntryRefused
from assessments.impact.errors import WARNING_WORDS, Doubt
from assessments.impact.filmed import Filmed, Filming, filming_of, measure_filmed
from assessments.impact.gates import doubts_of, readings
from assessments.impact.geometry import BALL_DIAMETER_MM, StillGeometry
from assessments.impact.landmarks import (
    STILL_THERE,
    Club,
    Handedness,
    Landmark,
    number,
    parse_landmarks,
)
from assessments.impact.measures import ImpactResult, Measured
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
from assessments.stations.impact_settings import settings_of

logger = logging.getLogger(__name__)

NO_MARKS = "The marks did not arrive. Place them again."

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
    landmarks_before = LandmarksField(required=False)

    def clean_landmarks(self) -> dict[str, Any]:
        return self._marks("landmarks")

    def clean_landmarks_before(self) -> dict[str, Any]:
        return self._marks("landmarks_before") if self.cleaned_data["landmarks_before"] else {}

    def _marks(self, name: str) -> dict[str, Any]:
        marks = self.cleaned_data[name]
        if not isinstance(marks, dict):
            raise forms.ValidationError(NO_MARKS)
        return marks

    def payload(self) -> Payload:
        names = ("landmarks", "landmarks_before")
        sent = {name: self.cleaned_data[name] for name in names}
        return {name: marks for name, marks in sent.items() if marks or name == "landmarks"}

    @classmethod
    def initial_from(cls, payload: Payload) -> dict[str, Any]:
        return {name: payload.get(name) for name in ("landmarks", "landmarks_before")}


def geometry_of(still: Still, payload: Payload, marks: str = "landmarks") -> StillGeometry:
    """The still as marked, or with `marks="landmarks_before"` the frame before it.

    The frame before lends the still its ball and ground, where those are not marked once more.

    Raises
    ------
    StillRefused
        If a landmark cannot be read.
    EntryRefused
        If the payload holds no landmarks or no click error.
    """
    landmarks = payload.get(marks)
    if not isinstance(landmarks, dict):
        raise EntryRefused({marks: NO_MARKS})
    earlier = payload.get("landmarks_before") or {}
    lent = {str(mark): earlier[mark] for mark in STILL_THERE if mark in earlier}
    placement = payload.get("placement_sd_mm", {})
    return StillGeometry(
        width_px=still.width_px,
        height_px=still.height_px,
        handedness=_handedness(still),
        club=club_of(still),
        landmarks=parse_landmarks({**lent, **landmarks}),
        click_sd_px=_click_sd(payload),
        step_mm=payload.get("step_mm", BALL_DIAMETER_MM),
        placement_sd_mm={Landmark(mark): sd for mark, sd in placement.items()},
        scale_px=payload.get("scale_px"),
        scale_sd_px=payload.get("scale_sd_px", 0.0),
    )


def club_of(still: Still) -> Club:
    """The club class of the construction; a specialty shot is one of its own."""
    name = "specialty" if still.shot_kind == ShotKind.SPECIALTY else still.club_class
    return next(club for club in get_args(Club) if club == name)


def known_of(still: Still, payload: Payload) -> tuple[StillGeometry, StillGeometry | None, Filming]:
    """The still as marked, the frame before it if there is one, and the camera.

    Raises as `geometry_of`.
    """
    before = None
    if payload.get("landmarks_before"):
        before = geometry_of(still, payload, "landmarks_before")
    return geometry_of(still, payload), before, filming_of(payload.get("camera", {}))


def filmed(still: Still, payload: Payload) -> Filmed:
    """The still measured by the marks of a payload; raises as `geometry_of` and `measure_still`."""
    return measure_filmed(*known_of(still, payload))


def measured(still: Still, payload: Payload) -> ImpactResult:
    """The measures alone of `filmed`."""
    return filmed(still, payload).result


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
    found = filmed(context.still, payload)
    values = [_stored(one, _source(found, payload)) for one in found.result.measures.values()]
    gates = _gates(context.still, payload)
    return Computed(tuple(values), tuple(dict.fromkeys([*found.result.warnings, *gates])))


def _settings(context: Context) -> Payload:
    return {} if context.still is None else settings_of(context.still)


def _source(found: Filmed, payload: Payload) -> str:
    """What the ± counts and what was corrected, with the version of the definitions."""
    parts = ["error of marks and joints"]
    if not payload.get("placement_sd_mm"):
        parts = ["error of marking"]
    parts += ["two frames"] * (found.result.frames == 2) + ["camera squared"] * bool(found.pose)
    return f"{', '.join(parts)}, {{method}}; {found.result.definitions_version}"


def _gates(still: Still, payload: Payload) -> tuple[Doubt, ...]:
    """What the pictures leave in doubt, in the order of all doubts.

    After the strike the ball is gone: where another frame lends its place, it is looked at there.
    """
    found = set(_looked_at(str(still.picture), geometry_of(still, payload)))
    if payload.get("landmarks_before"):
        if Landmark.BALL_EDGE_A not in payload["landmarks"]:
            found -= {Doubt.BALL_SOFT, Doubt.BALL_BLURRED}
        before = geometry_of(still, payload, "landmarks_before")
        found |= set(_looked_at(str(still.picture_before), before))
    return tuple(doubt for doubt in Doubt if doubt in found)


def _looked_at(name: str, geometry: StillGeometry) -> tuple[Doubt, ...]:
    """What one picture leaves in doubt; nothing if it cannot be opened any more."""
    try:
        with default_storage.open(name) as file, Image.open(file) as picture:
            grey = np.asarray(picture.convert("L"), dtype=float)
        return doubts_of(readings(grey, geometry))
    except (OSError, ValueError) as error:
        logger.warning("A picture was not looked at: %s", error)
        return ()


def _stored(measure: Measured, source: str) -> MeasureValue:
    return MeasureValue(
        measure.name,
        measure.value,
        measure.unit,
        measure.standard_uncertainty,
        measure.low,
        measure.high,
        source.format(method=measure.method),
    )


def _verdicts(measures: Measures) -> tuple[str, ...]:
    found = [
        gettext(judge(measures[name].value, u).sentence)
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
    settings=_settings,
)
