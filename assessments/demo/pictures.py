"""The renderings of `fixtures/stills`, as a hand-held camera and a person marking would give them.

One rendering stands for several swings: the frame is moved by a few pixels and each point is
marked with the click error that the measures assume. Nothing else is invented here; measuring,
uncertainty and change come from the same code as for a real still.
"""

from __future__ import annotations

import json
import random
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path

from django.conf import settings
from PIL import Image

from assessments.impact.geometry import CLICK_SD_PX

STILLS = Path(settings.BASE_DIR) / "fixtures" / "stills"
MAX_SHIFT_PX = 24


@dataclass(frozen=True)
class MarkedPicture:
    """A JPEG and where a person clicked on it, in its own pixels."""

    jpeg: bytes
    landmarks: dict[str, list[float]]


def swing(rendering: str, seed: str) -> MarkedPicture:
    """One swing of `rendering`; the same seed gives the same picture and clicks."""
    chance = random.Random(seed)
    left, top = chance.randrange(MAX_SHIFT_PX), chance.randrange(MAX_SHIFT_PX)
    with Image.open(STILLS / f"{rendering}.jpg") as picture:
        framed = picture.crop((left, top, picture.width, picture.height))
    buffer = BytesIO()
    framed.save(buffer, "JPEG", quality=92)
    exact = json.loads((STILLS / f"{rendering}.json").read_text())["landmarks_px"]
    clicks = {
        name: [
            round(u - left + chance.gauss(0, CLICK_SD_PX), 2),
            round(v - top + chance.gauss(0, CLICK_SD_PX), 2),
        ]
        for name, (u, v) in exact.items()
    }
    return MarkedPicture(buffer.getvalue(), clicks)
