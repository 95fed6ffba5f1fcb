"""The scale of a camera that stays where it is: one for all stills of a day."""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import median

from assessments.models import Entry, Still
from assessments.stations import kinds_on_stills

FEWEST = 3


@dataclass(frozen=True)
class Scale:
    """The ball's diameter in pixels and its standard uncertainty."""

    px: float
    sd_px: float


def scale_of(still: Still) -> Scale | None:
    """The median diameter of the ball on the day's other stills of the place. One query.

    Only stills of the same size in pixels count; with fewer than three there is none. The median
    of n is known to 1.2533 standard deviations over the root of n, and a diameter lies between
    two clicks.
    """
    entries = Entry.objects.filter(
        kind__in=kinds_on_stills(),
        superseded_by__isnull=True,
        still__filming_place=still.filming_place_id,
        still__width_px=still.width_px,
        still__height_px=still.height_px,
        still__uploaded_at__date=still.uploaded_at.date(),
    ).exclude(still=still.pk)
    columns = ("payload__landmarks_before", "payload__landmarks", "payload__click_sd_px")
    rows = list(entries.values_list(*columns))
    # of two frames the one before the strike has the ball, which serves the other
    found = [_diameter({**(before or {}), **landmarks}) for before, landmarks, _ in rows]
    if len(found) < FEWEST:
        return None
    click = max(click for *_, click in rows)
    return Scale(median(found), 1.2533 * math.sqrt(2) * click / math.sqrt(len(found)))


def _diameter(landmarks: dict[str, list[float]]) -> float:
    (au, av), (bu, bv) = landmarks["ball_edge_a"], landmarks["ball_edge_b"]
    return math.hypot(bu - au, bv - av)
