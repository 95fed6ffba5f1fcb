"""Ball flight: up to thirty shots with one club, read off an instrument or typed in.

Payload, in SI units whatever was typed:
`{"club": "7i", "club_class": "iron", "shots": [{"carry_m": 137.2, ...}, ...],
"entered_in": {"distance": "yd", "speed": "mph"}}`.
Each shot has `carry_m` and may have `side_m` (+ to the right of the target line as the golfer looks
along it), `ball_speed_mps`, `club_speed_mps`, `launch_deg`, `attack_angle_deg` (+ upward),
`club_path_deg` and `face_angle_deg` (+ to the right of the target line) and `spin_rpm`. Entries
from before clubs had names say the class alone.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial

from assessments.queries.gapping import gapping_beside
from assessments.stations.ball_flight_details import details
from assessments.stations.ball_flight_drawing import dispersion_drawing
from assessments.stations.ball_flight_form import BallFlightForm, initial_for
from assessments.stations.ball_flight_shots import (
    QUANTITIES,
    Shot,
    points_of,
    ratio_of,
    readings_of,
    shots_of,
)
from assessments.stations.base import (
    Computed,
    Context,
    MeasureKind,
    MeasureValue,
    Payload,
    StationModule,
    Typical,
)
from assessments.stations.charts import CHANGE_CHART, change_chart
from assessments.stations.values import measured
from assessments.statistics.dispersion import NoEllipse, dispersion
from assessments.statistics.intervals import (
    FEWEST_FOR_MEDIAN,
    mean,
    median,
    robust_spread,
    spread,
)

RATIO, RATIO_RESOLUTION, AREA = "speed_ratio", 0.01, "dispersion_area_m2"


def _usual(low: float | None, high: float | None, club_class: str = "") -> Typical:
    """A range wide enough for every full swing with that class that a coach would leave alone."""
    return Typical(low, high, "common practice, no source", club_class)


USUAL_RATIO = (_usual(1.40, None, "driver"), _usual(1.25, None, "iron"))
USUAL_LAUNCH = (_usual(9, 16, "driver"), _usual(10, 26, "iron"))
USUAL_ATTACK = (_usual(-3, 6, "driver"), _usual(-8, 0, "iron"))
USUAL_SPIN = (_usual(1800, 3600, "driver"), _usual(3500, 9500, "iron"))
USUAL_PATH, USUAL_FACE = (_usual(-6, 6),), (_usual(-5, 5),)
MEASURES = (
    MeasureKind("carry_m", "carry", "m", 0, better="higher", primary=True, is_long=True),
    MeasureKind("carry_spread_m", "spread of carry", "m", 0, better="lower", is_long=True),
    MeasureKind("side_m", "side, + to the right", "m", 0, signed=True, is_long=True),
    MeasureKind("side_spread_m", "spread to the side", "m", 0, better="lower", is_long=True),
    MeasureKind(AREA, "area where 95 % land", "m2", 0, better="lower", is_long=True),
    MeasureKind("ball_speed_mps", "ball speed", "m/s", 1, better="higher"),
    MeasureKind("club_speed_mps", "club speed", "m/s", 1, better="higher"),
    MeasureKind(RATIO, "ball speed over club speed", "", 2, better="higher", typical=USUAL_RATIO),
    MeasureKind("launch_deg", "launch angle", "deg", 1, typical=USUAL_LAUNCH),
    MeasureKind(
        "attack_angle_deg", "attack angle, + upward", "deg", 1, signed=True, typical=USUAL_ATTACK
    ),
    MeasureKind(
        "club_path_deg", "club path, + to the right", "deg", 1, signed=True, typical=USUAL_PATH
    ),
    MeasureKind(
        "face_angle_deg", "face angle, + to the right", "deg", 1, signed=True, typical=USUAL_FACE
    ),
    MeasureKind("spin_rpm", "spin", "rpm", 0, typical=USUAL_SPIN),
)
CHARTED = ("carry_m", "side_spread_m", "ball_speed_mps", "launch_deg")


def _compute(payload: Payload, context: Context) -> Computed:
    return Computed(tuple(_measures(shots_of(payload))))


def _measures(shots: Sequence[Shot]) -> Iterator[MeasureValue]:
    for kind in MEASURES:
        if kind.name == AREA:
            yield from _area(kind, shots)
            continue
        values, resolution, is_spread = _values(kind.name, shots)
        if len(values) > 1:
            yield (_spread if is_spread else _centre)(kind, values, resolution)
        elif values and not is_spread:
            source = "one shot; how it scatters is not known"
            yield MeasureValue(kind.name, values[0], kind.unit, None, None, None, source)


def _centre(kind: MeasureKind, values: list[float], resolution: float) -> MeasureValue:
    n = len(values)
    if n < FEWEST_FOR_MEDIAN:
        source = f"mean of {n} shots, too few for a median; Student's t"
        return measured(kind.name, kind.unit, mean(values, resolution), source)
    source = f"median of {n} shots; order statistics"
    return measured(kind.name, kind.unit, median(values, resolution), source)


def _spread(kind: MeasureKind, values: list[float], resolution: float) -> MeasureValue:
    n = len(values)
    if n < FEWEST_FOR_MEDIAN:
        source = f"standard deviation of {n} shots; chi-squared interval"
        return measured(kind.name, kind.unit, spread(values, resolution), source)
    source = f"robust spread (Qn) of {n} shots; chi-squared interval"
    return measured(kind.name, kind.unit, robust_spread(values, resolution), source)


def _area(kind: MeasureKind, shots: Sequence[Shot]) -> Iterator[MeasureValue]:
    points = list(points_of(shots).values())
    try:
        found = dispersion(points)
    except NoEllipse:
        return
    used = len(points) - len(found.wild)
    source = f"covariance of {used} of {len(points)} shots; chi-squared interval"
    yield measured(kind.name, kind.unit, found.area, source)


def _values(name: str, shots: Sequence[Shot]) -> tuple[list[float], float, bool]:
    """The readings behind a measure, their resolution, and whether their spread is meant."""
    if name == RATIO:
        return [r for shot in shots if (r := ratio_of(shot)) is not None], RATIO_RESOLUTION, False
    key = name.replace("_spread", "")
    quantity = next(quantity for quantity in QUANTITIES if quantity.key == key)
    return readings_of(shots, key), quantity.resolution, key != name


STATION = StationModule(
    kind="ball_flight",
    title="Ball flight",
    form_class=BallFlightForm,
    measures=MEASURES,
    compute=_compute,
    page_template="assessments/stations/ball_flight.html",
    initial=initial_for,
    details=details,
    detail_template="assessments/stations/shots.html",
    chart=partial(change_chart, "Ball flight", [m for m in MEASURES if m.name in CHARTED]),
    chart_template=CHANGE_CHART,
    drawing=dispersion_drawing,
    drawing_template="assessments/stations/dispersion.svg.html",
    beside=partial(gapping_beside, MEASURES[0]),
    beside_template="assessments/stations/gapping.html",
    repeats=True,
    import_url_name="flight_table",
)
