"""The shots of an entry as a table, as they were typed, and what is to be known of them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from assessments.clubs import club_of, club_title
from assessments.stations.ball_flight_shots import (
    CARRY,
    QUANTITIES,
    as_typed,
    points_of,
    wild_shots,
)
from assessments.stations.base import Payload
from assessments.statistics.dispersion import NoEllipse, dispersion
from assessments.statistics.intervals import FEWEST_FOR_MEDIAN

MOST_UNFOLDED = 10


@dataclass(frozen=True)
class TypedShot:
    cells: tuple[tuple[str, str], ...]
    is_wild: bool


def details(payload: Payload) -> dict[str, Any]:
    """Columns that nobody filled are left out."""
    typed = as_typed(payload)
    read = [
        (place, f"{quantity.title},\N{NO-BREAK SPACE}{quantity.unit(payload)}")
        for place, quantity in enumerate(QUANTITIES)
        if quantity == CARRY or any(shot[place] is not None for shot in typed)
    ]
    wild = wild_shots(payload["shots"])
    rows = [
        TypedShot(tuple((column, _text(shot[place])) for place, column in read), index in wild)
        for index, shot in enumerate(typed)
    ]
    return {
        "club": club_title(club_of(payload)),
        "columns": [column for _, column in read],
        "rows": rows,
        "is_long": len(rows) > MOST_UNFOLDED,
        "said": list(_said(payload, len(wild))),
    }


def _text(value: float | None) -> str:
    return "not read" if value is None else f"{value:g}".replace("-", "−")


def _said(payload: Payload, wild: int) -> Iterator[str]:
    shots = payload["shots"]
    if wild:
        lie = "lies" if wild == 1 else "lie"
        yield (
            f"{wild} of {len(shots)} shots {lie} far off the others. Nothing is left out: the "
            "median counts every shot, and the ellipse is drawn round the rest."
        )
    if len(shots) < FEWEST_FOR_MEDIAN:
        yield "With fewer than six shots the mean is given instead of the median, and no ellipse."
        return
    points = points_of(shots)
    try:
        dispersion(list(points.values()))
    except NoEllipse as why:
        if points:
            yield str(why)
